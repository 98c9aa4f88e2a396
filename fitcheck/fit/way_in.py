"""The way into a base: straight down past whatever stands in it, and the rooms that it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.remembered import MEMORY
from fitcheck.fit.slide import Slide, slide_all
from fitcheck.fit.walls import Walls
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.folding.prisms import prism
from fitcheck.pattern.pattern import Role

Sides = tuple[float, float]
"""Along width and length, mm."""

CLEAR_MM = 1.0
PROBE_GAP_MM = 0.5
PROBE_HEIGHT_MM = 0.5
FACING = 0.5
"""Cosine over which a panel faces along an axis."""
SAME_MM = 1e-9


def ways_in(walls: Pieces, bodies: Pieces, boxes: int) -> list[Slide]:
    """Lift the piece of each of so many boxes straight out of its walls: the way in, backwards."""
    if not boxes:
        return []
    low, high = bodies.bounds
    tallest = float((high[:, 2] - low[:, 2]).max())
    path = -UP * (float(walls.stretches.high[:, 2].max()) + tallest + CLEAR_MM)
    return slide_all(Pairs(walls, bodies, path), np.zeros((boxes, 3)))


def clear_sides(base: Walls, inside_mm: Sides) -> Sides:
    """Width and length that are clear for a square-edged body on the floor, mm.

    Found by sliding in a probe that is a little smaller than the inside, so that whatever stands
    in the way counts: tabs, round creases, leaning walls.
    """
    return MEMORY.of(
        (clear_sides, base, inside_mm), lambda: _probed(base, [base.pieces], inside_mm)[0]
    )


class RoomSides(NamedTuple):
    """Widths and lengths inside a base, mm; each holds the one before it."""

    clear: Sides
    """For a square-edged body on the floor, as `clear_sides`."""
    between: Sides
    """The same past the walls and the floor's creases alone, the tabs in the corners left out: no
    upright prism that stands on the floor is larger along either axis."""
    widest: Sides
    """Between the walls' faces where they stand furthest apart."""


def room_sides(base: Walls, inside_mm: Sides) -> RoomSides:
    """How much room there is inside a base, all but as large as that."""
    return MEMORY.of((room_sides, base, inside_mm), lambda: _room_sides(base, inside_mm))


def _room_sides(base: Walls, inside_mm: Sides) -> RoomSides:
    tabs = {name for name, role in base.roles.items() if role is Role.TAB}
    plain = base.pieces.kept(lambda _, panels: panels.isdisjoint(tabs))
    clear, between = _probed(base, [base.pieces, plain], inside_mm)
    between = _larger(clear, between)
    return RoomSides(clear, between, _larger(between, widest_sides(base)))


def _larger(one: Sides, other: Sides) -> Sides:
    return max(one[0], other[0]), max(one[1], other[1])


def _probed(base: Walls, past: Sequence[Pieces], inside_mm: Sides) -> list[Sides]:
    """What a probe finds between each of some choices of a base's pieces."""
    size = [max(side - PROBE_GAP_MM, 0.5 * side) for side in inside_mm]
    outline = 0.5 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size
    floor = base.caliper_mm
    probe = prism("probe", frozenset(), outline, floor, floor + PROBE_HEIGHT_MM)
    path = -UP * (base.height_mm + float(probe.high[2] - probe.low[2]) + CLEAR_MM)
    walls, probes = Pieces.joined(past), Pieces.joined([[probe]] * len(past))
    slides = slide_all(Pairs(walls, probes, path), np.zeros((len(past), 3)))
    return [
        (size[0] + found.travels[0].play_mm, size[1] + found.travels[1].play_mm) for found in slides
    ]


def widest_sides(base: Walls) -> tuple[float, float]:
    """Between the walls' faces that look into the room, each taken where it is furthest out, mm.

    The free space lies between them: tabs only take from it, walls run from corner
    to corner, and a rolled frame's tube is closed by its inner wall.
    """
    faces = _wall_faces(base)
    found = [
        _furthest_out(faces, direction) + _furthest_out(faces, -direction)
        for direction in DIRECTIONS.values()
    ]
    return found[0], found[1]


class _Face(NamedTuple):
    """A wall's plate, thin along one way."""

    panel: str
    vertices: Array
    """(n, 3) of the whole plate, mm."""
    normal: Array
    """(3,) of either of its faces: a plate's are those between which it measures least."""


def _wall_faces(base: Walls) -> list[_Face]:
    standing = {name for name, role in base.roles.items() if role in (Role.WALL, Role.INNER_WALL)}
    found = []
    for piece in base.pieces.kept(lambda _, panels: len(panels) == 1 and panels <= standing):
        (panel,) = piece.panels
        along = piece.vertices @ piece.normals.T
        thin = piece.normals[int(np.argmin(np.ptp(along, axis=0)))]
        found.append(_Face(panel, piece.vertices, thin))
    return found


def _furthest_out(faces: Sequence[_Face], direction: Array) -> float:
    """How far the nearest wall on one side stands off the middle, at its furthest place."""
    reaches: dict[str, float] = {}
    for panel, vertices, normal in faces:
        outward = normal if normal @ direction > 0.0 else -normal
        if outward @ direction < FACING or float((vertices @ direction).min()) <= 0.0:
            continue
        depth = vertices @ outward
        face = vertices[depth <= depth.min() + SAME_MM]
        reach = float((face @ direction).max())
        reaches[panel] = max(reach, reaches.get(panel, reach))
    return min(reaches.values())
