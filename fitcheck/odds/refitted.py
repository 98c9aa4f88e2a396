"""Contents are put into one folded box by themselves, to prove what the odds say of it.

No limit that the odds were made of is used: the walls are those of the box as it was folded, met
by each piece in its own size; places are looked for anew; and what was found is looked at piece by
piece, against every wall and every other piece, before it counts.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.broad_phase import BroadPhase
from fitcheck.fit.casts import swept_depths
from fitcheck.fit.check import Check
from fitcheck.fit.lid import LidFit
from fitcheck.fit.mates import cover_of, height_below
from fitcheck.fit.outline import content_pieces
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.passage import passage
from fitcheck.fit.stood import MIDDLE, further_rooms, stood_in
from fitcheck.fit.walls import Walls
from fitcheck.fit.way_in import CLEAR_MM, ways_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, Flags, Rows, translation
from fitcheck.kinds.poses import Pose
from fitcheck.odds.arranged import of_room
from fitcheck.odds.bodies import (
    AXES,
    Body,
    bodies_of,
    directions_among,
    reached,
    resized,
    sides_of,
    standing_all,
)
from fitcheck.odds.content_readings import alone, is_round
from fitcheck.odds.making import Made, walls_inside, walls_round
from fitcheck.odds.nestled import spread_out
from fitcheck.odds.outlook import placed_contents
from fitcheck.odds.stands import piles_of
from fitcheck.packing.placing import Placement, extents, plan_gap
from fitcheck.pattern.sheet import Axis

MET_MM = 1e-6
"""Pieces that overlap by less than this only touch."""
CLEAR_OF_MM = 1e-3
"""Bodies that overlap in plan by more than this as designed lie over each other."""
FAR_MM = 1e4
"""Stands for a wall where there is none."""


@dataclass(frozen=True)
class Alone:
    """What one content by itself leaves in a folded box, mm."""

    width_mm: float
    length_mm: float
    height_mm: float | None
    """Under the lid; None without one."""

    @property
    def fits(self) -> bool:
        """Whether it goes in."""
        height = 0.0 if self.height_mm is None else self.height_mm
        return min(self.width_mm, self.length_mm, height) >= -MET_MM


def height_under(made: Made, lid: LidFit | None) -> float | None:
    """The height of what closes the box above the base's floor, mm; None where it stays open."""
    if lid is None or made.lid is None:
        cover = cover_of(made.assembly.design)
        return None if cover is None else height_below(cover, made.part)
    closed = lid.closed_height_mm - made.lid.caliper_mm
    return max(closed, made.base.height_mm) - made.base.caliper_mm


def put_alone(
    check: Check, boxes: Sequence[Made], ceilings_mm: Sequence[float | None], pose: Pose
) -> list[Alone]:
    """A content that is alone in each box, in the pose and turn in which it fits as designed."""
    (fit,) = check.contents
    sides = sides_of(fit.content.item, pose)
    poses = [resized(pose, sides, made.sizes_mm[0][0]) for made in boxes]
    if is_round(pose):
        plays = [
            passage(walls, [alone(own, fit.turn_deg, walls)]).play_mm
            for walls, own in zip(walls_round(boxes), poses, strict=True)
        ]
    else:
        floors = np.array([made.base.caliper_mm for made in boxes])
        bodies = content_pieces("content", poses, fit.turn_deg, floors)
        ways = ways_in(walls_inside(boxes), bodies, len(boxes))
        plays = [(found.travels[0].play_mm, found.travels[1].play_mm) for found in ways]
    return [
        Alone(*play, None if ceiling is None else ceiling - own.height_mm)
        for play, ceiling, own in zip(plays, ceilings_mm, poses, strict=True)
    ]


def go_in_together(
    check: Check, boxes: Sequence[Made], ceilings_mm: Sequence[float | None], filled: Rows
) -> list[bool]:
    """Whether places are found in each folded box for all pieces, each in its own size.

    Pieces that were piled on each other stay a pile, as broad as the broadest of them. Of several
    compartments they have to go into those of each box that are `filled` (f, n), by their numbers.
    """
    if not boxes:
        return []
    fits = placed_contents(check)
    bodies = bodies_of(fits, check.cavity.room)
    walls = walls_round(boxes)
    found = np.ones(len(boxes), dtype=bool)
    for number, away in enumerate([MIDDLE, *further_rooms(stood_in(check.assembly))]):
        some = np.flatnonzero((filled == number).any(axis=0)).tolist()
        if some:
            found[some] &= _go_in(
                of_room(bodies, fits, number),
                [boxes[box] for box in some],
                [ceilings_mm[box] for box in some],
                [walls[box] for box in some],
                away,
            )
    return found.tolist()


def _go_in(
    bodies: Sequence[Body],
    boxes: Sequence[Made],
    ceilings_mm: Sequence[float | None],
    walls: Sequence[Walls],
    away: tuple[float, float],
) -> list[bool]:
    """The same of one compartment, whose middle lies so far away from that of the walls."""
    inside = Pieces.joined([own.pieces for own in walls])
    if away != MIDDLE:
        inside = inside.moved(translation(-np.array([*away, 0.0])))
    piles = piles_of(bodies)
    designed = [bodies[pile[0]] for pile in piles]
    every = [
        [
            replace(body, place=_piled([bodies[one] for one in pile], made))
            for body, pile in zip(designed, piles, strict=True)
        ]
        for made in boxes
    ]
    apart = [
        (i, j)
        for i, j in itertools.combinations(range(len(piles)), 2)
        if not _stacked(bodies[piles[i][0]], bodies[piles[j][0]])
    ]
    faces = _faces(walls, inside, every)
    placed = [
        _places_in(ceiling, own, apart, between)
        for ceiling, own, between in zip(ceilings_mm, every, faces, strict=True)
    ]
    there = [box for box, own in enumerate(placed) if own is not None]
    met = _meet_base(walls, inside, [(box, one) for box in there for one in placed[box] or ()])
    return [own is not None and box not in met for box, own in enumerate(placed)]


def _places_in(
    ceiling_mm: float | None,
    own: Sequence[Body],
    apart: Sequence[tuple[int, int]],
    faces: Array,
) -> list[Placement] | None:
    """Places for bodies between the faces (2, 2, n) that stop each of them, under a ceiling.

    None where none are found in which they are clear of each other.
    """
    known: dict[tuple[int, bytes], float] = {}

    def reach(index: int, way: Array) -> float:
        key = index, way.tobytes()
        if key not in known:
            known[key] = _reach(own[index], way)
        return known[key]

    middles = np.array([body.middle for body in own])
    at, _ = spread_out(middles, apart, reach, directions_among(own), faces, enough_mm=MET_MM)
    placed = _let_down(own, at)
    if ceiling_mm is not None and max(one.top_mm for one in placed) > ceiling_mm + MET_MM:
        return None
    return placed if _clear(placed) else None


def _piled(pile: Sequence[Body], made: Made) -> Placement:
    """A pile of pieces in their own sizes as one body, where it was placed as designed."""
    poses = [
        resized(body.place.pose, body.sides, made.sizes_mm[body.line][body.piece]) for body in pile
    ]
    size = [
        max(pose.width_mm for pose in poses),
        max(pose.length_mm for pose in poses),
        sum(pose.height_mm for pose in poses),
    ]
    return replace(pile[0].place, pose=resized(pile[0].place.pose, (0, 1, 2), size))


def _reach(body: Body, way: Array) -> float:
    return float(reached(body.reach(way), body.size[:, None])[0])


def _stacked(one: Body, other: Body) -> bool:
    """Whether two piles were meant to lie over each other: they share plan, so not height."""
    return plan_gap(one.place, other.place) < -CLEAR_OF_MM


def _faces(boxes: Sequence[Walls], inside: Pieces, every: Sequence[Sequence[Body]]) -> Array:
    """The faces that stop each body of each box, (b, 2, 2, n) mm: box, side, axis, body."""
    found = np.empty((len(boxes), 2, 2, len(every[0])))
    numbers = np.arange(len(boxes))
    for index, bodies in enumerate(zip(*every, strict=True)):
        places = [body.place for body in bodies]
        pieces = standing_all(places, _floors_mm(boxes), numbers)
        pairs = Pairs(inside, pieces, _way_in(boxes, places))
        for k, axis in enumerate(Axis):
            travels = pairs.travels_at(axis, np.zeros((len(boxes), 3)))
            for to, body, travel in zip(found[..., index], bodies, travels, strict=True):
                low = -FAR_MM if travel.low is None else travel.low.travel_mm
                high = FAR_MM if travel.high is None else travel.high.travel_mm
                to[0, k] = body.middle[k] + low - _reach(body, -AXES[k])
                to[1, k] = body.middle[k] + high + _reach(body, AXES[k])
    return found


def _floors_mm(boxes: Sequence[Walls]) -> Array:
    return np.array([walls.caliper_mm for walls in boxes])


def _way_in(boxes: Sequence[Walls], places: Sequence[Placement]) -> Array:
    """A way in for all: what is clear of the highest walls is clear of all."""
    highest = max(walls.height_mm for walls in boxes)
    return -UP * (highest + max(place.pose.height_mm for place in places) + CLEAR_MM)


def _let_down(own: Sequence[Body], at: Array) -> list[Placement]:
    """The pieces at their middles (n, 2), each let down on the floor or on what is below it."""
    moved = [
        replace(body.place, x_mm=float(x), y_mm=float(y))
        for body, (x, y) in zip(own, at, strict=True)
    ]
    moved.sort(key=lambda one: one.z_mm)
    settled: list[Placement] = []
    for body, near in zip(moved, _beside(moved), strict=True):
        below = [settled[j] for j in np.flatnonzero(near[: len(settled)]).tolist()]
        tops = [other.top_mm for other in below if plan_gap(body, other) < -MET_MM]
        settled.append(replace(body, z_mm=max(tops, default=0.0)))
    return settled


def _clear(placed: Sequence[Placement]) -> bool:
    """Whether no two bodies are in each other."""
    return all(
        placed[i].z_mm >= placed[j].top_mm - MET_MM
        or placed[j].z_mm >= placed[i].top_mm - MET_MM
        or plan_gap(placed[i], placed[j]) >= -MET_MM
        for i, j in np.argwhere(np.triu(_beside(placed), 1)).tolist()
    )


def _beside(bodies: Sequence[Placement]) -> Flags:
    """Which bodies' extents in plan meet, (n, n): no others can overlap there."""
    boxes = np.array([extents(one) for one in bodies])
    gaps = np.maximum(boxes[:, None, :2] - boxes[None, :, 2:], 0.0).max(axis=2)
    found: Flags = (gaps <= 0.0) & (gaps.T <= 0.0)
    return found


def _meet_base(
    boxes: Sequence[Walls], inside: Pieces, placed: Sequence[tuple[int, Placement]]
) -> set[int]:
    """The boxes in which a placed piece runs into the base on its way in, box by box."""
    if not placed:
        return set()
    whose = np.array([box for box, _ in placed])
    places = [place for _, place in placed]
    pieces = standing_all(places, _floors_mm(boxes)[whose], whose)
    path = _way_in(boxes, places)
    pairs, at = BroadPhase(inside, pieces, path).meeting(np.zeros((len(boxes), 3)))
    return set(pairs.whose[swept_depths(pairs, path, at) > MET_MM].tolist())
