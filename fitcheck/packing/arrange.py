"""Contents in the rooms that stand for a box: found, none found, or proved impossible by a bound.

The quick ways come first (one stack, a grid, corner by corner, staggered discs, then a pile or a
pack turned as a whole) and load no solver; then the right-angled search. Whatever finds an
arrangement, the exact check passes it before it is shown. Only a bound says `impossible`: a search
that proves that no right-angled arrangement exists still leaves turned ones open, and says so. A
real box is no plain room: tabs stand in its corners only and walls lean, so arrangements are looked
for in several plain rooms and each is proved in the box itself (`Accept`), and bounds hold in one
that contains the box.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from fitcheck.kinds.poses import Pose
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.discs import spread, staggered
from fitcheck.packing.placing import (
    Accept,
    Arrangement,
    Demand,
    Outcome,
    Placements,
    Way,
    verify,
)
from fitcheck.packing.room import Room
from fitcheck.packing.rows import MOST_BY_CORNERS, by_corners, grid, in_piles, one_stack, stacked
from fitcheck.packing.searching import DRIVEN_APART, all_one_disc, searched
from fitcheck.packing.turned_pack import turned_pack
from fitcheck.packing.turning import likely_angles

WORK = 2.5
"""The solver's deterministic time for all searches together: up to some 12 s on a slow machine."""

Spare = tuple[float, float, float]
"""Along the width and the length, and upwards, mm."""
NO_SPARE: Spare = (0.0, 0.0, 0.0)
SPARES: tuple[Spare, ...] = (
    (4.0, 4.0, 1.0),
    (4.0, 4.0, 0.0),
    (2.0, 2.0, 0.5),
    (2.0, 2.0, 0.0),
    (1.0, 1.0, 0.0),
    (0.99, 0.99, 0.0),
    (2.0, 0.0, 0.0),
    (0.0, 2.0, 0.0),
    NO_SPARE,
)
"""What is to be left over, the most first: rows of pieces that hands or moulds made differ by some
millimetres, and what goes in with nothing to spare goes into half of the boxes made by hand. One of
them is a hair less than the millimetre that many a base is given round its contents."""

DRIVEN_AT: Spare = (0.99, 0.99, 0.0)
"""Round things that no way leaves so much are driven apart as well: rows that go in with less to
spare are no help where they may stand otherwise with more."""

Progress = Callable[[str], None]


def _quick_ways(most: int) -> dict[str, Way]:
    """The ways without a solver by name; the slowest of them for so many bodies at the most."""
    return {
        "one stack": one_stack,
        "grid": grid,
        "by corners": partial(by_corners, most=most),
        "in piles": partial(in_piles, most_piles=most),
        "staggered": staggered,
    }


def _silent(message: str) -> None:
    """The progress that says nothing."""


def _as_found(placements: Placements, room: Room) -> Placements | None:
    """The acceptance of a room that is as plain as it looks."""
    return placements


@dataclass(frozen=True)
class Rooms:
    """What stands for a real box: a room for proofs, and rooms in which it is worth to try."""

    outer: Room
    """Certainly holds all that the box can take, so what does not go in here is impossible."""
    tried: tuple[Room, ...]
    """The surest first; what is found in them is proved by `Accept`."""


def arrange(
    room: Room,
    demands: Sequence[Demand],
    work: float = WORK,
    progress: Progress = _silent,
) -> Arrangement:
    """Look for a place for every body of every demand in one plain room.

    `work` limits the searches together by the solver's own count, so the answer does not depend on
    the machine's speed; `progress` is told when a slow search begins. Raises MissingLibraryError
    when the solver is needed and cannot load.
    """
    return arrange_in(Rooms(room, (room,)), demands, _as_found, work, progress)


def arrange_in(
    rooms: Rooms,
    demands: Sequence[Demand],
    accept: Accept = _as_found,
    work: float = WORK,
    progress: Progress = _silent,
) -> Arrangement:
    """The same in a box that several plain rooms stand for; see `arrange`."""
    demands = tuple(demands)
    if not demands:
        return Arrangement(Outcome.FOUND, (), "nothing to place")
    bound = why_impossible(capped(rooms.outer, demands), demands)
    if bound is not None:
        return Arrangement(Outcome.IMPOSSIBLE, (), bound)
    found = arrange_quickly(rooms.tried, demands, accept, spares=SPARES)
    if found is not None:
        return found
    progress("looking for an arrangement of the contents")
    return searched(rooms.tried, _height_searched(rooms.tried[0], demands), demands, accept, work)


def arrange_quickly(
    rooms: Sequence[Room],
    demands: Sequence[Demand],
    accept: Accept = _as_found,
    most_by_corners: int = MOST_BY_CORNERS,
    spares: Sequence[Spare] = (NO_SPARE,),
) -> Arrangement | None:
    """What the ways without a solver find, lowest first; None proves nothing.

    `spares` are what rooms are to have left over, tried one after the other at each height.
    """
    ways, driven = _quick_ways(most_by_corners), all_one_disc(demands)
    for height in _heights(rooms[0], demands):
        high = [replace(room, height_mm=height) for room in rooms]
        for spare in spares:
            low = [
                room
                for room in _lessened(high, spare)
                if spare == NO_SPARE or why_impossible(room, demands) is None
            ]
            found = _first_of(ways, low, demands, accept)
            if found is None and driven and spare == DRIVEN_AT:
                found = _first_of({DRIVEN_APART: spread}, low, demands, accept)
            if found is not None:
                return found
        there = _turned_stack(high, demands, accept)
        if there is not None:
            return Arrangement(Outcome.FOUND, there, "turned stack")
        there = turned_pack(high, demands, tuple(ways.values()), accept)
        if there is not None:
            return Arrangement(Outcome.FOUND, there, "turned together")
    return None


def _first_of(
    ways: Mapping[str, Way], rooms: Sequence[Room], demands: Sequence[Demand], accept: Accept
) -> Arrangement | None:
    """What the first way in the first room finds that passes."""
    for room in rooms:
        for name, way in ways.items():
            placed = way(room, demands)
            if placed is not None and not verify(room, placed):
                there = accept(placed, room)
                if there is not None:
                    return Arrangement(Outcome.FOUND, there, name)
    return None


def _lessened(rooms: Sequence[Room], spare: Spare) -> Iterator[Room]:
    """Rooms with so much less of each of their measures, those of which something is left."""
    for room in rooms:
        sizes = room.width_mm, room.length_mm, room.height_mm
        width, length, height = (size - mm for size, mm in zip(sizes, spare, strict=True))
        if min(width, length, height) > 0.0:
            yield replace(room, width_mm=width, length_mm=length, height_mm=height)


def _turned_stack(
    rooms: Sequence[Room], demands: Sequence[Demand], accept: Accept
) -> Placements | None:
    """One pile turned as a whole by other angles than a plain room would have it."""
    largest = max(rooms, key=lambda room: room.floor_mm2)
    poses = [min(demand.poses, key=lambda pose: pose.height_mm) for demand in demands]
    broadest = max(poses, key=lambda pose: max(pose.width_mm, pose.length_mm))
    for angle in likely_angles(broadest, rooms):
        laid = [(demand, pose, angle) for demand, pose in zip(demands, poses, strict=True)]
        placed = stacked(largest, laid)
        if placed is None:
            return None
        there = None if verify(largest, placed) else accept(placed, largest)
        if there is not None:
            return there
    return None


def capped(room: Room, demands: Sequence[Demand]) -> Room:
    """An open room no higher than anything can reach that is not piled up beyond its rim."""
    if not math.isinf(room.height_mm) or math.isinf(room.rim_mm):
        return room
    longest = max(_longest(demand, pose) for demand in demands for pose in demand.poses)
    return replace(room, height_mm=max(longest, room.rim_mm + 0.5 * longest))


def _longest(demand: Demand, pose: Pose) -> float:
    """The most that a body can measure upwards."""
    if demand.may_lean:
        return math.hypot(pose.width_mm, pose.length_mm, pose.height_mm)
    return pose.height_mm


def _heights(room: Room, demands: Sequence[Demand]) -> list[float]:
    """Heights to try: the room's own, and in an open box the rim, then little above, then more."""
    if not math.isinf(room.height_mm) or math.isinf(room.rim_mm):
        return [room.height_mm]
    heights = [pose.height_mm for demand in demands for pose in demand.poses]
    over = room.rim_mm + 0.5 * min(heights)
    return sorted({room.rim_mm, over, max(*heights, room.rim_mm + 0.5 * max(heights))})


def _height_searched(room: Room, demands: Sequence[Demand]) -> float:
    """The least of the heights to try that takes every body in its lowest lay."""
    lowest = max(min(pose.height_mm for pose in demand.poses) for demand in demands)
    heights = _heights(room, demands)
    return next((h for h in heights if h >= lowest), heights[-1])
