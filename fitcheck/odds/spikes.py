"""Limits that are what they are only where nothing at all is off, as symmetric boxes are drawn.

Where ends of two pieces lie exactly beside each other as designed, other ends meet as soon as any
input is off, however little. What is read then goes on; what is read as designed is no start of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

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
JUMPS = 0.75
"""At half the step a jump is nearly as large, and a bend half as large."""


def jumping(
    limits: Sequence[Limit],
    workshop: Workshop,
    read: Readings,
    readers: Sequence[Reader],
    u: Array,
) -> dict[Key, Limit]:
    """The limits that jump where anything is off, begun where they go on from; others are left out.

    Each input that bends one is tried at half its step as well: what goes on from there to the
    whole step is its slope. They begin at the least of what those slopes come from. `read` is what
    was read as designed, `u` (k,) are the inputs' standard uncertainties.
    """
    bent = [(one, _bent(one, u)) for one in limits]
    suspects = [(one, inputs) for one, inputs in bent if len(inputs) >= FEWEST]
    asked = sorted({k for _, inputs in suspects for k in inputs})
    if not asked:
        return {}
    trials = [{workshop.inputs[k].name: s * 0.5 * u[k]} for k in asked for s in (1.0, -1.0)]
    halves = iter(read_again(workshop.make_all(trials), readers, read))
    half = {k: (next(halves), next(halves)) for k in asked}
    found: dict[Key, Limit] = {}
    for one, inputs in suspects:
        begun = _begun(one, inputs, half, u)
        if begun is not None:
            found[one.family, one.member] = begun
    return found


def _bent(limit: Limit, u: Array) -> list[int]:
    """The inputs that bend a limit as its most bending one does, that one first."""
    bends = limit.kinks * u
    order = np.argsort(-np.abs(bends), kind="stable")
    alike = bends * np.sign(bends[order[0]]) > LEAST_MM
    return [int(k) for k in order if alike[k]]


def _begun(
    limit: Limit, inputs: Sequence[int], half: Mapping[int, tuple[Readings, Readings]], u: Array
) -> Limit | None:
    """A limit from where it jumps to; None where it only bends, or is not there at half a step."""
    gradient, kinks = limit.gradient.copy(), limit.kinks.copy()
    starts: list[float] = []
    for k in inputs:
        near = [own.get(limit.family, {}).get(limit.member) for own in half[k]]
        if near[0] is None or near[1] is None:
            return None
        up, down = near[0], near[1]
        if k == inputs[0]:
            share = (0.5 * (up + down) - limit.value) / (limit.kinks[k] * u[k])
            if share < JUMPS:
                return None
        above = limit.value + (limit.gradient[k] + limit.kinks[k]) * u[k]
        below = limit.value - (limit.gradient[k] - limit.kinks[k]) * u[k]
        starts += [2.0 * up - above, 2.0 * down - below]
        gradient[k] = (above - up + down - below) / u[k]
        kinks[k] = 0.0
    return replace(limit, value=float(min(starts)), gradient=gradient, kinks=kinks)


def straightened(looked: Sequence[Readings], jumps: Mapping[Key, float]) -> list[Readings]:
    """What is read before a turn, at it and beyond it, at it without the jump of limits there.

    That is where what is read on both sides lies more in line with it so: what the turn's input
    does by itself may leave the ends where they are.
    """
    below, there, beyond = looked
    if not jumps:
        return [below, there, beyond]
    found = {family: dict(own) for family, own in there.items()}
    for (family, member), by in jumps.items():
        three = [own.get(family, {}).get(member) for own in (below, there, beyond)]
        if None not in three:
            low, at, high = (mm for mm in three if mm is not None)
            if abs(low - 2.0 * (at + by) + high) < abs(low - 2.0 * at + high):
                found[family][member] = at + by
    return [below, found, beyond]
