"""Proper scores: Brier (1950), Gneiting and Raftery (2007), Spiegelhalter (1986), a NIST example.

Brier, "Verification of forecasts expressed in terms of probability", Monthly Weather Review 78
(1950) 1, table 1: ten forecasts of rain, P = 0.19 (the table from memory; it adds up to 0.19).
Gneiting and Raftery, "Strictly proper scoring rules, prediction, and estimation", Journal of the
American Statistical Association 102 (2007) 359: the closed form of the CRPS of a normal law, eq.
(21). NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4: 26 of 200 against 10 % (from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from fitcheck.learn.play_law import LEVELS, PlayLaw
from fitcheck.learn.scored_boxes import Seen
from fitcheck.learn.scores import both_ways, score_of
from tests.published.rows import Row

RAIN = (0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1)
RAINED = (False, True, True, True, False, False, False, False, False, False)
FINE = tuple(np.linspace(0.0005, 0.9995, 1999).tolist())
"""Levels so close that a table of them is the normal law to 1e-5."""


def normal_law(mean: float, u: float, levels: tuple[float, ...] = FINE) -> PlayLaw:
    return PlayLaw(mean, u, levels, tuple((mean + u * norm.ppf(levels)).tolist()))


def normal_crps(mean: float, u: float, x: float) -> float:
    """Gneiting and Raftery (2007), eq. (21), with the sign that makes 0 perfect."""
    z = (x - mean) / u
    return float(u * (z * (2 * norm.cdf(z) - 1) + 2 * norm.pdf(z) - 1 / math.sqrt(math.pi)))


def rains() -> list[tuple[Seen, Seen]]:
    return [both_ways(Seen(came, chance)) for chance, came in zip(RAIN, RAINED, strict=True)]


def rows() -> list[Row]:
    """What the sources print beside ours."""
    brier = score_of(rains(), 1e-5)
    assert brier is not None
    return [
        Row("Brier (1950), table 1, from memory", "score of ten forecasts", 0.19, brier.brier, 2),
        Row(
            "Gneiting and Raftery (2007), eq. (21)", "CRPS of N(0, 1) at 0",
            round(normal_crps(0, 1, 0), 4), normal_law(0, 1).crps(0.0), 4,
        ),
    ]  # fmt: skip


ROWS = rows()


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_published(row: Row) -> None:
    assert row.agrees, str(row)


@pytest.mark.parametrize("x", [-3.7, -1.1, 0.0, 0.31, 0.9, 2.2, 5.0])
def test_the_crps_of_a_normal_law(x: float) -> None:
    """The closed form; the table that a forecast keeps is off by no more than its levels leave."""
    wanted = normal_crps(0.31, 0.44, x)
    assert normal_law(0.31, 0.44).crps(x) == pytest.approx(wanted, abs=3e-4)
    assert normal_law(0.31, 0.44, LEVELS).crps(x) == pytest.approx(wanted, abs=1e-3)


@pytest.mark.parametrize("x", [-0.4, 0.0, 0.25, 0.6, 1.0, 1.7])
def test_the_crps_of_a_rectangular_law(x: float) -> None:
    """Of [0, 1], by hand: the integral of F^2 below x and of (1 - F)^2 above, F(t) = t."""
    law = PlayLaw(0.5, 12**-0.5, (0.0, 0.5, 1.0), (0.0, 0.5, 1.0))
    inside = min(max(x, 0.0), 1.0)
    by_hand = inside**3 / 3 + (1 - inside) ** 3 / 3 + abs(x - inside)
    assert law.crps(x) == pytest.approx(by_hand, abs=1e-12)


def test_the_crps_of_plays_that_are_few() -> None:
    """Steps: half of the boxes have 0.2 mm, half 0.8; E|X - x| - E|X - X'| / 2, ibid., eq. (21)."""
    law = PlayLaw(0.5, 0.3, (0.0, 0.5, 0.5, 1.0), (0.2, 0.2, 0.8, 0.8))
    for x in (0.0, 0.2, 0.35, 0.8, 1.4):
        said = 0.5 * (abs(x - 0.2) + abs(x - 0.8)) - 0.25 * 0.6
        assert law.crps(x) == pytest.approx(said, abs=1e-12), x


def test_scores_are_proper() -> None:
    """Nobody gains on the average by saying another chance, or another law, than is true."""
    true = 0.7
    for said in np.linspace(0.02, 0.98, 49):
        told = [score_of([both_ways(Seen(came, chance))], 1e-5)
                for chance in (true, said) for came in (True, False)]  # fmt: skip
        briers = [one.brier for one in told if one is not None]
        logs = [one.log for one in told if one is not None]
        for own in (briers, logs):
            honest, other = (true * own[k] + (1 - true) * own[k + 1] for k in (0, 2))
            assert honest <= other + 1e-12
    plays = norm.ppf((np.arange(400) + 0.5) / 400) * 0.3 + 0.5
    mean = {
        u: float(np.mean([normal_law(middle, u, LEVELS).crps(x) for x in plays]))
        for middle, u in ((0.5, 0.3), (0.5, 0.2), (0.5, 0.45))
    }
    assert mean[0.3] == min(mean.values())


def test_the_score_to_expect_is_spiegelhalters() -> None:
    """Spiegelhalter, Statistics in Medicine 5 (1986) 421: of right odds Brier's score of yes and no
    has the mean 2 p (1 - p) and the variance 4 p (1 - p) (1 - 2 p)^2 a forecast."""
    said = (0.9, 0.75, 0.4)
    found = score_of([both_ways(Seen(True, p)) for p in said], 1e-5)
    assert found is not None
    assert found.expected == pytest.approx(sum(2 * p * (1 - p) for p in said) / 3)
    variance = sum(4 * p * (1 - p) * (1 - 2 * p) ** 2 for p in said)
    assert found.expected_u == pytest.approx(math.sqrt(variance) / 3)
