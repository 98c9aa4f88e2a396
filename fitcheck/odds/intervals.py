"""Drawn samples are summed up as intervals and chances, each with its own sampling error."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.right import Flags
from fitcheck.folding.pose import Array

COVERAGE = 0.95
TAIL_SPREADS = 16.0
"""Terms of a binomial tail further out than so many standard deviations add nothing."""
SETTLED, MOST_STEPS = 1e-14, 100
"""A quantile is found when a step changes it by less than this share of itself."""


@dataclass(frozen=True)
class Interval:
    """A coverage interval with the standard sampling error of its ends."""

    low: float
    high: float
    low_error: float
    high_error: float


def symmetric_interval(values: Array, coverage: float = COVERAGE) -> Interval:
    """The interval with as much left out below as above (JCGM 101:2008, 7.7.2).

    Values (m,) are in any order, m at least 2; only those that count are put in order.
    """
    count = len(values)
    inside = min(int(coverage * count + 0.5), count - 1)
    start = max(0, (count - inside + 1) // 2 - 1)
    ranks = {rank for end in (start, start + inside) for rank in _around(count, end)}
    ordered, stop = np.partition(values, sorted(ranks)), start + inside
    return Interval(
        float(ordered[start]),
        float(ordered[stop]),
        _end_error(ordered, start),
        _end_error(ordered, stop),
    )


def _end_error(ordered: Array, rank: int) -> float:
    """Half the distance of the order statistics one binomial deviation to each side."""
    low, _, high = _around(len(ordered), rank)
    return 0.5 * float(ordered[high] - ordered[low])


def _around(count: int, rank: int) -> tuple[int, int, int]:
    """A rank among so many, between those one binomial deviation to each side."""
    share = (rank + 0.5) / count
    spread = max(1, round(math.sqrt(count * share * (1.0 - share))))
    return max(0, rank - spread), rank, min(count - 1, rank + spread)


@dataclass(frozen=True)
class Chance:
    """How often something came about among the drawn boxes, and within what bounds it is known."""

    hits: int
    boxes: int
    known: bool = True
    """False where nothing was there to be counted, which is no chance of 0."""

    @property
    def share(self) -> float:
        """The observed share."""
        return self.hits / self.boxes

    @property
    def error(self) -> float:
        """Standard sampling error of the share (binomial)."""
        return math.sqrt(self.share * (1.0 - self.share) / self.boxes)

    @property
    def certain(self) -> bool:
        """True when it came about always or never: then only a bound is known."""
        return self.hits in (0, self.boxes)

    @property
    def bounds(self) -> tuple[float, float]:
        """The 95 % bounds of Clopper and Pearson; one-sided when it came about always or never.

        For none in m the upper one is close to 3/m, the rule of three.

        >>> [round(x, 6) for x in Chance(0, 100_000).bounds]
        [0.0, 3e-05]
        """
        if self.hits == 0:
            return 0.0, 1.0 - 0.05 ** (1.0 / self.boxes)
        if self.hits == self.boxes:
            return 0.05 ** (1.0 / self.boxes), 1.0
        low, missed = (least_chance(k, self.boxes) for k in (self.hits, self.boxes - self.hits))
        return low, 1.0 - missed


def least_chance(hits: int, boxes: int, beyond: float = 0.5 * (1.0 - COVERAGE)) -> float:
    """The chance with which so many hits or more come about with a probability of `beyond`.

    It is that quantile of the beta law of (hits, boxes - hits + 1), hits at least 1, found by
    Newton's steps on the binomial tail; so that a check need not load a library for it.

    >>> round(least_chance(7, 20), 6)
    0.153909
    """
    spread = math.sqrt(max(hits * (boxes - hits), 1) / boxes)
    terms = np.arange(1, min(boxes - hits, math.ceil(TAIL_SPREADS * (spread + 1.0))) + 1)
    # each term of the tail is the one before it times this and p / (1 - p)
    ratios = (boxes - hits - terms + 1.0) / (hits + terms)
    ways = math.lgamma(boxes + 1) - math.lgamma(hits + 1) - math.lgamma(boxes - hits + 1)
    low, high = 0.0, hits / boxes
    chance = max(high - 2.0 * spread / boxes, 0.5 * high)
    for _ in range(MOST_STEPS):
        first = math.exp(ways + hits * math.log(chance) + (boxes - hits) * math.log1p(-chance))
        tail = first * (1.0 + float(np.cumprod(ratios * (chance / (1.0 - chance))).sum()))
        low, high = (chance, high) if tail < beyond else (low, chance)
        # the tail grows by hits / p times its first term
        following = chance - (tail - beyond) * chance / (hits * first) if first > 0.0 else low
        if not low < following < high:
            following = 0.5 * (low + high)
        if abs(following - chance) <= SETTLED * following:
            return following
        chance = following
    return chance


def surely_more(before: Flags, after: Flags) -> bool:
    """Whether something came about oftener in the same drawn boxes (n,), chance left aside.

    The boxes in which it changed decide: the excess is to be above two of its own standard
    deviations, as in McNemar's test of paired counts (1947).

    >>> one = np.arange(100) < 40
    >>> surely_more(one, np.arange(100) < 47), surely_more(one, np.arange(100) < 43)
    (True, False)
    """
    won = np.count_nonzero(after & ~before)
    lost = np.count_nonzero(before & ~after)
    return bool(won - lost > 2.0 * math.sqrt(won + lost))


def chance_of(happened: Flags, *, known: bool = True) -> Chance:
    """The chance of something that did or did not happen in each box."""
    return Chance(int(np.count_nonzero(happened)), len(happened), known)
