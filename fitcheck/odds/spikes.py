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


def jumps_of(
    limits: Sequence[Limit], workshop: Workshop, read: Readings, readers: Sequence[Reader], u: Array
) -> dict[Key, float]:
    """By how much limits jump where anything is off, mm; those that do not are left out.

    `read` is what was read as designed, `u` (k,) the inputs' standard uncertainties.
    """
    asked: dict[int, list[Limit]] = {}
    for limit in limits:
        bends = limit.kinks * u
        most = int(np.argmax(np.abs(bends)))
        alike = bends * np.sign(bends[most]) > LEAST_MM
        if np.count_nonzero(alike) >= FEWEST:
            asked.setdefault(most, []).append(limit)
    if not asked:
        return {}
    trials = [{workshop.inputs[k].name: s * 0.5 * u[k]} for k in asked for s in (1.0, -1.0)]
    found = read_again(workshop.make_all(trials), readers, read)
    jumps: dict[Key, float] = {}
    for (k, own), up, down in zip(asked.items(), found[::2], found[1::2], strict=True):
        for limit in own:
            both = [r.get(limit.family, {}).get(limit.member) for r in (up, down)]
            if both[0] is None or both[1] is None:
                continue
            by = 0.5 * (both[0] + both[1]) - limit.value
            if by / (limit.kinks[k] * u[k]) > JUMPS:
                jumps[limit.family, limit.member] = float(limit.kinks[k] * u[k])
    return jumps


def started_beside(limits: Sequence[Limit], jumps: Mapping[Key, float]) -> list[Limit]:
    """The limits with those that jump begun where they jump to, and straight from there."""
    return [
        limit
        if (by := jumps.get((limit.family, limit.member))) is None
        else replace(limit, value=limit.value + by, kinks=np.zeros_like(limit.kinks))
        for limit in limits
    ]
