"""Scores of forecasts against every way that a few boxes could have come out, one by one."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from fitcheck.learn.outcomes import BoxOutcome, BoxRecord, Forecast
from fitcheck.learn.scores import score_of

Chances = tuple[float, float, float]
TOLD: list[Chances] = [(0.1, 0.75, 0.15), (0.6, 0.3, 0.1), (0.02, 0.9, 0.08), (0.25, 0.25, 0.5)]


def box(outcome: BoxOutcome, chances: Chances) -> BoxRecord:
    told = Forecast("slides", 0.3, chances)
    return BoxRecord("2026-01-02", "me", "d", "t", outcome, None, None, "", told)


def brier(chances: Chances, happened: int) -> float:
    return sum((p - (k == happened)) ** 2 for k, p in enumerate(chances))


def test_the_score_to_expect_is_that_over_all_ways_it_could_have_come_out() -> None:
    """3^4 ways, each with the chance that the forecasts give it; mean and spread of the score."""
    kinds = list(BoxOutcome)
    scores, weights = [], []
    for ways in itertools.product(range(3), repeat=len(TOLD)):
        weights.append(math.prod(told[k] for told, k in zip(TOLD, ways, strict=True)))
        briers = [brier(told, k) for told, k in zip(TOLD, ways, strict=True)]
        scores.append(np.mean(briers))
        found = score_of([box(kinds[k], told) for told, k in zip(TOLD, ways, strict=True)])
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
    assert found.surprising == (abs(found.brier - mean) > 2.0 * spread)
    third = score_of([box(BoxOutcome.LOOSE, (1 / 3, 1 / 3, 1 / 3))] * 2)
    assert third is not None and third.brier == pytest.approx(third.ignorant)


def test_a_chance_of_none_is_taken_as_one_in_a_hundred_thousand() -> None:
    found = score_of([box(BoxOutcome.BOUND, (0.0, 1.0, 0.0))])
    assert found is not None and found.log == pytest.approx(math.log(1e5))
    assert math.isnan(found.brier_u) and found.brier == 2.0
