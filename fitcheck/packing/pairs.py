"""The right-angled search pair by pair, for bodies of many sizes: two are apart along an axis."""

from __future__ import annotations

import itertools
from typing import Any

from fitcheck.packing.solver import Kind, Searched, Size, cp_model, solve


def by_pairs(kinds: list[Kind], ends: Size, held: bool, work: float) -> Searched:
    """Choose a pose and a corner for each body; see `search.right_angled`."""
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
    if held:
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
