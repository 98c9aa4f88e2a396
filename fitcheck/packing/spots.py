"""The right-angled search over spots, for bodies with few coordinates that matter.

Pushed towards the corner, every body starts at a sum of other bodies' sizes, so each coordinate
comes from a finite list (Herz 1972; Christofides and Whitlock 1977, Operations Research 25;
citations from memory), and two bodies overlap just when one of these points lies in both.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

from fitcheck.packing.solver import Kind, Searched, Size, cp_model, solve

_MOST_SPOTS = 60_000
_MOST_COVERED = 2_000_000
WORK_EACH = 2e-7
"""What listing one spot at one of its points counts as the solver's work, measured."""


@dataclass(frozen=True)
class Spot:
    """One way to place one body of a kind."""

    kind: int
    pose: int
    at: Size
    to: Size


@dataclass(frozen=True)
class Spots:
    """Every spot, and for each point the numbers of the spots that cover it."""

    spots: tuple[Spot, ...]
    covering: tuple[tuple[int, ...], ...]


def _starts(kinds: list[Kind], end: int, axis: int, most: int) -> list[int] | None:
    """Every sum of sizes that leaves room for the smallest body; None if over `most`."""
    least = min(size[axis] for kind in kinds for size in kind.sizes)
    sums = {0}
    for kind in kinds:
        parts = sorted({size[axis] for size in kind.sizes})
        for _ in range(min(kind.demand.count, end // parts[0])):
            more = {s + part for s in sums for part in parts if s + part <= end - least}
            if more <= sums:
                break
            sums |= more
            if len(sums) > most:
                return None
    return sorted(sums)


def list_spots(kinds: list[Kind], ends: Size) -> Spots | None:
    """Every spot in the room, or None where there are too many to search."""
    along: list[list[int]] = []
    most = _MOST_SPOTS // sum(len(kind.poses) for kind in kinds)
    for axis in range(3):
        starts = _starts(kinds, ends[axis], axis, most)
        if starts is None:
            return None
        along.append(starts)
        most //= len(starts)
    xs, ys, zs = along
    spots: list[Spot] = []
    for index, kind in enumerate(kinds):
        for pose, size in enumerate(kind.sizes):
            for at in itertools.product(xs, ys, zs):
                to = (at[0] + size[0], at[1] + size[1], at[2] + size[2])
                if all(t <= end for t, end in zip(to, ends, strict=True)):
                    spots.append(Spot(index, pose, at, to))
    covering: dict[Size, list[int]] = {}
    total = 0
    for number, spot in enumerate(spots):
        points_x = [x for x in xs if spot.at[0] <= x < spot.to[0]]
        points_y = [y for y in ys if spot.at[1] <= y < spot.to[1]]
        points_z = [z for z in zs if spot.at[2] <= z < spot.to[2]]
        total += len(points_x) * len(points_y) * len(points_z)
        if total > _MOST_COVERED:
            return None
        for point in itertools.product(points_x, points_y, points_z):
            covering.setdefault(point, []).append(number)
    return Spots(tuple(spots), tuple(tuple(each) for each in covering.values()))


def by_spots(kinds: list[Kind], listed: Spots, supported: bool, work: float) -> Searched:
    """Choose spots so that no point is covered twice; see `right_angled`."""
    spots = listed.spots
    model = cp_model().CpModel()
    taken = [model.new_bool_var(f"spot {number}") for number in range(len(spots))]
    for index, kind in enumerate(kinds):
        of_kind = [taken[n] for n, spot in enumerate(spots) if spot.kind == index]
        model.add(sum(of_kind) == kind.demand.count)
    for covered in listed.covering:
        model.add_at_most_one(taken[n] for n in covered)
    if supported:
        _hold_up(model, spots, taken)
    solved = solve(model, work)
    value = solved.value
    cost = solved.work + WORK_EACH * sum(len(covered) for covered in listed.covering)
    if value is None:
        return Searched(solved.end, work=cost)
    return Searched(
        solved.end,
        tuple(
            kinds[spot.kind].place(spot.pose, spot.at)
            for variable, spot in zip(taken, spots, strict=True)
            if value(variable)
        ),
        cost,
    )


def _hold_up(model: Any, spots: tuple[Spot, ...], taken: list[Any]) -> None:
    tops: dict[int, list[int]] = {}
    for number, spot in enumerate(spots):
        tops.setdefault(spot.to[2], []).append(number)
    for number, spot in enumerate(spots):
        if spot.at[2] > 0:
            below = [n for n in tops.get(spot.at[2], []) if _under_middle(spots[n], spot)]
            model.add_bool_or([~taken[number], *(taken[n] for n in below)])


def _under_middle(lower: Spot, upper: Spot) -> bool:
    return all(2 * lower.at[k] <= upper.at[k] + upper.to[k] <= 2 * lower.to[k] for k in range(2))
