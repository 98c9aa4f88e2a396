"""The largest of several normal values against order statistics in closed form and in tables.

Mean and variance of the largest of two and of three standard normal values have closed forms; the
largest of ten is tabulated (H. A. David and H. N. Nagaraja, Order Statistics; Teichroew 1956,
Annals of Mathematical Statistics 27: 1.53875 and a variance of 0.34434). All of these from memory.
What is drawn is held against Phi to the n-th by scipy's Kolmogorov test.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import kstest, norm

from fitcheck.odds.propagate import linear_law
from fitcheck.odds.variates import Variate, draw_values

KNOWN = {
    1: (0.0, 1.0),
    2: (1.0 / math.sqrt(math.pi), 1.0 - 1.0 / math.pi),
    3: (1.5 / math.sqrt(math.pi), 1.0 + math.sqrt(3.0) / (2.0 * math.pi) - 2.25 / math.pi),
    10: (1.53875, 0.34434),
}


@pytest.mark.parametrize("count", KNOWN)
@pytest.mark.parametrize("sign", [1, -1])
def test_mean_and_variance_are_those_of_the_books(count: int, sign: int) -> None:
    mean, variance = KNOWN[count]
    one = Variate("x", 0.2, mean=0.05, largest_of=sign * count)
    assert one.expected == pytest.approx(0.05 + sign * 0.2 * mean, abs=2e-6)
    assert one.deviation == pytest.approx(0.2 * math.sqrt(variance), abs=2e-6)
    law = linear_law([one], 0.0, np.array([-3.0]))
    assert law.u == pytest.approx(0.6 * math.sqrt(variance), abs=6e-6)


@pytest.mark.parametrize("count", [2, 6, 18])
def test_what_is_drawn_is_the_largest_or_the_smallest(count: int) -> None:
    both = [Variate("x", 0.2, mean=0.05, largest_of=n) for n in (count, -count)]
    drawn = draw_values(both, np.random.default_rng(3).spawn(2), np.empty((2, 50_000)))
    largest, smallest = (drawn - 0.05) / 0.2
    assert kstest(largest, lambda x: norm.cdf(x) ** count).pvalue > 0.01
    assert kstest(-smallest, lambda x: norm.cdf(x) ** count).pvalue > 0.01


def test_draws_do_not_depend_on_how_many_are_drawn_at_a_time() -> None:
    one = [Variate("x", 1.0, largest_of=5)]
    whole = draw_values(one, [np.random.default_rng(4)], np.empty((1, 1_000)))
    stream, parts = np.random.default_rng(4), []
    for size in (300, 700):
        parts.append(draw_values(one, [stream], np.empty((1, size))).copy())
    assert np.array_equal(whole, np.concatenate(parts, axis=1))
