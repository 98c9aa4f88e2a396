"""Scores of forecasts against every way that a few boxes could have come out, one by one."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.stats import binomtest, kstest, norm

from fitcheck.learn.scored_boxes import Seen
from fitcheck.learn.scores import play_score, score_of, tallies_of, worst_by_chance
from tests.forecasts import LOOSE, frozen_forecast, made, mean_for

Chances = tuple[float, float, float]
TOLD: list[Chances] = [(0.1, 0.75, 0.15), (0.6, 0.3, 0.1), (0.02, 0.9, 0.08), (0.25, 0.25, 0.5)]


def seen(chances: Chances, happened: int) -> list[Seen]:
    return [Seen(k == happened, chance) for k, chance in enumerate(chances)]


def brier(chances: Chances, happened: int) -> float:
    return sum((p - (k == happened)) ** 2 for k, p in enumerate(chances))


def test_the_score_to_expect_is_that_over_all_ways_it_could_have_come_out() -> None:
    """3^4 ways, each with the chance that the forecasts give it; mean and spread of the score."""
    scores, weights = [], []
    for ways in itertools.product(range(3), repeat=len(TOLD)):
        weights.append(math.prod(told[k] for told, k in zip(TOLD, ways, strict=True)))
        briers = [brier(told, k) for told, k in zip(TOLD, ways, strict=True)]
        scores.append(np.mean(briers))
        found = score_of([seen(told, k) for told, k in zip(TOLD, ways, strict=True)], 1e-5)
        assert found is not None
        assert found.brier == pytest.approx(np.mean(briers))
        assert found.brier_u == pytest.approx(np.std(briers, ddof=1) / 2.0)
        logs = [-math.log(told[k]) for told, k in zip(TOLD, ways, strict=True)]
        assert found.log == pytest.approx(np.mean(logs))
        assert found.log_u == pytest.approx(np.std(logs, ddof=1) / 2.0)
    assert math.fsum(weights) == pytest.approx(1.0)
    mean = np.average(scores, weights=weights)
    spread = math.sqrt(np.average((np.array(scores) - mean) ** 2, weights=weights))
    assert (found.expected, found.expected_u) == pytest.approx((mean, spread))


def test_a_chance_of_none_is_taken_as_the_least_that_can_be_told() -> None:
    found = score_of([seen((0.0, 1.0, 0.0), 0)], 1e-5)
    assert found is not None and found.log == pytest.approx(math.log(1e5))
    assert math.isnan(found.brier_u) and found.brier == 2.0
    assert score_of([], 1e-5) is None


def test_tallies_by_what_was_said() -> None:
    """In tenths; 80 itself is 80 to 90, and all of 100 is over 90."""
    boxes = []
    for said, plays in ((0.8, (0.3, 0.2, -0.4)), (0.86, (0.1,)), (0.9999, (0.5, 2.0)), (0.42, ())):
        forecast = frozen_forecast(mean_for(said, 0.05), 0.05)
        boxes += [made(forecast, play) for play in plays]
    found = [(one.tenth, one.right, one.boxes) for one in tallies_of(boxes)]
    assert found == [(9, 1, 2), (8, 3, 4)]


def test_evenness_of_plays_is_kolmogorovs() -> None:
    """Plays that were read, against scipy's own test of the same plays (scipy.stats.kstest)."""
    forecast = frozen_forecast(0.6, 0.2)
    plays = [0.31, 0.52, 0.55, 0.61, 0.66, 0.71, 0.78, 0.93, 1.1]
    found = play_score([made(forecast, play) for play in plays])
    theirs = kstest(plays, norm(0.6, 0.2).cdf)
    assert found is not None and found.gauged == found.boxes == len(plays)
    assert found.apart == pytest.approx(theirs.statistic, abs=2e-3)
    assert found.by_chance == pytest.approx(theirs.pvalue, abs=0.02)
    assert found.off_mm == pytest.approx(np.mean(plays) - 0.6, abs=1e-9)
    assert sum(found.fifths) == pytest.approx(len(plays))


def test_lids_that_bound_are_not_left_out_of_the_plays() -> None:
    """Half of all boxes have a play below 0; measured are those above alone."""
    forecast = frozen_forecast(0.0, 0.3)
    plays = norm.ppf((np.arange(200) + 0.5) / 200) * 0.3
    found = play_score([made(forecast, float(play)) for play in plays])
    assert found is not None and found.boxes == 100 and found.gauged == 200
    assert found.fifths == pytest.approx((40, 40, 40, 40, 40), abs=1.5)
    assert found.by_chance > 0.5
    assert max(plays) < LOOSE


def test_the_worst_corner_by_every_way_that_splits_could_fall() -> None:
    """4^5 ways: the bound is above the true share, and the same where one takes more than half."""
    for worst in range(2, 6):
        ways = itertools.product(range(4), repeat=5)
        true = sum(max(map(way.count, range(4))) >= worst for way in ways) / 4**5
        assert worst_by_chance(worst, 5, 4) >= true - 1e-12
        if worst > 2:
            assert worst_by_chance(worst, 5, 4) == pytest.approx(true)


@pytest.mark.parametrize(
    ("worst", "count"), [(0, 0), (3, 7), (41, 120), (330, 1200), (4100, 16000)]
)
def test_the_worst_corner_of_as_many_boxes_as_are_kept(worst: int, count: int) -> None:
    """SciPy's exact binomial test (scipy.stats.binomtest), times the four corners."""
    tail = binomtest(worst, count, 0.25, alternative="greater").pvalue if count else 1.0
    assert worst_by_chance(worst, count, 4) == pytest.approx(min(1.0, 4 * tail), rel=1e-9)
