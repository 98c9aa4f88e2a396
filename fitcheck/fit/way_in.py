"""The way into a base: straight down past whatever stands in it, and the rooms that it leaves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.slide import Slide, slide, slide_all
from fitcheck.fit.walls import Walls
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.folding.prisms import prism
from fitcheck.pattern.pattern import Role

CLEAR_MM = 1.0
PROBE_GAP_MM = 0.5
PROBE_HEIGHT_MM = 0.5
FACING = 0.5
"""Cosine over which a panel faces along an axis."""
SAME_MM = 1e-9


def way_in(base: Walls, piece: ConvexPiece, past: Sequence[ConvexPiece] | None = None) -> Slide:
    """Lift a piece straight out of a base: the way in, taken backwards.

    `past` are the base's pieces that count, all of them where it is not said.
    """
    pieces = base.pieces if past is None else past
    return slide(pieces, [piece], -UP * _lift(base, piece), np.zeros(3))


def ways_in(walls: Pieces, bodies: Pieces, boxes: int) -> list[Slide]:
    """The same of so many boxes, each with its own walls and its own piece."""
    if not boxes:
        return []
    low, high = bodies.bounds
    tallest = float((high[:, 2] - low[:, 2]).max())
    path = -UP * (float(walls.stretches.high[:, 2].max()) + tallest + CLEAR_MM)
    return slide_all(Pairs(walls, bodies, path), np.zeros((boxes, 3)))


def _lift(base: Walls, piece: ConvexPiece) -> float:
    """How far a piece is lifted until it is clear of its base, mm."""
    return base.height_mm + float(piece.high[2] - piece.low[2]) + CLEAR_MM


def clear_sides(base: Walls, inside_mm: tuple[float, float]) -> tuple[float, float]:
    """Width and length that are clear for a square-edged body on the floor, mm.

    Found by sliding in a probe that is a little smaller than the inside, so that whatever stands
    in the way counts: tabs, round creases, leaning walls.
    """
    return _probed(base, base.pieces, inside_mm)


def sides_between_walls(base: Walls, inside_mm: tuple[float, float]) -> tuple[float, float]:
    """The same past the walls and the floor's creases alone, the tabs in the corners left out, mm.

    No upright prism that stands on the floor is larger along either axis.
    """
    tabs = {name for name, role in base.roles.items() if role is Role.TAB}
    return _probed(base, [p for p in base.pieces if not p.panels & tabs], inside_mm)


def _probed(
    base: Walls, pieces: Sequence[ConvexPiece], inside_mm: tuple[float, float]
) -> tuple[float, float]:
    size = [max(side - PROBE_GAP_MM, 0.5 * side) for side in inside_mm]
    outline = 0.5 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size
    floor = base.caliper_mm
    probe = prism("probe", frozenset(), outline, floor, floor + PROBE_HEIGHT_MM)
    found = way_in(base, probe, pieces)
    return size[0] + found.travels[0].play_mm, size[1] + found.travels[1].play_mm


def widest_sides(base: Walls) -> tuple[float, float]:
    """Between the walls' faces that look into the room, each taken where it is furthest out, mm.

    The free space lies between them: tabs only take from it, walls run from corner
    to corner, and a rolled frame's tube is closed by its inner wall.
    """
    found = [
        _furthest_out(base, direction) + _furthest_out(base, -direction)
        for direction in DIRECTIONS.values()
    ]
    return found[0], found[1]


def _furthest_out(base: Walls, direction: Array) -> float:
    """How far the nearest wall on one side stands off the middle, at its furthest place."""
    standing = [name for name, role in base.roles.items() if role in (Role.WALL, Role.INNER_WALL)]
    reaches: dict[str, float] = {}
    for piece in base.pieces:
        (panel, *others) = piece.panels
        if others or panel not in standing:
            continue
        along = piece.vertices @ piece.normals.T
        # a plate's faces are those between which it measures least
        thin = piece.normals[int(np.argmin(np.ptp(along, axis=0)))]
        outward = thin if thin @ direction > 0.0 else -thin
        if outward @ direction < FACING or float((piece.vertices @ direction).min()) <= 0.0:
            continue
        depth = piece.vertices @ outward
        face = piece.vertices[depth <= depth.min() + SAME_MM]
        reach = float((face @ direction).max())
        reaches[panel] = max(reach, reaches.get(panel, reach))
    return min(reaches.values())
