"""Proper scores of frozen forecasts, and how often what was said came about.

A score is proper when nobody gains by saying other odds than they believe (Gneiting and Raftery,
Journal of the American Statistical Association 102 (2007) 359).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.learn.evaluate import repeats
from fitcheck.learn.made import Corner
from fitcheck.learn.scored_boxes import ScoredBox, Seen

TENTHS = 10


@dataclass(frozen=True)
class Score:
    """How the odds of one thing have done over boxes; the smaller the better."""

    boxes: int
    brier: float
    """Mean of the sum over outcomes of (chance - what happened)^2 (Brier 1950): 0 to 2."""
    brier_u: float
    """Its standard uncertainty, s / sqrt(n); nan for one box."""
    log: float
    """Mean of minus the natural logarithm of the chance given to what happened."""
    log_u: float
    expected: float
    """The Brier score to expect if the odds are right."""
    expected_u: float
    """Standard deviation of that score over as many boxes, if the odds are right and the boxes
    share nothing (Spiegelhalter 1986)."""


@dataclass(frozen=True)
class Tally:
    """Boxes that were said to come out right about as often, and how many did."""

    tenth: int
    """Said so many to so many and one times in ten."""
    boxes: int
    right: int


@dataclass(frozen=True)
class PlayScore:
    """How forecasts of the play have done."""

    boxes: int
    """With a play that was read."""
    crps_mm: float
    """Mean continuous ranked probability score."""
    off_mm: float
    """Mean distance of the play from the middle that was said, larger plays positive."""
    fifths: tuple[float, float, float, float, float]
    """How many plays fell into each fifth of what was said; one between plugs counts in parts."""
    gauged: int
    """How many plays those are."""
    apart: float
    """The largest difference between the shares seen below a play and those said (Kolmogorov)."""
    by_chance: float
    """How often luck alone makes it as large."""


@dataclass(frozen=True)
class Splits:
    """Which corners split, of the boxes whose corners were looked at."""

    boxes: int
    split: int
    counts: dict[Corner, int]
    log: float
    """Mean logarithmic score of the corners that split, each said as often as the others."""
    by_chance: float
    """A bound for how often luck alone makes one corner split as often as the worst one did."""


def brier_of(outcomes: Sequence[Seen]) -> float:
    """Brier's score of one forecast, over all outcomes that there might have been.

    >>> brier_of([Seen(True, 0.7), Seen(False, 0.3)])
    0.18
    """
    return round(math.fsum((one.chance - one.happened) ** 2 for one in outcomes), 15)


def both_ways(seen: Seen) -> tuple[Seen, Seen]:
    """What happened or not as two outcomes, as Brier counts them."""
    return seen, Seen(not seen.happened, 1.0 - seen.chance)


def score_of(forecasts: Iterable[Sequence[Seen]], least: float) -> Score | None:
    """The score of forecasts, each with all its outcomes; None of none.

    Chances below ``least`` count as that in the logarithm.
    """
    listed = list(forecasts)
    if not listed:
        return None
    briers = [brier_of(outcomes) for outcomes in listed]
    logs = [-math.log(max(one.chance, least)) for each in listed for one in each if one.happened]
    moments = [_expected([one.chance for one in outcomes]) for outcomes in listed]
    count = len(listed)
    brier, brier_u = _mean(briers)
    log, log_u = _mean(logs)
    return Score(
        boxes=count,
        brier=brier,
        brier_u=brier_u,
        log=log,
        log_u=log_u,
        expected=math.fsum(mean for mean, _ in moments) / count,
        expected_u=math.sqrt(math.fsum(variance for _, variance in moments)) / count,
    )


def tallies_of(boxes: Iterable[ScoredBox]) -> tuple[Tally, ...]:
    """Counts of right boxes by what had been said, in tenths, the surest first."""
    groups: dict[int, list[Seen]] = {}
    for box in boxes:
        tenth = min(int(TENTHS * box.right.chance + 1e-9), TENTHS - 1)
        groups.setdefault(tenth, []).append(box.right)
    return tuple(
        Tally(
            tenth,
            len(groups[tenth]),
            sum(one.happened for one in groups[tenth]),
        )
        for tenth in sorted(groups, reverse=True)
    )


def play_score(boxes: Sequence[ScoredBox]) -> PlayScore | None:
    """The score of plays that somebody measured; None of none.

    The share of boxes that were said to have less play than a box has is spread evenly over 0 to 1
    if the forecasts are right (Dawid 1984); a play between two plugs, or of a lid that bound, is
    spread over what lies between (Czado, Gneiting and Held, Biometrics 65 (2009) 1254).
    """
    from scipy.stats import kstwo

    if not any(box.gauged for box in boxes):
        return None
    read = [box for box in boxes if box.measured]
    spans = [_span(box) for box in boxes if box.gauged or box.play_mm[1] <= 0.0]
    fifths = [math.fsum(_part(span, k / 5, (k + 1) / 5) for span in spans) for k in range(5)]
    points = sorted({end for span in spans for end in span})
    below = [math.fsum(_part(span, -1.0, x) for span in spans) / len(spans) for x in points]
    apart = max((abs(share - x) for share, x in zip(below, points, strict=True)), default=0.0)
    steps = [abs(share - 1.0 / len(spans) - x) for share, x in zip(below, points, strict=True)]
    if len(read) == len(spans):
        apart = max(apart, *steps)
    return PlayScore(
        boxes=len(read),
        crps_mm=_mean_of([box.law.crps(box.play_mm[0]) for box in read]),
        off_mm=_mean_of([box.play_mm[0] - box.law.mean_mm for box in read]),
        fifths=(fifths[0], fifths[1], fifths[2], fifths[3], fifths[4]),
        gauged=len(spans),
        apart=apart,
        by_chance=float(kstwo.sf(apart, len(spans))),
    )


def splits_of(boxes: Iterable[ScoredBox]) -> Splits | None:
    """Which corners split; None where nobody looked."""
    looked = [box.box.split for box in boxes if box.box.split is not None]
    if not looked:
        return None
    corners = [corner for split in looked for corner in split]
    counts = {corner: corners.count(corner) for corner in Corner}
    return Splits(
        len(looked),
        sum(bool(split) for split in looked),
        counts,
        math.log(len(Corner)),
        worst_by_chance(max(counts.values()), len(corners), len(Corner)),
    )


def worst_by_chance(worst: int, count: int, kinds: int) -> float:
    """At most how often luck alone brings so many of ``count`` to one of ``kinds`` alike.

    The binomial tail of one kind, times the kinds (Bonferroni); exact when it takes more than half.

    >>> worst_by_chance(3, 3, 4)
    0.0625
    """
    from scipy.special import bdtrc  # a tenth of a second, where scipy.stats takes most of one

    tail = float(bdtrc(worst - 1, count, 1 / kinds)) if worst > 0 else 1.0
    return min(1.0, kinds * tail)


def _span(box: ScoredBox) -> tuple[float, float]:
    low, high = box.play_mm
    below = float(box.law.below(low)) if math.isfinite(low) else 0.0
    return below, float(box.law.below(high)) if math.isfinite(high) else 1.0


def _part(span: tuple[float, float], start: float, stop: float) -> float:
    """How much of a span lies between two shares; of a single share, whether it does."""
    low, high = span
    if high - low < 1e-12:
        return float(start < low <= stop or (low == 0.0 and start == 0.0))
    return max(0.0, min(high, stop) - max(low, start)) / (high - low)


def _expected(chances: Sequence[float]) -> tuple[float, float]:
    """Mean and variance of Brier's score when the chances are right."""
    scores = [
        brier_of([Seen(k == happened, chance) for k, chance in enumerate(chances)])
        for happened in range(len(chances))
    ]
    mean = math.fsum(p * score for p, score in zip(chances, scores, strict=True))
    square = math.fsum(p * score**2 for p, score in zip(chances, scores, strict=True))
    return mean, max(0.0, square - mean**2)


def _mean_of(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values) if values else math.nan


def _mean(values: Sequence[float]) -> tuple[float, float]:
    if len(values) == 1:
        return values[0], math.nan
    found = repeats(values)
    return found.mean, found.u
