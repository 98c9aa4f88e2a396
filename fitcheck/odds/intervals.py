"""Drawn samples are summed up as intervals and chances, each with its own sampling error."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.right import Flags
from fitcheck.folding.pose import Array

COVERAGE = 0.95


@dataclass(frozen=True)
class Interval:
    """A coverage interval with the standard sampling error of its ends."""

    low: float
    high: float
    low_error: float
    high_error: float


def symmetric_interval(ordered: Array, coverage: float = COVERAGE) -> Interval:
    """The interval with as much left out below as above (JCGM 101:2008, 7.7.2).

    `ordered` (m,) is sorted, m at least 2.
    """
    count = len(ordered)
    inside = min(int(coverage * count + 0.5), count - 1)
    start = (count - inside + 1) // 2
    return _interval(ordered, max(0, start - 1), inside)


def shortest_interval(ordered: Array, coverage: float = COVERAGE) -> Interval:
    """The shortest interval of that coverage (JCGM 101:2008, 7.7.3); `ordered` (m,) is sorted."""
    inside = min(int(coverage * len(ordered) + 0.5), len(ordered) - 1)
    widths = ordered[inside:] - ordered[:-inside]
    return _interval(ordered, int(np.argmin(widths)), inside)


def _interval(ordered: Array, start: int, inside: int) -> Interval:
    stop = start + inside
    return Interval(
        float(ordered[start]),
        float(ordered[stop]),
        _end_error(ordered, start),
        _end_error(ordered, stop),
    )


def _end_error(ordered: Array, rank: int) -> float:
    """Half the distance of the order statistics one binomial deviation to each side."""
    count = len(ordered)
    share = (rank + 0.5) / count
    spread = max(1, round(math.sqrt(count * share * (1.0 - share))))
    low, high = max(0, rank - spread), min(count - 1, rank + spread)
    return 0.5 * float(ordered[high] - ordered[low])


@dataclass(frozen=True)
class Chance:
    """How often something came about among the drawn boxes, and within what bounds it is known."""

    hits: int
    boxes: int

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
        from scipy.special import betaincinv

        if self.hits == 0:
            return 0.0, 1.0 - 0.05 ** (1.0 / self.boxes)
        if self.hits == self.boxes:
            return 0.05 ** (1.0 / self.boxes), 1.0
        low = betaincinv(self.hits, self.boxes - self.hits + 1, 0.025)
        high = betaincinv(self.hits + 1, self.boxes - self.hits, 0.975)
        return float(low), float(high)


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


def chance_of(happened: Flags) -> Chance:
    """The chance of something that did or did not happen in each box."""
    return Chance(int(np.count_nonzero(happened)), len(happened))
