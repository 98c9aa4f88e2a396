"""Limits that jump where other ends of two pieces meet, on one level from there on.

Where ends of two pieces lie exactly beside each other as designed, as symmetric boxes are drawn,
other ends meet as soon as any input is off, however little; where they lie nearly beside each
other, they do as soon as it is off by enough. A slope across a jump is none of the limit's.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from itertools import product

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.odds.making import Workshop
from fitcheck.odds.readings import Reader, Readings
from fitcheck.odds.slopes import Key, read_again
from fitcheck.odds.turns import Limit

LEAST_MM = 0.05
"""What bends by less at a standard uncertainty is no jump."""
FEWEST = 3
"""So many inputs bend a limit alike where it jumps."""
MOST = 0.98
"""Inputs that bend a limit by so much of the most bend it as much."""
JUMPS = 0.75
"""A jump is so much of what an input bends a limit by, or the limit is bent."""
FURTHER = (-1.5, -0.5, 0.5, 1.5)
"""Inputs are tried so many standard uncertainties off as well, beside one to either side."""
WHERE = (-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5)


def jumping(
    limits: Sequence[Limit],
    workshop: Workshop,
    read: Readings,
    readers: Sequence[Reader],
    u: Array,
) -> dict[Key, Limit]:
    """The limits that jump where inputs are off, on the level they jump to; others are left out.

    Inputs that bend one are tried at other steps as well, so that jumps are told from bends: first
    one of those that bend it most, and the others where that one finds a jump.
    Of several levels it is the lowest, which leaves the least room. `read` is what was read as
    designed, `u` (k,) are the inputs' standard uncertainties.
    """
    bent = [(one, _bent(one, u)) for one in limits]
    suspects = [(one, inputs) for one, inputs in bent if len(inputs) >= FEWEST]
    further: dict[int, Sequence[Readings]] = {}

    def ask(inputs: Collection[int]) -> None:
        asked = sorted(set(inputs) - further.keys())
        trials = [{workshop.inputs[k].name: s * u[k]} for k in asked for s in FURTHER]
        found = iter(read_again(workshop.make_all(trials), readers, read))
        further.update((k, [next(found) for _ in FURTHER]) for k in asked)

    def found_by(one: Limit, inputs: Sequence[int]) -> Limit | None:
        return _begun(one, inputs, further, u)

    firsts = _firsts([_most_bending(one.kinks * u, inputs) for one, inputs in suspects])
    if firsts:
        ask(firsts)
    jumps = [
        (one, inputs)
        for (one, inputs), k in zip(suspects, firsts, strict=True)
        if found_by(one, [k]) is not None
    ]
    if jumps:
        ask([k for _, inputs in jumps for k in inputs])
    begun = {(one.family, one.member): found_by(one, inputs) for one, inputs in jumps}
    return {key: one for key, one in begun.items() if one is not None}


def _most_bending(bends: Array, inputs: Sequence[int]) -> set[int]:
    """Those of some inputs that bend a limit, (k,) mm, as the first of them does."""
    return {k for k in inputs if abs(bends[k]) >= MOST * abs(bends[inputs[0]])}


def _firsts(most: Sequence[set[int]]) -> list[int]:
    """One of each set of inputs, few different ones in all."""
    chosen: dict[int, None] = {}
    while left := [own for own in most if not own & chosen.keys()]:
        counts = Counter(k for own in left for k in own)
        chosen[min(counts, key=lambda k: (-counts[k], k))] = None
    return [next(k for k in chosen if k in own) for own in most]


def _bent(limit: Limit, u: Array) -> list[int]:
    """The inputs that bend a limit as its most bending one does, that one first."""
    bends = limit.kinks * u
    order = np.argsort(-np.abs(bends), kind="stable")
    alike = bends * np.sign(bends[order[0]]) > LEAST_MM
    return [int(k) for k in order if alike[k]]


def _begun(
    limit: Limit, inputs: Sequence[int], further: Mapping[int, Sequence[Readings]], u: Array
) -> Limit | None:
    """A limit on the level that it jumps to, without its jumps; None where it only bends."""
    gradient, kinks = limit.gradient.copy(), limit.kinks.copy()
    starts: list[float] = []
    for k in inputs:
        near = [own.get(limit.family, {}).get(limit.member) for own in further[k]]
        by = np.array([-1.0, 1.0]) * limit.gradient[k] * u[k] + limit.kinks[k] * u[k]
        whole = limit.value + by
        row = [near[0], whole[0], near[1], limit.value, near[2], whole[1], near[3]]
        levels = levels_of(np.array(row, dtype=float))
        if 0.5 * (levels[0] + levels[4]) / (limit.kinks[k] * u[k]) < JUMPS:
            continue
        down, up = by - levels[[0, -1]]
        gradient[k], kinks[k] = (up - down) / (2.0 * u[k]), (up + down) / (2.0 * u[k])
        below, above = levels[1], levels[3]
        spike = below * above > 0.0
        starts.append(float(np.delete(levels, 2).min() if spike else levels.min()))
    if not starts:
        return None
    return replace(limit, value=limit.value + min(starts), gradient=gradient, kinks=kinks)


def levels_of(row: Array) -> Array:
    """How far what is read one and half a step off and as designed (5,) has jumped, mm.

    `row` (7,) is what is read at the steps `WHERE`, nan where nothing is. From step to step a bend
    goes on as it did before or as it does after, or between both; a jump stands out from both.
    """
    steps = np.diff(row)
    jumps = np.zeros(len(steps))
    # a jump hides what bends beside it, so that the largest is taken out first
    for _ in steps[1:-1]:
        ends = np.sort([steps[:-2], steps[2:]], axis=0)
        out = np.nan_to_num(steps[1:-1] - np.clip(steps[1:-1], *ends))
        one = 1 + int(np.argmax(np.abs(out)))
        if abs(out[one - 1]) > LEAST_MM:
            jumps[one] += out[one - 1]
            steps[one] -= out[one - 1]
    levels = np.concatenate([[0.0], np.cumsum(jumps[1:-1])])
    found: Array = levels - levels[2]
    return found


def straightened(looked: Sequence[Readings], jumps: Mapping[Key, float]) -> list[Readings]:
    """What is read before a turn, at it and beyond it, all on one level of limits that jump there.

    That is where the three lie in line most nearly: what the turn's input does by itself may leave
    the ends where they are.
    """
    found = [{family: dict(own) for family, own in one.items()} for one in looked]
    for (family, member), by in jumps.items():
        three = [own.get(family, {}).get(member) for own in looked]
        if None in three:
            continue
        low, at, high = (mm for mm in three if mm is not None)
        # all on the other level bend as all on this one do
        levels = [(0.0, 0.0, 0.0), *product((0.0, by), repeat=3)]
        best = min(levels, key=lambda on: abs(low + on[0] - 2.0 * (at + on[1]) + high + on[2]))
        for own, mm, more in zip(found, (low, at, high), best, strict=True):
            own[family][member] = mm + more
    return found
