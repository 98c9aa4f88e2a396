"""Entries that cannot belong to the others are named and set aside, one after another.

The rule: an entry is odd when its externally studentised residual, the one measured against a fit
without it, would be as large in fewer than one of a hundred sets of good readings of this number
(Student's t with Bonferroni's correction). At most a fifth of the entries is set aside: with more
it is not the entries that are wrong.
"""

import math
from dataclasses import dataclass

import numpy as np

FALSE_ALARMS = 0.01
"""Share of sets of good readings in which one is called odd."""
MOST_SHARE = 0.2
LARGEST_LEVERAGE = 0.99
"""Above it an entry is checked by no other."""


@dataclass(frozen=True)
class Odd:
    """One entry that was set aside."""

    entry: int
    """Its number."""
    residual_mm: float
    """Found less expected from all others."""
    chance: float
    """How rarely good readings would hold one as far off."""


def most_odd(
    residuals: np.ndarray,
    variance: np.ndarray,
    leverage: np.ndarray,
    checked: np.ndarray,
    *,
    dof: float,
) -> Odd | None:
    """The entry that fits the others least, if it is odd at all; all arrays (n,), mm and mm2.

    ``checked`` says which to look at; ``dof`` are the residuals' degrees of freedom, inf where
    the variances were known beforehand.
    """
    from scipy.special import ndtr, stdtr

    open_ = checked & (leverage < LARGEST_LEVERAGE)
    if dof < 2 or not open_.any():
        return None
    rest = np.where(open_, 1 - leverage, 1.0)
    squares = residuals**2 / variance / rest
    whole = max(float((residuals**2 / variance)[open_].sum()), 1e-300)
    # What the others alone say of the scale that the variances should have had.
    without = np.maximum((whole - squares) / (dof - 1), 1e-12) if math.isfinite(dof) else 1.0
    student = np.where(open_, np.sqrt(squares / without), 0.0)
    worst = int(np.argmax(student))
    tail = stdtr(dof - 1, -student[worst]) if math.isfinite(dof) else ndtr(-student[worst])
    chance = 2 * float(tail) * int(open_.sum())
    if chance >= FALSE_ALARMS:
        return None
    return Odd(worst, float(residuals[worst] / rest[worst]), chance)


def most_to_set_aside(count: int) -> int:
    """How many of ``count`` entries may be called odd.

    >>> most_to_set_aside(12)
    2
    """
    return math.floor(count * MOST_SHARE)
