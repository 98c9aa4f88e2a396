"""NIST StRD, linear regression, Norris: the certified line by the very code that fits profiles.

Data: the file that ships in SciPy. Certified values: its header (NIST Statistical Reference
Datasets, Norris, 36 points, lower level of difficulty).
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
import scipy

from fitcheck.learn.fit import Fit, fit
from fitcheck.learn.hand_lines import common_slope, line_through
from fitcheck.learn.solving import Data, Model

FILE = Path(scipy.__file__).parent / "stats/tests/data/nist_linregress/Norris.dat"
B0, B0_SD = -0.262323073774029, 0.232818234301152
B1, B1_SD = 1.00211681802045, 0.429796848199937e-3
RESIDUAL_SD = 0.884796396144373
RSS = 26.6173985294224
DIGITS = 1e-12
"""Certified to 15 digits; double precision loses about three of them on the way."""


def points() -> np.ndarray:
    """(36, 2): y and x."""
    lines = FILE.read_text(encoding="ascii").splitlines()
    rows = [line.split() for line in lines if re.fullmatch(r"\s*[-\d.]+\s+[-\d.]+\s*", line)]
    return np.array(rows, dtype=float)


def norris() -> Fit:
    y, x = points().T
    design = np.column_stack([np.ones_like(x), x])
    none = np.zeros(2)
    model = Model(
        ("B0", "B1"), lambda b: design @ b, lambda b: design, none, none, np.full(2, np.inf)
    )
    # plain readings: no gauges, no resolution, each of a piece of its own
    none, far = np.zeros(len(y)), np.full(len(y), np.inf)
    data = Data(y, -far, far, none, np.ones(len(y)), np.full(len(y), -1))
    return fit(model, data, given_noise=None)


def test_there_are_thirty_six_points() -> None:
    assert points().shape == (36, 2)


def test_the_certified_line() -> None:
    found = norris()
    assert found.value("B0") == pytest.approx(B0, rel=DIGITS)
    assert found.value("B1") == pytest.approx(B1, rel=DIGITS)


def test_the_certified_standard_deviations() -> None:
    found = norris()
    assert found.u("B0") == pytest.approx(B0_SD, rel=DIGITS)
    assert found.u("B1") == pytest.approx(B1_SD, rel=DIGITS)
    assert found.noise == pytest.approx(RESIDUAL_SD, rel=DIGITS)
    assert float(found.residuals @ found.residuals) == pytest.approx(RSS, rel=DIGITS)


def test_the_degrees_of_freedom() -> None:
    found = norris()
    assert found.noise_dof == pytest.approx(34)
    assert found.dof_of("B1") == pytest.approx(34, rel=2e-3)  # by a sum over guesses


def test_the_certified_line_in_closed_form() -> None:
    """The same line by the sums that tell a board's scale from its scores."""
    y, x = points().T
    found = line_through(x, y, ["one day"] * len(y), sloped=True)
    assert found.slope == pytest.approx(B1, rel=DIGITS)
    assert found.level_mm - found.slope * found.at_mm == pytest.approx(B0, rel=1e-9)
    assert math.sqrt(found.rest.value) == pytest.approx(RESIDUAL_SD, rel=1e-9)
    assert math.sqrt(found.rest.value / found.sxx) == pytest.approx(B1_SD, rel=1e-9)
    assert found.rest.dof == 34.0
    scale = common_slope([found])
    assert scale is not None
    assert (scale.value, scale.u, scale.dof) == pytest.approx((B1, B1_SD, 34.0), rel=1e-9)
