"""JCGM 100:2008: 4.4.3 to 4.4.6 and the end-gauge example H.1, by the code that draws boxes."""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.folding.pose import Array
from fitcheck.odds.propagate import LinearLaw, linear_law, sample
from fitcheck.odds.variates import Law, Variate
from tests.published.rows import Row
from tests.published.slopes import law_inputs

SOURCE = "JCGM 100:2008 H.1"
MEMORY = "JCGM 100:2008, value from memory"
T99_16 = 2.9208
"""Student's t for 99 % and 16 degrees of freedom (tables; JCGM 100 prints 2.92)."""

GAUGE = (
    Variate("length of the standard, nm", 25.0, mean=50_000_623.0, degrees=18),
    Variate("difference, repeated, nm", 5.8, mean=215.0, degrees=24),
    Variate("difference, comparator at random, nm", 3.9, degrees=5),
    Variate("difference, comparator at large, nm", 6.7, degrees=8),
    Variate.between("expansion of the standard, 1/K", 9.5e-6, 13.5e-6),
    Variate("difference of expansions, 1/K", 1e-6 / 3**0.5, Law.RECTANGULAR, degrees=50),
    Variate("difference of temperatures, K", 0.05 / 3**0.5, Law.RECTANGULAR, degrees=2),
    Variate("mean temperature from 20 C, K", 0.2, mean=-0.1),
    # H.1 has a swing of 0.5 K, arcsine; here a rectangle of the same standard uncertainty, which is
    # all of it that the terms of first and second order see, as boxes never draw an arcsine
    Variate("swing of the temperature, K", 0.5 / 2**0.5, Law.RECTANGULAR),
)


def end_gauge(inputs: Array) -> Array:
    """l = l_S + d - l_S (dalpha theta + alpha_S dtheta), nm."""
    length, repeated, random, large, alpha, dalpha, dtheta, mean, swing = inputs
    theta = mean + swing
    return np.array(
        [length + repeated + random + large - length * (dalpha * theta + alpha * dtheta)]
    )


def gauge_law() -> LinearLaw:
    return linear_law(GAUGE, *law_inputs(end_gauge, GAUGE))


LAW = gauge_law()
BUDGET = np.abs(LAW.contributions)


def rows() -> list[Row]:
    """The printed budget of H.1 and its result."""
    difference = float(np.sqrt(np.sum(BUDGET[1:4] ** 2)))
    return [
        Row(SOURCE, "length, mm", 50.000838, LAW.value * 1e-6, 6),
        Row(SOURCE, "from the standard, nm", 25, float(BUDGET[0]), 0),
        Row(SOURCE, "from the difference, nm", 9.68, difference, 2),
        Row(SOURCE, "from the expansions, nm", 2.887, float(BUDGET[5]), 3),
        Row(SOURCE, "from the temperatures, nm", 16.599, float(BUDGET[6]), 3),
        Row(SOURCE, "combined standard uncertainty, nm", 32, LAW.u, 0),
        Row(SOURCE, "effective degrees of freedom, cut", 16, float(int(LAW.degrees)), 0),
        Row(SOURCE, "U99 = 2.92 x 32, nm", 93, T99_16 * round(LAW.u), 0),
        Row(MEMORY, "rectangular, half-width 4 C", 2.3094, Variate.between("", -4, 4).u, 4),
    ]


ROWS: list[Row] = rows()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_published_value(row: Row) -> None:
    assert row.agrees, str(row)


def test_samples_hold_the_second_order_terms() -> None:
    """H.1.7: with the terms of second order it is 34 nm, and samples must show that, not 32."""
    found = sample(GAUGE, end_gauge, 1_000_000, np.random.default_rng(1))
    assert round(float(found.outcomes[0].std())) == 34


def test_the_linear_law_adds_up() -> None:
    assert LAW.shares.sum() == pytest.approx(1.0)
    assert LAW.u == pytest.approx(31.66, abs=0.01)
    assert LAW.degrees == pytest.approx(16.75, abs=0.05)
