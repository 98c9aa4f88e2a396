"""The test of a whole set: false alarms and power, by simulation and by exact arithmetic."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import binom, norm

from fitcheck.learn.forecast import FrozenForecast
from fitcheck.learn.looks import Steps, alarm_chance, looks, yes_steps
from fitcheck.learn.play_law import scores_between
from fitcheck.learn.play_steps import CAP, GRID, SLIP
from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.learn.watch import (
    FALSE_ALARM,
    PARTS_TOLD,
    RUN,
    Sign,
    Watch,
    alarm_when_shared,
    laid_at,
    right_steps,
    watch,
)
from tests.forecasts import LOOSE, TIGHT, frozen_forecast, made, mean_for, row, said_and_true

U = 0.3
SAID = np.linspace(0.60, 0.97, 12)


def run_of(rng: np.random.Generator, off: float, *, measured: bool) -> list[ScoredBox]:
    """Forty boxes of twelve designs, each as often right as was said less ``off``."""
    pairs = [said_and_true(float(said), max(float(said) - off, 0.02), U) for said in SAID]
    found = []
    for k in rng.integers(len(pairs), size=RUN).tolist():
        forecast, mean = pairs[k]
        found.append(made(forecast, float(rng.normal(mean, U)), measured=measured))
    return found


def rate(runs: int, seed: int, off: float, *, measured: bool) -> float:
    rng = np.random.default_rng(seed)
    return float(
        np.mean([bool(watch(run_of(rng, off, measured=measured)).alarms) for _ in range(runs)])
    )


def exact(said: list[float], true: list[float]) -> float:
    """How often a run raises an alarm about right boxes: Poisson-binomial arithmetic alone."""
    laid = [PARTS_TOLD[Sign.RIGHT] * laid_at(k) for k in range(RUN)]
    limits = list(looks(zip(map(right_steps, said), laid, strict=True)))
    return alarm_chance(limits, map(yes_steps, true))


def exact_middle(pairs: list[tuple[FrozenForecast, float]]) -> float:
    """The same of the plays' scores where nobody measures: four cells, each with its true share."""
    cells = [-math.inf, -TIGHT, 0.0, LOOSE, math.inf]
    as_said: list[Steps] = []
    as_true: list[Steps] = []
    for forecast, mean in pairs:
        said, true = (
            np.diff(norm.cdf(cells, middle, U)) for middle in (forecast.play_mm.mean, mean)
        )
        ends = [float(norm.ppf(norm.cdf(end, forecast.play_mm.mean, U))) for end in cells]
        means = [scores_between(*ends[k : k + 2])[0] for k in range(4)]
        scores = [round(min(max(one, -CAP), CAP) / GRID) for one in means]
        for law, shares in ((as_said, said), (as_true, true)):
            chances = np.zeros(2 * 30 + 1)
            np.add.at(chances, np.array(scores) + 30, shares)
            if law is as_said:
                chances *= 1.0 - 2.0 * SLIP
                chances[[0, -1]] += SLIP
            law.append(Steps(-30, chances))
    laid = [PARTS_TOLD[Sign.MIDDLE] * laid_at(k) for k in range(RUN)]
    limits = list(looks(zip(as_said, laid, strict=True)))
    return alarm_chance(limits, as_true)


def off_by(true: float) -> float:
    """Four binomial deviations of a rate over the runs of a short simulation."""
    return 4.0 * math.sqrt(true * (1.0 - true) / 400)


@pytest.mark.parametrize(("off", "floor"), [(0.0, 0.0), (0.15, 0.6)])
def test_two_routes_to_false_alarms_and_power(off: float, floor: float) -> None:
    """The same forty forecasts over and over: simulated runs, and the exact arithmetic of both sums
    that they look at: an alarm is one of the two, so it is between the larger and what they add to.
    """
    said = [float(one) for one in np.resize(SAID, RUN)]
    rng = np.random.default_rng(3)
    true = [one - off for one in said]
    pairs = [said_and_true(s, t, U) for s, t in zip(said, true, strict=True)]
    right, middle = exact(said, true), exact_middle(pairs)
    assert right >= floor and (off > 0.0 or right + middle <= FALSE_ALARM)
    runs = [
        [made(f, float(rng.normal(mean, U)), measured=False) for f, mean in pairs]
        for _ in range(400)
    ]
    signs = [[one.sign for one in watch(run).alarms[:1]] for run in runs]
    hits = float(np.mean([bool(one) for one in signs]))
    both = min(right + middle, 1.0)
    assert max(right, middle) - off_by(right) < hits < both + off_by(min(both, 0.9))
    counted = float(np.mean([one == [Sign.RIGHT] for one in signs]))
    assert counted < right + off_by(right)


@pytest.mark.parametrize("said", [0.55, 0.7, 0.8, 0.9, 0.97])
def test_false_alarms_stay_below_what_is_stated_whatever_was_said(said: float) -> None:
    alone = [said] * RUN
    assert exact(alone, alone) <= FALSE_ALARM
    assert exact(alone, [max(said - 0.15, 0.0)] * RUN) > 0.5


def test_odds_that_are_15_points_off_are_noticed_within_forty_boxes() -> None:
    """With plays read the power is above four in five; right odds are left in peace."""
    assert rate(120, 1, 0.15, measured=True) > 0.85 - off_by(0.85) * math.sqrt(400 / 120)
    assert rate(120, 2, 0.0, measured=True) < FALSE_ALARM + 0.06


def test_no_test_that_looks_once_does_much_better() -> None:
    """The binomial tails at the fortieth box, five of 100 to a side (scipy.stats.binom)."""
    low, high = binom.ppf(0.05, RUN, 0.8) - 1, binom.isf(0.05, RUN, 0.8)
    once = binom.cdf(low, RUN, 0.65) + binom.sf(high, RUN, 0.65)
    normal = norm.cdf((norm.ppf(0.05) * math.sqrt(0.16) + 0.15 * RUN**0.5) / math.sqrt(0.2275))
    ours = exact([0.8] * RUN, [0.65] * RUN)
    assert once - 0.05 < ours < max(once, float(normal)) + 0.02
    assert normal == pytest.approx(0.73, abs=0.01), "what the docstring says"


def test_odds_that_are_too_careful_are_noticed_too() -> None:
    said = [0.70] * RUN
    assert exact(said, [0.85] * RUN) > 0.6


@pytest.mark.parametrize("said", [0.6, 0.9, 0.9999])
@pytest.mark.parametrize("play", [1.9, -0.6])
def test_the_first_loose_box_raises_nothing(said: float, play: float) -> None:
    """Measured or not, however sure it was said to be none; five of five do."""
    forecast = frozen_forecast(mean_for(said, 0.2) if play > 0 else 0.6, 0.2)
    for measured in (True, False):
        boxes = [made(forecast, play, measured=measured)] * 5
        assert watch(boxes[:1]).alarms == ()
        assert watch(boxes).alarms != ()
    assert watch([made(frozen_forecast(mean_for(0.9), U), -0.6)] * 2).alarms == ()


@pytest.mark.parametrize("measured", [True, False])
@pytest.mark.parametrize("at", [0, 1, 4, 17, RUN - 1])
def test_one_loose_box_among_forty_sure_ones_raises_nothing(at: int, measured: bool) -> None:
    """All said to be right in over 99 of 100; two of them are too many."""
    forecast = frozen_forecast(0.7, 0.15)
    plays = 0.7 + 0.15 * norm.ppf((np.arange(RUN) * 7 % RUN + 0.5) / RUN)
    boxes = [made(forecast, float(play), measured=measured) for play in plays]
    boxes[at] = made(forecast, 1.9, measured=measured)
    assert watch(boxes).alarms == ()
    boxes[20] = boxes[at]
    boxes[21] = boxes[at]
    assert watch(boxes).alarms != ()


def test_a_run_ends_at_an_alarm_and_a_new_one_begins() -> None:
    bad = [made(frozen_forecast(mean_for(0.9), U), -0.6, measured=False)] * 5
    good = [made(frozen_forecast(0.7, 0.2), 0.7)] * RUN
    found = watch([*bad, *good])
    assert [(one.sign, one.more, one.start, one.stop) for one in found.alarms][:1] == [
        (Sign.MIDDLE, False, 0, 4)
    ]
    assert found.last is None or found.last.stop > 5, "a whole run has passed since"
    quiet = watch([*bad, *good[:3]])
    assert quiet.last is not None and quiet.run == 4 and quiet.since == 0


def test_how_large_the_first_play_was_does_not_matter() -> None:
    """That it was measured is known only then, and of a lid that binds never: it counts by the
    lid."""
    rng = np.random.default_rng(9)
    for _ in range(20):
        forecast = frozen_forecast(0.5, U)
        rest = [made(forecast, float(play)) for play in rng.normal(0.35, U, RUN - 1)]
        small, large = (watch([made(forecast, play), *rest]).alarms for play in (0.01, 1.45))
        assert small == large


def test_a_list_looked_at_after_each_box_says_what_it_said_before() -> None:
    """An alarm once raised stays; nothing that comes later takes it back."""
    boxes = run_of(np.random.default_rng(8), 0.25, measured=True)
    whole = watch(boxes).alarms
    assert whole
    for n in range(1, len(boxes) + 1):
        so_far = watch(boxes[:n]).alarms
        assert so_far == tuple(one for one in whole if one.stop <= n)


def test_a_maker_who_changes_designs_by_what_came_out_raises_no_more() -> None:
    """After a wrong box she makes a surer design, after a right one a bolder; odds are right."""
    rng = np.random.default_rng(4)
    sure, bold = (frozen_forecast(mean_for(said), U) for said in (0.95, 0.6))
    hits = 0
    for _ in range(300):
        boxes: list[ScoredBox] = []
        while len(boxes) < RUN:
            last = boxes[-1].right.happened if boxes else True
            forecast = bold if last else sure
            play = float(rng.normal(forecast.play_mm.mean, U))
            boxes.append(made(forecast, play, measured=False))
        hits += bool(watch(boxes).alarms)
    assert hits / 300 < FALSE_ALARM + 4.0 * math.sqrt(FALSE_ALARM * (1 - FALSE_ALARM) / 300)


def test_lids_that_bind_where_they_were_said_to_be_loose() -> None:
    """As many right as was said, but all that are not bind: nobody measured a play."""
    forecast = frozen_forecast(
        0.75, 0.59
    )  # eight in ten right, a tenth too loose, a tenth too tight
    bands = forecast.chances.bands
    assert bands.loose == pytest.approx(0.10, abs=0.005)
    assert forecast.chances.right == pytest.approx(0.80, abs=0.01)
    boxes = [made(forecast, -0.5 if k % 5 == 2 else 0.7, measured=False) for k in range(RUN)]
    found = watch(boxes).alarms
    assert [(one.sign, one.more) for one in found] == [(Sign.MIDDLE, False)]


def test_plays_that_differ_less_or_more_than_said() -> None:
    rng = np.random.default_rng(6)
    forecast = frozen_forecast(0.7, 0.2)
    for u, more in ((0.42, True), (0.08, False)):
        found: Watch = watch([made(forecast, float(rng.normal(0.7, u))) for _ in range(RUN)])
        assert next((one.sign, one.more) for one in found.alarms) == (Sign.SPREAD, more)


def shared_run(rng: np.random.Generator, part: float, *, measured: bool) -> list[ScoredBox]:
    """Forty boxes whose odds are right; a part of the variance of plays is one for all of them."""
    alike, own = U * math.sqrt(part), U * math.sqrt(1.0 - part)
    forecasts = [
        frozen_forecast(mean_for(float(said)), U, inputs=[row("caliper", "card", 0.02, alike)])
        for said in np.resize(SAID, RUN)
    ]
    away = rng.normal(0.0, alike)
    return [
        made(one, float(rng.normal(one.play_mm.mean + away, own)), measured=measured)
        for one in forecasts
    ]


@pytest.mark.parametrize(("part", "measured"), [(0.1, False), (0.1, True), (0.4, True)])
def test_what_boxes_share_raises_no_more_false_alarms(part: float, measured: bool) -> None:
    """Runs of one draw of the card each: taken as independent, 28 to 35 of 100 raised an alarm
    where a tenth is shared. No more than is stated do, by the binomial law of so many runs."""
    rng, runs = np.random.default_rng(17), 100
    alarms = sum(bool(watch(shared_run(rng, part, measured=measured)).alarms) for _ in range(runs))
    assert alarms <= binom.ppf(0.999, runs, FALSE_ALARM)


def test_odds_that_are_far_off_are_noticed_though_boxes_share() -> None:
    """Plays two of their deviations smaller than said, a tenth of the variance shared: in nearly
    all runs, as that is 6 of the deviations of what is shared."""
    rng, found = np.random.default_rng(18), 0
    for _ in range(20):
        boxes = shared_run(rng, 0.1, measured=False)
        less = [
            made(
                one.forecast,
                float(rng.normal(one.forecast.play_mm.mean - 2.0 * U, U)),
                measured=False,
            )
            for one in boxes
        ]
        found += bool(watch(less).alarms)
    assert found >= 19


def test_alarms_where_boxes_share_their_papers() -> None:
    """Crease allowances make a tenth of how plays differ, and are one for all boxes of a run:
    simulated runs against the quadrature, which stays within what is stated."""
    shared = U * math.sqrt(0.1)
    forecasts = [
        frozen_forecast(mean_for(float(said)), U, inputs=[row("crease", "card", 0.02, shared)])
        for said in np.resize(SAID, RUN)
    ]
    wanted = alarm_when_shared([made(one, 0.4, measured=False) for one in forecasts])
    assert 0.5 * FALSE_ALARM < wanted <= FALSE_ALARM
    rng = np.random.default_rng(7)
    hits = []
    for _ in range(400):
        boxes = shared_run(rng, 0.1, measured=False)
        hits.append(any(one.sign is Sign.RIGHT for one in watch(boxes).alarms[:1]))
    assert np.mean(hits) == pytest.approx(wanted, abs=off_by(wanted))
    alone = [made(frozen_forecast(mean_for(float(s)), U), 0.4, measured=False) for s in SAID]
    assert alarm_when_shared(alone) <= FALSE_ALARM


@pytest.mark.long
@pytest.mark.parametrize("measured", [False, True])
def test_the_figures_that_are_stated(measured: bool) -> None:
    """Of 2500 runs each; the docstring of the test and the list's details state them."""
    power = rate(2500, 11, 0.15, measured=measured)
    false = rate(2500, 12, 0.0, measured=measured)
    print(f"\nmeasured {measured}: power {power:.3f}, false alarms {false:.3f}")
    assert power == pytest.approx(0.86 if measured else 0.67, abs=0.025)
    assert false == pytest.approx(0.08, abs=0.018) and false < FALSE_ALARM
