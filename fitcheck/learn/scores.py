"""How good predicted odds were, by what happened when boxes were made."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.learn.evaluate import repeats
from fitcheck.learn.outcomes import BoxOutcome, BoxRecord

LEAST_CHANCE = 1e-5
"""Odds from 100 000 boxes cannot say that something is rarer than this."""


@dataclass(frozen=True)
class Tally:
    """Boxes that were predicted to slide on about as often, and how many did."""

    tenths: int
    """So many times in ten."""
    boxes: int
    slid: int


@dataclass(frozen=True)
class Score:
    """How predicted odds have done; the smaller the better."""

    boxes: int
    brier: float
    """Mean over boxes of the sum over outcomes of (chance - what happened)^2: 0 to 2."""
    brier_u: float
    """Its standard uncertainty, s / sqrt(n); nan for one box."""
    log: float
    """Mean of minus the natural logarithm of the chance given to what happened."""
    log_u: float
    ignorant: float
    """The Brier score of someone who always says a third each."""
    expected: float
    """The Brier score to expect if the odds are right."""
    expected_u: float
    """Standard deviation of that score over as many boxes, if the odds are right."""
    tallies: tuple[Tally, ...] = ()
    """The same in counts, the surest first."""

    @property
    def surprising(self) -> bool:
        """Whether the score is further from the expected one than chance explains."""
        return abs(self.brier - self.expected) > 2 * self.expected_u


def score_of(boxes: Sequence[BoxRecord]) -> Score | None:
    """The score of all boxes that were predicted with odds; None when there are none.

    Brier's score (1950) and the logarithmic one are proper: no one gains by saying other odds
    than they believe. The spread under right odds follows Spiegelhalter (1986).
    """
    told = [(box.forecast.chances, box.outcome) for box in boxes if box.forecast.chances]
    if not told:
        return None
    briers = [brier_of(chances, outcome) for chances, outcome in told if chances]
    logs = [
        -math.log(max(chances[_place(outcome)], LEAST_CHANCE))
        for chances, outcome in told
        if chances
    ]
    moments = [_expected(chances) for chances, _ in told if chances]
    count = len(briers)
    brier, brier_u = _mean(briers)
    log, log_u = _mean(logs)
    return Score(
        boxes=count,
        brier=brier,
        brier_u=brier_u,
        log=log,
        log_u=log_u,
        ignorant=2 / 3,
        expected=math.fsum(mean for mean, _ in moments) / count,
        expected_u=math.sqrt(math.fsum(variance for _, variance in moments)) / count,
        tallies=_tallies([(chances[1], outcome) for chances, outcome in told if chances]),
    )


def _tallies(told: Sequence[tuple[float, BoxOutcome]]) -> tuple[Tally, ...]:
    """Counts by the chance of sliding on, in tenths."""
    groups: dict[int, list[bool]] = {}
    for chance, outcome in told:
        groups.setdefault(round(10 * chance), []).append(outcome is BoxOutcome.SLID)
    return tuple(
        Tally(tenths, len(groups[tenths]), sum(groups[tenths]))
        for tenths in sorted(groups, reverse=True)
    )


def brier_of(chances: tuple[float, float, float], outcome: BoxOutcome) -> float:
    """Brier's score of one prediction.

    >>> brier_of((0.0, 1.0, 0.0), BoxOutcome.SLID), brier_of((0.0, 1.0, 0.0), BoxOutcome.BOUND)
    (0.0, 2.0)
    """
    happened = _place(outcome)
    return math.fsum((chance - (k == happened)) ** 2 for k, chance in enumerate(chances))


def _place(outcome: BoxOutcome) -> int:
    return list(BoxOutcome).index(outcome)


def _expected(chances: tuple[float, float, float]) -> tuple[float, float]:
    """Mean and variance of Brier's score when the chances are right."""
    scores = [brier_of(chances, outcome) for outcome in BoxOutcome]
    mean = math.fsum(p * score for p, score in zip(chances, scores, strict=True))
    square = math.fsum(p * score**2 for p, score in zip(chances, scores, strict=True))
    return mean, max(0.0, square - mean**2)


def _mean(values: Sequence[float]) -> tuple[float, float]:
    if len(values) == 1:
        return values[0], math.nan
    found = repeats(values)
    return found.mean, found.u
