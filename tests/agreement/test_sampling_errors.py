"""The sampling errors of intervals against the law of order statistics and against drawing again.

A sample quantile of share q has the standard error sqrt(q (1 - q) / m) / f, with f the density
there (M. G. Kendall and A. Stuart, The Advanced Theory of Statistics I, 10.10; from memory).
The distributions are lopsided, so that the two ends have other errors.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from fitcheck.odds.intervals import (
    Chance,
    Interval,
    chance_of,
    symmetric_interval,
)
from fitcheck.odds.propagate import linear_law, sample, sensitivities_of
from fitcheck.odds.variates import Law, Variate

LOPSIDED = {
    "exponential": stats.expon(),
    "gamma": stats.gamma(3.0),
    "mirrored": stats.gumbel_l(),
}


def ideal(law: stats.rv_continuous, count: int) -> np.ndarray:
    """A sample with no chance in it: the middle of every one of `count` equal shares."""
    return np.asarray(law.ppf((np.arange(count) + 0.5) / count))


@pytest.mark.parametrize("count", [2, 3, 10, 101, 5_000])
def test_values_need_not_be_in_order(count: int) -> None:
    values = np.random.default_rng(count).normal(size=count)
    found, ordered = symmetric_interval(values), np.sort(values)
    inside = min(int(0.95 * count + 0.5), count - 1)
    start = max(0, (count - inside + 1) // 2 - 1)
    assert (found.low, found.high) == (ordered[start], ordered[start + inside])
    assert found == symmetric_interval(ordered)
    assert symmetric_interval(values, 0.6) == symmetric_interval(np.sort(values), 0.6)


@pytest.mark.parametrize("name", LOPSIDED)
@pytest.mark.parametrize("coverage", [0.95, 0.8])
def test_ends_and_their_errors_are_those_of_the_quantiles(name: str, coverage: float) -> None:
    law, count = LOPSIDED[name], 400_000
    found = symmetric_interval(ideal(law, count), coverage)
    for share, end, error in (
        (0.5 - 0.5 * coverage, found.low, found.low_error),
        (0.5 + 0.5 * coverage, found.high, found.high_error),
    ):
        assert end == pytest.approx(law.ppf(share), abs=1e-3)
        expected = math.sqrt(share * (1.0 - share) / count) / law.pdf(law.ppf(share))
        assert error == pytest.approx(expected, rel=0.02)


def test_errors_are_how_far_ends_scatter_when_everything_is_drawn_again() -> None:
    rng = np.random.default_rng(11)
    found = [symmetric_interval(np.sort(rng.exponential(size=2_000))) for _ in range(1_500)]
    for end, error in (("low", "low_error"), ("high", "high_error")):
        ends = np.array([getattr(one, end) for one in found])
        told = np.mean([getattr(one, error) for one in found])
        assert told == pytest.approx(ends.std(), rel=0.08)


def test_a_short_sample_by_counting() -> None:
    """Ten draws, 80 %: eight steps between the ends, one draw left out above; by hand.

    JCGM 101:2008, 7.7.2: q = pM = 8, r = (M - q)/2 = 1, so from the first to the ninth. One
    binomial deviation at the ends is sqrt(10 x 0.05 x 0.95) = 0.69 and sqrt(10 x 0.85 x 0.15) =
    1.13 ranks: one draw to each side, where there is one.
    """
    ordered = np.array([0.0, 1.0, 3.0, 6.0, 10.0, 15.0, 21.0, 28.0, 36.0, 45.0])
    found = symmetric_interval(ordered, 0.8)
    assert found == Interval(0.0, 36.0, 0.5 * (1.0 - 0.0), 0.5 * (45.0 - 28.0))
    # all of a small sample: nothing is left out
    assert (symmetric_interval(ordered, 0.99).low, symmetric_interval(ordered, 0.99).high) == (
        0,
        45,
    )


def test_a_share_and_its_error_are_the_binomial_law_s() -> None:
    happened = np.zeros(400, dtype=bool)
    happened[3:33] = True
    chance = chance_of(happened)
    assert (chance.hits, chance.boxes, chance.share) == (30, 400, 0.075)
    assert chance.error == pytest.approx(stats.binom(400, 0.075).std() / 400, rel=1e-12)
    assert not chance.certain and Chance(0, 400).certain and Chance(400, 400).certain
    low, high = Chance(0, 400).bounds[1], Chance(400, 400).bounds[0]
    assert stats.binom(400, low).cdf(0) == pytest.approx(0.05)
    assert stats.binom(400, high).sf(399) == pytest.approx(0.05)


def test_the_linear_law_of_a_lopsided_sum_by_arithmetic() -> None:
    """y = 3 a - 0.5 b + c c at 1, 2, 4: u^2 = (3 x 0.1)^2 + (0.5 x 0.4)^2 + (8 x 0.05)^2.

    Effective degrees of freedom (JCGM 100, G.2b): u^4 over the sum of u_i^4 / v_i.
    """
    variates = (
        Variate("a", 0.1, mean=1.0, degrees=4.0),
        Variate("b", 0.4, Law.RECTANGULAR, mean=2.0, degrees=9.0),
        Variate("c", 0.05, mean=4.0),
        Variate("known", 0.0, mean=7.0),
    )
    values, slopes = sensitivities_of(
        lambda x: np.array([3.0 * x[0] - 0.5 * x[1] + x[2] ** 2, x[3] + x[0]]), variates
    )
    assert values == pytest.approx([18.0, 8.0])
    assert slopes == pytest.approx(
        np.array([[3.0, -0.5, 8.0, 0.0], [1.0, 0.0, 0.0, 0.0]]), abs=1e-9
    )
    law = linear_law(variates, float(values[0]), slopes[0])
    u2 = 0.09 + 0.04 + 0.16
    assert law.u == pytest.approx(math.sqrt(u2))
    assert law.contributions == pytest.approx([0.3, -0.2, 0.4, 0.0])
    assert law.shares == pytest.approx(np.array([0.09, 0.04, 0.16, 0.0]) / u2)
    assert law.degrees == pytest.approx(u2**2 / (0.3**4 / 4.0 + 0.2**4 / 9.0))
    still = linear_law(variates[3:], 7.0, np.array([2.0]))
    assert (still.u, still.degrees) == (0.0, math.inf) and still.shares == pytest.approx([0.0])


def test_drawn_laws_are_scipy_s() -> None:
    """Kolmogorov and Smirnov's test on each law's own distribution, mean and width lopsided."""
    laws = {
        Law.NORMAL: stats.norm(-2.0, 0.3),
        Law.RECTANGULAR: stats.uniform(-2.0 - 0.3 * 3**0.5, 0.6 * 3**0.5),
        Law.TRIANGULAR: stats.triang(0.5, -2.0 - 0.3 * 6**0.5, 0.6 * 6**0.5),
        Law.ARCSINE: stats.arcsine(-2.0 - 0.3 * 2**0.5, 0.6 * 2**0.5),
    }
    variates = [Variate(law.value, 0.3, law, -2.0) for law in laws]
    drawn = sample(variates, lambda x: x.copy(), 50_000, np.random.default_rng(6)).outcomes
    for row, law in zip(drawn, laws.values(), strict=True):
        assert stats.kstest(row, law.cdf).pvalue > 1e-3
    between = Variate.between("x", -1.0, 4.0)
    assert (between.mean, between.law) == (1.5, Law.RECTANGULAR)
    assert between.u == pytest.approx(stats.uniform(-1.0, 5.0).std())
