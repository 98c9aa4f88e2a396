"""Repeats and resolution as standard uncertainties: JCGM 100, worked examples.

Values from memory, and each comes out of its stated inputs.
"""

from __future__ import annotations

import math

import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.evaluate import repeats, t_factor
from fitcheck.learn.learning import learn_stock
from fitcheck.learn.model_stock import Before, Given
from fitcheck.uncertainty import effective_dof, rectangular_u, resolution_u
from tests.published.rows import Row

TEMPERATURES = (
    *(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07),
    *(100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72),
)
GUM = "JCGM 100:2008, 4.4.3 (value from memory)"
GUM_B = "JCGM 100:2008, 4.4.5 (value from memory)"
GUM_H1 = "JCGM 100:2008, H.1"
ARITHMETIC = "arithmetic, d / sqrt(12)"
FOUND = repeats(TEMPERATURES)


ROWS = [
    Row(GUM, "mean of 20, deg C", 100.145, FOUND.mean, 3),
    Row(GUM, "s of one, deg C", 1.49, FOUND.s, 2),
    Row(GUM, "u of the mean, deg C", 0.33, FOUND.u, 2),
    Row(GUM_B, "rectangular, half-width 4", 2.3094, rectangular_u(4.0), 4),
    Row(ARITHMETIC, "u of a step of 0.01 mm, um", 2.887, 1000 * resolution_u(0.01), 3),
    Row(ARITHMETIC, "u of a step of 0.05 mm, um", 14.434, 1000 * resolution_u(0.05), 3),
    Row("table of Student's t", "t 0.975, 16", 2.1199, t_factor(16), 4),
    Row("table of Student's t", "t 0.995, 16", 2.9208, t_factor(16, 0.99), 4),
    Row(
        GUM_H1,
        "effective degrees of freedom",
        16.75,
        effective_dof([(25.0, 18.0), (9.68, 25.63), (2.887, 50.0), (16.599, 2.0)]),
        2,
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_worked_example(row: Row) -> None:
    assert row.agrees, str(row)


def test_a_stack_has_student_s_interval() -> None:
    """The 20 temperatures read as mm of one sheet each: s / sqrt(20), widened as G.3 has it."""
    rows = [
        Reading("t", k, "2026-01-01", "x", "i", 0.01, Feature.STACK, None, 1, v, None, None, "")
        for k, v in enumerate(TEMPERATURES)
    ]
    found = learn_stock(rows, Given("", 0.1, 0.05, 0.1, 0.03), Before(100.0, 1.0, None, None))
    caliper = found.get("caliper")
    assert caliper is not None
    assert caliper.value == pytest.approx(FOUND.mean, abs=2e-3)
    # The half step is within the readings' own scatter; of 19 degrees of freedom, t is 2.093.
    assert caliper.u == pytest.approx(FOUND.u * t_factor(19) / t_factor(math.inf), rel=2e-3)
