"""The search for a right-angled arrangement: over spots where they are few, else pair by pair."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

from fitcheck.packing.placing import Demand
from fitcheck.packing.room import Room
from fitcheck.packing.solver import (
    End,
    Kind,
    Searched,
    Size,
    cp_model,
    solve,
    whole_kind,
    whole_room,
)
from fitcheck.packing.spots import by_spots, list_spots

_MOST_BY_PAIRS = 40


def right_angled(
    room: Room, demands: Sequence[Demand], *, supported: bool, work: float
) -> Searched:
    """Search for an arrangement along the axes; `work` is the solver's deterministic time.

    With `supported`, each body must stand on the floor or have its middle over the top of one
    other; without, bodies may hang. Raises MissingLibraryError when the solver cannot be loaded.
    """
    ends = whole_room(room, demands)
    kinds = [whole_kind(demand, ends) for demand in demands]
    if not all(kind.poses for kind in kinds):
        return Searched(End.NONE_EXISTS)
    spots = list_spots(kinds, ends)
    if spots is not None:
        return by_spots(kinds, spots, supported, work)
    if sum(demand.count for demand in demands) <= _MOST_BY_PAIRS:
        return by_pairs(kinds, ends, supported, work)
    return Searched(End.TOO_MANY)


def by_pairs(kinds: list[Kind], ends: Size, supported: bool, work: float) -> Searched:
    """Choose a pose and a corner for each body; see `right_angled`."""
    model = cp_model().CpModel()
    bodies = [kind for kind in kinds for _ in range(kind.demand.count)]
    lies: list[list[Any]] = []
    at: list[list[Any]] = []
    to: list[list[Any]] = []
    for index, kind in enumerate(bodies):
        lie = [model.new_bool_var(f"lies {index} {k}") for k in range(len(kind.poses))]
        model.add_exactly_one(lie)
        low = [model.new_int_var(0, ends[axis], f"at {index} {axis}") for axis in range(3)]
        high = [
            low[axis] + sum(size[axis] * b for size, b in zip(kind.sizes, lie, strict=True))
            for axis in range(3)
        ]
        for axis in range(3):
            model.add(high[axis] <= ends[axis])
        if index and bodies[index - 1] is kind:
            # bodies of a kind are alike, so they may be numbered along the width
            model.add(at[-1][0] <= low[0])
        lies.append(lie)
        at.append(low)
        to.append(high)
    _keep_apart(model, at, to)
    if supported:
        _hold_up(model, at, to)
    solved = solve(model, work)
    value = solved.value
    if value is None:
        return Searched(solved.end, work=solved.work)
    found = []
    for kind, lie, low in zip(bodies, lies, at, strict=True):
        pose = next(k for k, b in enumerate(lie) if value(b))
        found.append(kind.place(pose, (value(low[0]), value(low[1]), value(low[2]))))
    return Searched(solved.end, tuple(found), solved.work)


def _keep_apart(model: Any, at: list[list[Any]], to: list[list[Any]]) -> None:
    for i, j in itertools.combinations(range(len(at)), 2):
        apart = [model.new_bool_var(f"apart {i} {j} {k}") for k in range(6)]
        for axis in range(3):
            model.add(to[i][axis] <= at[j][axis]).only_enforce_if(apart[axis])
            model.add(to[j][axis] <= at[i][axis]).only_enforce_if(apart[axis + 3])
        model.add_bool_or(apart)


def _hold_up(model: Any, at: list[list[Any]], to: list[list[Any]]) -> None:
    for i in range(len(at)):
        on = [model.new_bool_var(f"on {i} {j}") for j in range(len(at))]
        # "on itself" stands for the floor
        model.add(at[i][2] == 0).only_enforce_if(on[i])
        for j in range(len(at)):
            if i == j:
                continue
            model.add(to[j][2] == at[i][2]).only_enforce_if(on[j])
            for axis in range(2):
                middle = at[i][axis] + to[i][axis]
                model.add(2 * at[j][axis] <= middle).only_enforce_if(on[j])
                model.add(middle <= 2 * to[j][axis]).only_enforce_if(on[j])
        model.add_bool_or(on)
