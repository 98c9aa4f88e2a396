"""The slow searches for places of contents: right-angled, then round ones driven apart.

What they prove is proved of right-angled arrangements in one plain room only, so that they say why
nothing was found, never that nothing can be.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from fitcheck.kinds.poses import Disc, Shape
from fitcheck.packing.discs import spread
from fitcheck.packing.placing import (
    Accept,
    Arrangement,
    Demand,
    Outcome,
    Placement,
    Placements,
    hanging,
    overlap_in_plan,
    verify,
)
from fitcheck.packing.right_angled import right_angled
from fitcheck.packing.room import Room
from fitcheck.packing.solver import End, Searched

DRIVEN_APART = "discs driven apart"


def searched(
    rooms: Sequence[Room],
    height: float,
    demands: tuple[Demand, ...],
    accept: Accept,
    work: float,
) -> Arrangement:
    """The slow searches: in the largest room, and if what is found there fails, in the surest.

    Round plans are driven apart in every room: in the largest they come to stand in its corners,
    where tabs are, and that says nothing of the others.
    """
    largest = max(rooms, key=lambda room: room.floor_mm2)
    left = work
    asked = list(dict.fromkeys((largest, rooms[0])))
    for number, room in enumerate(asked):
        low = replace(room, height_mm=height)
        found, final = _searched_in(low, demands, accept, left / (len(asked) - number))
        left = max(0.0, left - found.work)
        if final:
            break
    if found.outcome is Outcome.NONE_FOUND:
        rest = [room for room in rooms if room not in asked[: number + 1]]
        found = _driven_apart(rest, height, demands, accept) or found
    return replace(found, work=work - left)


def _driven_apart(
    rooms: Sequence[Room], height: float, demands: Sequence[Demand], accept: Accept
) -> Arrangement | None:
    """Round plans driven apart in the first of some rooms whose answer passes."""
    for room in rooms:
        low = replace(room, height_mm=height)
        placed = spread(low, demands)
        if placed is not None and not verify(low, placed):
            there = accept(placed, low)
            if there is not None:
                return Arrangement(Outcome.FOUND, there, DRIVEN_APART)
    return None


def _searched_in(
    room: Room, demands: tuple[Demand, ...], accept: Accept, work: float
) -> tuple[Arrangement, bool]:
    """What was found, else why not, and whether a smaller room need not be searched."""

    def passed(placed: Placements | None) -> Placements | None:
        return accept(placed, room) if placed is not None and not verify(room, placed) else None

    if all_one_disc(demands):
        # right-angled, equal squares go in best as a grid, and that was tried
        searched = Searched(End.NONE_EXISTS)
    else:
        searched = right_angled(room, demands, supported=False, work=work)
    hung, taken = False, searched.work
    if searched.end is End.FOUND:
        placed = dropped(searched.placements)
        hung = bool(hanging(placed))
        if hung:
            searched = right_angled(room, demands, supported=True, work=max(0.0, work - taken))
            taken += searched.work
            placed = dropped(searched.placements)
        there = passed(placed) if searched.end is End.FOUND else None
        if there is not None:
            return Arrangement(Outcome.FOUND, there, "right-angled search", taken), True
    apart = _driven_apart([room], room.height_mm, demands, accept)
    if apart is not None:
        return replace(apart, work=taken), True
    why = _why_none(demands, searched.end, hung, work)
    if not math.isinf(room.rim_mm):
        why += "; nothing was piled up beyond the rim"
    none = Arrangement(Outcome.NONE_FOUND, (), why, taken)
    return none, searched.end in (End.NONE_EXISTS, End.TOO_MANY)


def all_one_disc(demands: Sequence[Demand]) -> bool:
    """Whether all bodies have one round plan."""
    one_pose = len(demands) == 1 and len(demands[0].poses) == 1
    return one_pose and isinstance(demands[0].poses[0].footprint, Disc)


def dropped(placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """The same arrangement with every body let down until it meets the floor or another."""
    settled: list[Placement] = []
    for body in sorted(placements, key=lambda p: p.z_mm):
        below = [other.top_mm for other in settled if overlap_in_plan(body, other)]
        settled.append(replace(body, z_mm=max(below, default=0.0)))
    return tuple(settled)


def _why_none(demands: tuple[Demand, ...], end: End, hung: bool, work: float) -> str:
    parts = {
        End.FOUND: "the arrangement that the search gave did not pass the exact check",
        End.NONE_EXISTS: (
            "no right-angled arrangement exists, to 0.01 mm; turned ones were not all tried"
        ),
        End.LIMIT: f"searched right-angled arrangements to the limit of {work:g} work units",
        End.TOO_MANY: "too many bodies for the search; only stacks, rows and layers were tried",
    }
    reason = parts[end]
    if hung:
        reason = "right-angled arrangements were found, but none in which each body is held up"
    poses = [pose for demand in demands for pose in demand.poses]
    if any(isinstance(pose.footprint, Disc) for pose in poses):
        reason += "; round plans were packed as squares and, when all alike, in staggered rows"
    if any(pose.shape is Shape.BALL for pose in poses):
        reason += "; balls that nest in the hollows of others were not tried"
    if any(pose.shape is Shape.HULL for pose in poses):
        reason += "; meshes were packed by their extents, and turned ones by their outlines"
    if any(demand.may_lean for demand in demands):
        reason += "; leaning ones were not tried"
    return reason
