"""JCGM 100:2008, H.5: analysis of variance in a type A evaluation, as days of a hand's offsets.

Table H.9 (a Zener standard, ten days with five observations each), from memory: means and standard
deviations of the days. Five observations with a given mean and standard deviation are made of them.
"""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.learn.hand_lines import Line, line_through
from tests.published.rows import Row

MEANS_UV = np.array([172, 116, 13, 144, 106, 31, 60, 125, 163, 41], dtype=float)
S_UV = np.array([60, 77, 111, 101, 67, 93, 80, 73, 88, 86], dtype=float)
PATTERN = np.array([-1.0, -1.0, 0.0, 1.0, 1.0])
"""Mean 0, experimental standard deviation 1."""


def fitted() -> Line:
    values = (MEANS_UV[:, None] + S_UV[:, None] * PATTERN).ravel()
    days = [f"day {k // 5}" for k in range(50)]
    return line_through(np.zeros(50), values, days, sloped=False)


FOUND = fitted()
SOURCE = "JCGM 100:2008, H.5 (value from memory)"
ROWS = [
    Row(SOURCE, "mean less 10 V, uV", 97, FOUND.level_mm, 0),
    Row(SOURCE, "s of the days' means, uV", 57, FOUND.among.value**0.5, 0),
    Row(SOURCE, "s within a day, uV", 85, FOUND.rest.value**0.5, 0),
    Row(SOURCE, "s between days, uV", 43, FOUND.between**0.5, 0),
    Row(SOURCE, "u of the mean, uV", 18, (FOUND.among.value / 10) ** 0.5, 0),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_worked_example(row: Row) -> None:
    assert row.agrees, str(row)


def test_degrees_of_freedom() -> None:
    assert (FOUND.among.dof, FOUND.rest.dof) == (9.0, 40.0)
