"""Several contents in one room: found, none found, or proved impossible by a bound.

The quick ways come first (one stack, a grid, corner by corner, staggered discs) and load no
solver; then the right-angled search. Whatever finds an arrangement, the exact check passes it
before it is shown. Only a bound says `impossible`: a search that proves that no right-angled
arrangement exists still leaves turned ones open, and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from fitcheck.packing.bodies import Disc, Shape
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.discs import spread, staggered
from fitcheck.packing.piles import in_piles
from fitcheck.packing.placing import (
    TOUCH_MM,
    Arrangement,
    Demand,
    Outcome,
    Placement,
    extents,
    plan_gap,
    verify,
)
from fitcheck.packing.room import Room
from fitcheck.packing.rows import by_corners, grid, one_stack
from fitcheck.packing.search import right_angled
from fitcheck.packing.steps import End, Searched

WORK = 4.0
"""The solver's deterministic time for one search: up to some 15 s on a slow machine."""

Progress = Callable[[str], None]

_QUICK = (one_stack, grid, by_corners, in_piles, staggered)


def _silent(message: str) -> None:
    """The progress that says nothing."""


def arrange(
    room: Room,
    demands: Sequence[Demand],
    work: float = WORK,
    progress: Progress = _silent,
) -> Arrangement:
    """Look for a place for every body of every demand.

    `work` limits each search by the solver's own count, so the answer does not depend on the
    machine's speed; `progress` is told when a slow search begins. Raises MissingLibraryError
    when the solver is needed and cannot load.
    """
    demands = tuple(demands)
    if not demands:
        return Arrangement(Outcome.FOUND, (), "nothing to place")
    bound = why_impossible(room, demands)
    if bound is not None:
        return Arrangement(Outcome.IMPOSSIBLE, (), bound)
    for way in _QUICK:
        placed = way(room, demands)
        if placed is not None and not verify(room, placed):
            return Arrangement(Outcome.FOUND, placed, way.__name__.replace("_", " "))
    progress("looking for an arrangement of the contents")
    return _searched(room, demands, work)


def _searched(room: Room, demands: tuple[Demand, ...], work: float) -> Arrangement:
    if _all_one_disc(demands):
        # right-angled, equal squares go in best as a grid, and that was tried
        searched = Searched(End.NONE_EXISTS)
    else:
        searched = right_angled(room, demands, held=False, work=work)
    hung = False
    if searched.end is End.FOUND:
        placed = dropped(searched.placements)
        hung = bool(verify(room, placed))
        if hung:
            searched = right_angled(room, demands, held=True, work=work)
            placed = dropped(searched.placements)
        if searched.end is End.FOUND and not verify(room, placed):
            return Arrangement(Outcome.FOUND, placed, "right-angled search")
    placed_discs = spread(room, demands)
    if placed_discs is not None and not verify(room, placed_discs):
        return Arrangement(Outcome.FOUND, placed_discs, "discs driven apart")
    return Arrangement(Outcome.NONE_FOUND, (), _why_none(demands, searched.end, hung, work))


def _all_one_disc(demands: tuple[Demand, ...]) -> bool:
    one_pose = len(demands) == 1 and len(demands[0].poses) == 1
    return one_pose and isinstance(demands[0].poses[0].footprint, Disc)


def dropped(placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """The same arrangement with every body let down until it meets the floor or another."""
    settled: list[Placement] = []
    for body in sorted(placements, key=lambda p: p.z_mm):
        below = [other.top_mm for other in settled if _overlaps_in_plan(body, other)]
        settled.append(replace(body, z_mm=max(below, default=0.0)))
    return tuple(settled)


def _overlaps_in_plan(one: Placement, other: Placement) -> bool:
    a, b = extents(one), extents(other)
    if max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3]) >= -TOUCH_MM:
        return False
    return plan_gap(one, other) < -TOUCH_MM


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
    return reason
