"""Entries that cannot belong to the others are named and set aside, one after another.

The rule: an entry is odd when its externally studentised residual, the one measured against a fit
without it, would be as large in fewer than one of a hundred sets of good readings of this number
(Student's t with Bonferroni's correction). At most a fifth of the entries is set aside: with more
it is not the entries that are wrong.

Few entries go one by one, each judged by a fit without those before it. Among many a single one
moves the fit so little that a twentieth of them may go at once: those that say little in it.
"""

import math
from dataclasses import dataclass

import numpy as np

FALSE_ALARMS = 0.01
"""Share of sets of good readings in which one is called odd."""
MOST_SHARE = 0.2
LARGEST_LEVERAGE = 0.99
"""Above it an entry is checked by no other."""
MANY = 200
"""With so many entries or fewer they go one by one."""
SMALL_LEVERAGE = 0.05
"""Entries that go together have no more say than this in their own fitted value, unless it is by
their piece's error, of which one entry goes at a time."""


@dataclass(frozen=True)
class Odd:
    """One entry that was set aside."""

    entry: int
    """Its number."""
    residual_mm: float
    """Found less expected from all others."""
    chance: float
    """How rarely good readings would hold one as far off."""


def all_odd(
    residuals: np.ndarray,
    variance: np.ndarray,
    leverage: np.ndarray,
    checked: np.ndarray,
    piece: np.ndarray,
    *,
    dof: float,
    most: int,
) -> tuple[Odd, ...]:
    """The entries to set aside next, the oddest first: one, or at most ``most`` among many.

    All arrays (n,), mm and mm2. ``checked`` says which to look at; ``dof`` are the residuals'
    degrees of freedom, inf where the variances were known beforehand. Of entries that share a
    ``piece`` (its number, or -1), one goes at a time.
    """
    from scipy.special import ndtr, stdtr

    open_ = checked & (leverage < LARGEST_LEVERAGE)
    if dof < 2 or most < 1 or not open_.any():
        return ()
    rest = np.where(open_, 1 - leverage, 1.0)
    squares = residuals**2 / variance / rest
    whole = max(float((residuals**2 / variance)[open_].sum()), 1e-300)
    # What the others alone say of the scale that the variances should have had.
    without = np.maximum((whole - squares) / (dof - 1), 1e-12) if math.isfinite(dof) else 1.0
    student = np.where(open_, np.sqrt(squares / without), 0.0)
    tail = stdtr(dof - 1, -student) if math.isfinite(dof) else ndtr(-student)
    chance = np.where(open_, 2 * tail * int(open_.sum()), 1.0)
    worst = int(np.argmax(student))
    if not chance[worst] < FALSE_ALARMS:
        return ()
    chosen, pieces = [worst], {int(piece[worst])}
    together = min(most, 1 if len(residuals) <= MANY else len(residuals) // 20)
    quiet = (leverage <= SMALL_LEVERAGE) | (piece >= 0)
    odd = np.flatnonzero((chance < FALSE_ALARMS) & quiet)
    for place in map(int, odd[np.argsort(-student[odd], kind="stable")]):
        if len(chosen) >= together:
            break
        number = int(piece[place])
        if place != worst and (number < 0 or number not in pieces):
            chosen.append(place)
            pieces.add(number)
    return tuple(Odd(k, float(residuals[k] / rest[k]), float(chance[k])) for k in chosen)


def most_to_set_aside(count: int) -> int:
    """How many of ``count`` entries may be called odd.

    >>> most_to_set_aside(12)
    2
    """
    return math.floor(count * MOST_SHARE)
