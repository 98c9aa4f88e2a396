"""NIST/SEMATECH e-Handbook of Statistical Methods: an interval of a scatter, and odd values.

7.2.3.1: ten wafers with a standard deviation of 13.97 ohm cm. 1.3.5.17.1: eight mass-spectrometer
readings, of which the last is odd. 1.3.5.17.3: Rosner's 54 values, of which three are odd though
the first two of them hide each other. Values from memory; each comes out of its stated inputs.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import chi2, f

from fitcheck.learn.hand_pieces import grubbs
from fitcheck.learn.hand_slips import left_out_chance
from fitcheck.learn.hand_spread import MeanSquare, Told, scatter_of
from tests.published.rows import Row

WAFERS = scatter_of(MeanSquare(13.97**2, 9.0), MeanSquare(0.0, math.inf), 0.0)
MASSES = np.array([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
G = float((MASSES.max() - MASSES.mean()) / MASSES.std(ddof=1))
ROSNER = np.array(
    [
        *(-0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56),
        *(1.58, 1.65, 1.69, 1.70, 1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10),
        *(2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92),
        *(2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01),
    ]
)
SPREAD = "NIST/SEMATECH handbook, 7.2.3.1 (value from memory)"
ODD = "NIST/SEMATECH handbook, 1.3.5.17.1 (value from memory)"
ROWS = [
    Row(SPREAD, "lower end of sigma, ohm cm", 9.61, WAFERS.low_mm, 2),
    Row(SPREAD, "upper end of sigma, ohm cm", 25.50, WAFERS.high_mm, 2),
    Row(ODD, "Grubbs' statistic", 2.469, G, 3),
    Row(ODD, "critical value, one-sided 5 %, n = 8", 2.032, grubbs(8, 0.10), 3),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_worked_example(row: Row) -> None:
    assert row.agrees, str(row)


def test_of_rosner_s_values_three_are_odd_and_the_third_shows_it() -> None:
    """The handbook's table: at 5 % the third of ten exceeds its critical value, and no other."""
    left, odd = ROSNER, []
    for number in range(1, 11):
        away = np.abs(left - left.mean())
        if number == 1:
            assert away.max() / left.std(ddof=1) == pytest.approx(3.118906, abs=5e-7)
        others = np.delete(left, int(np.argmax(away)))
        rest = float(((others - others.mean()) ** 2).sum())
        if len(left) * left_out_chance(left, rest) < 0.05:
            odd.append(number)
        left = others
    assert odd == [3]


@pytest.mark.parametrize("dof", [3, 7, 8, 40])
@pytest.mark.parametrize("known", [0.0, 0.3])
def test_with_noise_that_is_known_the_ends_are_chi_square_less_it(dof: int, known: float) -> None:
    """Exact (scipy): dof S2 / chi2 is the interval of the sum of both variances."""
    found = scatter_of(MeanSquare(1.0, dof), MeanSquare(known, math.inf), 1.0)
    low, high = dof / chi2.ppf(0.975, dof) - known, dof / chi2.ppf(0.025, dof) - known
    assert found.low_mm == pytest.approx(math.sqrt(max(low, 0.0)), abs=1e-9)
    assert found.high_mm == pytest.approx(math.sqrt(high), rel=1e-9)


@pytest.mark.parametrize(("n", "m", "share"), [(7, 14, 0.5), (8, 5, 1.0), (9, 30, 0.25)])
def test_an_interval_begins_above_nothing_just_where_the_f_test_says_so(
    n: int, m: int, share: float
) -> None:
    """The modified large-sample interval is tied to the F test of both mean squares (scipy)."""
    ratio = float(f.ppf(0.975, n, m))
    for factor, above in ((0.999, False), (1.001, True)):
        seen = MeanSquare(factor * ratio * share, n)
        found = scatter_of(seen, MeanSquare(1.0, m), share)
        assert (found.low_mm > 0.0) is above


@pytest.mark.parametrize("m", [4.0, 20.0, math.inf])
@pytest.mark.parametrize("n", [3.0, 8.0, 30.0])
def test_what_is_taken_lies_in_its_own_interval_and_is_never_nothing(n: float, m: float) -> None:
    """Noise from none to a hundred times what was seen; where it is more, it tells nothing.

    A square that is told has a degree of freedom at least, so it is at least 1 / sqrt(n) of all.
    """
    whole = math.sqrt(n / chi2.ppf(0.025, n))
    for share in (0.0, 0.1, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.99, 1.0, 1.01, 2.0, 100.0):
        found = scatter_of(MeanSquare(1.0, n), MeanSquare(share, m), 1.0, 0.01)
        assert found.high_mm > 0.0
        assert found.low_mm <= found.used_mm <= found.high_mm or not found.estimated
        if found.estimated:
            assert found.used_mm >= found.s_mm >= n**-0.25 * (1 - 1e-9)
        if share >= 1.0:
            assert found.told is Told.NOISE
            assert found.high_mm == pytest.approx(whole, rel=1e-9)
