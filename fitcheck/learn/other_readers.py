"""Who reads a piece is not who made it: somebody else's readings may be of the very same pieces.

Two coupons have the same letters and sizes whoever makes them. Pieces made anew scatter by what
scores and folds are off, readings of the same pieces by what a hand and an instrument are; a
difference that all share is that of two instruments or two days and tells nothing of the pieces.
"""

from __future__ import annotations

import enum
import math
import statistics
from collections.abc import Iterable, Sequence

from fitcheck.learn.entries import HAND_DOF, HAND_MM

FRESH_MM = 0.1
"""Two folds, or cuts, of one size made anew differ by about so much or more (common practice, no
source)."""
BY_CHANCE = 0.01
"""Pieces made anew come out as near to older ones in so few of all coupons."""
FURTHER = 0.001
"""Readings of the same pieces are further apart in so few of all coupons."""
LEAST_LEFT = 4
"""Of so many sizes the one that is furthest off may be misread."""


class Likeness(enum.IntEnum):
    """What readings by somebody else say of older ones under the same letters."""

    OTHERS = 0
    UNSURE = 1
    SAME = 2


def likeness(offs: Sequence[float], u2s: Sequence[float], dof: float) -> Likeness:
    """Whether sizes that are ``offs`` (mm) from older ones are of the same pieces.

    ``u2s`` are the variances of those differences where the pieces are the same, mm2, known with
    ``dof`` degrees of freedom.
    """
    from scipy.special import chdtr, fdtrc

    if not offs:
        return Likeness.UNSURE
    middle = statistics.median(offs)
    pairs = sorted(zip(offs, u2s, strict=True), key=lambda one: abs(one[0] - middle))
    pairs = pairs[:-1] if len(pairs) > LEAST_LEFT else pairs
    shared = statistics.fmean(off for off, _ in pairs) if len(pairs) > 1 else 0.0
    squares = [(off - shared) ** 2 for off, _ in pairs]
    own = max(len(pairs) - 1, 1)
    if float(chdtr(own, math.fsum(squares) / FRESH_MM**2)) <= BY_CHANCE:
        return Likeness.SAME
    least = 2 * HAND_MM**2
    ratio = math.fsum(s / max(u2, least) for s, (_, u2) in zip(squares, pairs, strict=True)) / own
    return Likeness.OTHERS if float(fdtrc(own, dof, ratio)) <= FURTHER else Likeness.UNSURE


def scatter_of_repeats(sets: Iterable[Sequence[float]]) -> tuple[float, float]:
    """Variance of one reading by its repeats in one file, mm2, and its degrees of freedom."""
    squares, dof = HAND_DOF * HAND_MM**2, HAND_DOF
    for values in sets:
        mean = statistics.fmean(values)
        squares += math.fsum((value - mean) ** 2 for value in values)
        dof += len(values) - 1
    return squares / dof, dof
