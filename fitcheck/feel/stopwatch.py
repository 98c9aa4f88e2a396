"""A stopwatch as a gauge: from the times in which one lid sinks, the play of that very box.

Boxes are drawn as the odds draw them, each with papers, place and walls of its own; every one
is timed by the model under the conditions of the readings, and counts by how well its times agree.
The model's own error is one for all readings of a box, so that it never averages out.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from fitcheck.feel.feel import Boxes, Outcomes, as_known, drawn_boxes, outcomes
from fitcheck.feel.measured import Measured
from fitcheck.feel.sink import MODEL_LOG_U
from fitcheck.folding.pose import Array

EACH_LOG_U = 0.10
"""How far the model is off one condition against another, as a factor; assumed."""
START_S, FLOAT_LOG_U = 0.15, 0.08
"""What a thumb and an eye are off by, and how sinks of one lid differ as it floats; assumed."""
LEAN_DEG = 10.0
WIDER = 2.0
"""So much wider than the odds the boxes are drawn, and weighed back: a box may be an odd one."""
AT_A_TIME, ENOUGH, LONGEST_LOG_S = 2_000, 100.0, 12.0
FEWEST = 10.0
"""So many boxes have to agree, counted by their weights (Kish), or nothing is told of the play."""
CHANGES_MM, LEAST_PLAY_MM = 0.6, 0.02
"""Changes of one box's play that are looked at, and the least play that still lets it sink."""
TELLS = 1.0
"""A cause is named that lies so many of its standard uncertainties from what was assumed."""


class How(enum.StrEnum):
    """Under which conditions a lid was timed."""

    LEVEL = "level"
    LEANING = "leaning"
    """By 10 degrees, so that it rests in one corner."""
    COIN = "coin"
    """With a coin in the middle of the lid."""
    UPPER = "upper"
    """The upper half of the way alone."""
    LOWER = "lower"


@dataclass(frozen=True)
class Timed:
    """One lid timed under one condition, as often as it was."""

    how: How
    seconds: tuple[float, ...]
    grams: float = 0.0
    """Of a coin."""

    @property
    def log_mean(self) -> float:
        """The mean of the logarithms."""
        return math.fsum(math.log(one) for one in self.seconds) / len(self.seconds)

    @property
    def log_variance(self) -> float:
        """Of that mean, but for the model's error that all readings of a box share."""
        usual = math.exp(self.log_mean)
        each = FLOAT_LOG_U**2 + (START_S / usual) ** 2
        return each / len(self.seconds) + EACH_LOG_U**2


@dataclass(frozen=True)
class Estimate:
    """A number with its 95 % interval."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True)
class Cause:
    """What explains times that were not expected."""

    words: str
    away: float
    """How far it lies from what was assumed, in its standard uncertainties before."""


@dataclass(frozen=True)
class Told:
    """What a stopwatch tells of one box."""

    both: Estimate
    """Its play, the mean of both ways, mm: what air tells most of."""
    both_drawn: Estimate
    """The same as the odds have it."""
    smaller: Estimate
    """The smaller of its plays, which the verdict goes by."""
    expected_s: Estimate
    """The first condition's time as the odds have it."""
    causes: tuple[Cause, ...]
    """The likeliest first; none where all is as expected."""


def told_by(
    own: Measured, plays_mm: Array, timed: Sequence[Timed], rng: np.random.Generator
) -> Told | None:
    """What readings tell of one box among those with plays (b, 2) mm; None where none agrees.

    Some of them are tried at a time, until enough agree or there are no more.
    """
    chunks: list[_Tried] = []
    middle, spread = plays_mm.mean(axis=0), np.cov(plays_mm.T) + 1e-9 * np.eye(2)
    for start in range(0, len(plays_mm), AT_A_TIME):
        plays = plays_mm[start : start + AT_A_TIME]
        chunks.append(_tried(own, middle, spread, plays, timed, rng))
        found = _Tried.joined(chunks)
        total = found.weights.sum()
        weights = found.weights / total if total > 0.0 else found.weights
        agreeing = 1.0 / float(weights @ weights) if total > 0.0 else 0.0
        if agreeing >= ENOUGH:
            break
    if agreeing < FEWEST:
        return None
    before = found.before / found.before.sum()
    both, smaller = found.plays_mm.mean(axis=1), found.plays_mm.min(axis=1)
    return Told(
        both=_estimate(both, weights),
        both_drawn=_estimate(both, before),
        smaller=_estimate(smaller, weights),
        expected_s=_estimate(found.first_s, before),
        causes=_causes(found, before, weights),
    )


@dataclass(frozen=True, eq=False)
class _Tried:
    """Boxes that were timed by the model, (b, ...) each."""

    plays_mm: Array
    before: Array
    """How often such boxes come, up to a factor."""
    weights: Array
    """The same, by how well their times agree."""
    first_s: Array
    """Their times under the first condition."""
    leaks: Array
    springs: Array
    rubs: Array

    @classmethod
    def joined(cls, chunks: Sequence[_Tried]) -> _Tried:
        """All of them."""
        return cls(
            *(np.concatenate([getattr(one, field.name) for one in chunks]) for field in fields(cls))
        )


def _tried(
    own: Measured,
    middle: Array,
    spread: Array,
    plays_mm: Array,
    timed: Sequence[Timed],
    rng: np.random.Generator,
) -> _Tried:
    """Boxes drawn wider than they come, and the weights that make up for it, timed by the model."""
    apart = WIDER * (plays_mm - middle)
    far = np.einsum("bi,ij,bj->b", apart, np.linalg.inv(spread), apart)
    before = np.exp(-0.5 * far * (1.0 - 1.0 / WIDER**2))
    boxes = drawn_boxes(own, middle + apart, rng)
    cache: dict[tuple[bool, float], Outcomes] = {}
    logs = np.stack([_log_seconds(own, boxes, one, cache) for one in timed])
    return _Tried(
        plays_mm=boxes.plays_mm,
        before=before,
        weights=before * _likelihood(logs, timed),
        first_s=np.exp(np.minimum(logs[0], LONGEST_LOG_S)),
        leaks=0.5 * (np.log(boxes.base.permeance) + np.log(boxes.lid.permeance)),
        springs=np.minimum(boxes.base.rest_deg, boxes.lid.rest_deg),
        rubs=np.log(boxes.friction),
    )


def _log_seconds(
    own: Measured, boxes: Boxes, one: Timed, cache: dict[tuple[bool, float], Outcomes]
) -> Array:
    """The logarithms of the times (b,) in which boxes sink under one condition; inf where not."""
    leans = one.how is How.LEANING
    key = leans, one.grams
    if key not in cache:
        there = replace(boxes, on_lid_g=one.grams)
        if leans:
            corner = np.ones_like(boxes.places)
            there = replace(there, places=corner, lean_rad=math.radians(LEAN_DEG))
        cache[key] = outcomes(own, there)
    found = cache[key]
    if one.how in (How.UPPER, How.LOWER):
        seconds = found.sinking.halves[:, 0 if one.how is How.UPPER else 1]
    else:
        seconds = found.seconds
    logs: Array = np.log(seconds)
    return logs


def _likelihood(logs: Array, timed: Sequence[Timed]) -> Array:
    """How well each box's times (j, b) agree, (b,): with errors that are shared and each's own."""
    variance = np.diag([one.log_variance for one in timed]) + MODEL_LOG_U**2
    moves = np.isfinite(logs).all(axis=0)
    apart = np.array([one.log_mean for one in timed])[:, None] - np.where(moves, logs, 0.0)
    far = np.einsum("jb,jk,kb->b", apart, np.linalg.inv(variance), apart)
    found: Array = np.where(moves, np.exp(-0.5 * far), 0.0)
    return found


def _estimate(values: Array, weights: Array) -> Estimate:
    order = np.argsort(values)
    steps = np.cumsum(weights[order])
    low, middle, high = (
        float(values[order][min(int(np.searchsorted(steps, share)), len(values) - 1)])
        for share in (0.025, 0.5, 0.975)
    )
    return Estimate(middle, low, high)


def _causes(found: _Tried, before: Array, after: Array) -> tuple[Cause, ...]:
    """What moved furthest from what was assumed."""
    candidates: tuple[tuple[Array, Callable[[float], str]], ...] = (
        (
            found.plays_mm.mean(axis=1),
            lambda away: f"its play is {'smaller' if away < 0.0 else 'larger'} than drawn",
        ),
        (
            found.leaks,
            lambda away: (
                "its paper lets "
                + ("less air through" if away < 0.0 else "more air through, or it leaks elsewhere")
            ),
        ),
        (
            found.springs,
            lambda away: (
                "its walls bow " + ("outwards and rub" if away < 0.0 else "less than is usual")
            ),
        ),
        (
            found.rubs,
            lambda away: f"its papers rub {'less' if away < 0.0 else 'more'} than is usual",
        ),
    )
    causes = []
    for values, words in candidates:
        mean = float(before @ values)
        spread = math.sqrt(float(before @ (values - mean) ** 2))
        away = (float(after @ values) - mean) / max(spread, 1e-12)
        if abs(away) >= TELLS:
            causes.append(Cause(words(away), away))
    return tuple(sorted(causes, key=lambda one: -abs(one.away)))


def changed_mm(own: Measured, before: Timed, after: Timed, at_mm: float) -> Estimate:
    """By how much the play of one box changed between two timings of it, mm.

    Its play, the mean of both ways, is about `at_mm` now. What the model is off by is the same
    both times; what is left are thumb, eye and floating.
    """
    steps = np.linspace(-CHANGES_MM, CHANGES_MM, 81)
    middle = at_mm + steps[:, None] - np.mean(own.plays_mm)
    plays = np.maximum(np.asarray(own.plays_mm) + middle, LEAST_PLAY_MM)
    known = as_known(own, np.full((len(steps), 2), 0.5))
    boxes = replace(known, plays_mm=plays, on_lid_g=after.grams)
    logs = np.log(outcomes(own, boxes).seconds)
    now = float(np.interp(0.0, steps, logs))
    ratio = after.log_mean - before.log_mean
    u = math.sqrt(before.log_variance + after.log_variance - 2.0 * EACH_LOG_U**2)
    # the time falls as the play grows
    middle_mm, low, high = (
        -float(np.interp(now - ratio + away, logs[::-1], steps[::-1]))
        for away in (0.0, -1.96 * u, 1.96 * u)
    )
    return Estimate(middle_mm, low, high)
