"""NIST StRD, one-way analysis of variance, SiRstv: the code that takes days out of a hand's cuts.

Data and certified values: NIST Statistical Reference Datasets, SiRstv (silicon resistivity, five
instruments with five readings each, lower level of difficulty), from memory; each comes out of the
other to all digits printed.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import f_oneway

from fitcheck.learn.hand_lines import Line, line_through
from tests.published.rows import Row

READINGS = (
    (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
)
BETWEEN_MS = 1.27865654000000e-02
WITHIN_MS = 1.08318280000000e-02
RESIDUAL_SD = 1.04076068334656e-01
F = 1.18046237440255


def fitted() -> Line:
    values = np.array(READINGS).ravel()
    days = [f"{k // 5}" for k in range(25)]
    return line_through(np.zeros(25), values, days, sloped=False)


FOUND = fitted()
SOURCE = "NIST StRD, SiRstv (value from memory)"
ROWS = [
    Row(SOURCE, "mean square between, 1e-2", 1.27865654, 500.0 * FOUND.among.value, 8),
    Row(SOURCE, "mean square within, 1e-2", 1.0831828, 100.0 * FOUND.rest.value, 7),
    Row(SOURCE, "residual standard deviation", RESIDUAL_SD, FOUND.rest.value**0.5, 12),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_certified_value(row: Row) -> None:
    assert row.agrees, str(row)


def test_degrees_of_freedom_are_those_of_the_table() -> None:
    assert (FOUND.rest.dof, FOUND.among.dof) == (20.0, 4.0)


def test_the_ratio_is_that_of_scipy_and_of_the_table() -> None:
    ours = 5.0 * FOUND.among.value / FOUND.rest.value
    assert ours == pytest.approx(F, rel=1e-9)
    assert ours == pytest.approx(f_oneway(*READINGS).statistic, rel=1e-9)


def test_the_component_between_is_what_the_table_leaves() -> None:
    assert FOUND.between == pytest.approx((BETWEEN_MS - WITHIN_MS) / 5.0, rel=1e-9)
