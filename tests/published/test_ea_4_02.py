"""EA-4/02 M, example S10 (vernier caliper): two rectangles rule, so it covers as a trapezoid does.

Values from memory. The rectangular half-widths are 25 um (resolution 50 um) and 50 um (mechanical
effects); the gauge block and the temperature are left out, as they do not show in the digits. The
document rounds u = 32.27 um up to 33 um; that rounding is not tested.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck.folding.pose import Array
from fitcheck.odds.intervals import symmetric_interval
from fitcheck.odds.propagate import linear_law, sample
from fitcheck.odds.variates import Variate
from tests.published.rows import Row
from tests.published.slopes import law_inputs

SOURCE = "EA-4/02 M, S10, value from memory"
CALIPER = (
    Variate.between("resolution, um", -25.0, 25.0),
    Variate.between("mechanical effects, um", -50.0, 50.0),
)


def error_of_reading(inputs: Array) -> Array:
    """E = 0.10 mm indicated error with both effects, um."""
    return 100.0 + inputs.sum(axis=0, keepdims=True)


def coverage_factor() -> float:
    """k for 95 %, from the samples."""
    found = sample(CALIPER, error_of_reading, 4_000_000, np.random.default_rng(4))
    interval = symmetric_interval(np.sort(found.outcomes[0]))
    return 0.5 * (interval.high - interval.low) / LAW.u


LAW = linear_law(CALIPER, *law_inputs(error_of_reading, CALIPER))
K95 = coverage_factor()

ROWS: list[Row] = [
    Row(SOURCE, "error of indication, mm", 0.10, LAW.value / 1000.0, 2),
    Row(SOURCE, "standard uncertainty, um", 32.27, LAW.u, 2),
    Row(SOURCE, "coverage factor for 95 %", 1.83, K95, 2),
    Row(SOURCE, "expanded uncertainty, mm", 0.06, K95 * LAW.u / 1000.0, 2),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_published_value(row: Row) -> None:
    assert row.agrees, str(row)


def test_the_trapezoid_in_closed_form() -> None:
    """k = (1 - sqrt((1 - p)(1 - b^2))) / sqrt((1 + b^2) / 6), b the ratio of top to bottom."""
    ratio = (50.0 - 25.0) / (50.0 + 25.0)
    k = (1.0 - math.sqrt(0.05 * (1.0 - ratio**2))) / math.sqrt((1.0 + ratio**2) / 6.0)
    assert k == pytest.approx(1.8339, abs=5e-5)
    assert pytest.approx(k, abs=0.002) == K95
