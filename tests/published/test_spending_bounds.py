"""Bounds of repeated looks: Lan and DeMets (1983) with O'Brien and Fleming's and Pocock's spending.

The bounds of five equal looks, 0.025 to a side, stand in the manuals of group-sequential software
(Reboussin, DeMets, Kim and Lan, Controlled Clinical Trials 21 (2000) 190); the values are from
memory. The sums are of standard normal steps on a grid of 0.0025; one step of it is the tolerance.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from fitcheck.learn.looks import Steps, looks
from tests.published.rows import Row

GRID = 0.0025
LOOKS = 5
SIDE = 0.025
BRIEN_FLEMING = (4.8769, 3.3569, 2.6803, 2.2898, 2.0310)
POCOCK = (2.4380, 2.4268, 2.4101, 2.3966, 2.3859)


def normal_steps() -> Steps:
    ends = (np.arange(-3200, 3202) - 0.5) * GRID
    return Steps(-3200, np.diff(norm.cdf(ends)))


def bounds(spent: list[float]) -> list[float]:
    """The upper bounds in standard deviations where so much is spent on a side by each look."""
    laid = [2.0 * float(one) for one in np.diff([0.0, *spent])]
    steps = normal_steps()
    found = looks((steps, one) for one in laid)
    return [(one.high + 0.5) * GRID / math.sqrt(k) for k, one in enumerate(found, 1)]


def brien_fleming() -> list[float]:
    shares = [k / LOOKS for k in range(1, LOOKS + 1)]
    return bounds([2.0 * norm.sf(norm.isf(SIDE / 2.0) / math.sqrt(share)) for share in shares])


def pocock() -> list[float]:
    shares = [k / LOOKS for k in range(1, LOOKS + 1)]
    return bounds([SIDE * math.log(1.0 + (math.e - 1.0) * share) for share in shares])


def rows() -> list[Row]:
    """The bounds to the digits that the grid can tell."""
    found = []
    for name, says, ours in (
        ("O'Brien and Fleming", BRIEN_FLEMING, brien_fleming()),
        ("Pocock", POCOCK, pocock()),
    ):
        found += [
            Row(
                f"Lan and DeMets (1983), {name} spending, from memory",
                f"bound at look {k} of {LOOKS}", round(theirs, 2), our, 2,
            )
            for k, (theirs, our) in enumerate(zip(says, ours, strict=True), 1)
        ]  # fmt: skip
    return found


ROWS = rows()


@pytest.mark.parametrize(("says", "ours"), [(BRIEN_FLEMING, brien_fleming), (POCOCK, pocock)])
def test_bounds_are_the_published_ones(says: tuple[float, ...], ours: object) -> None:
    found = ours()  # type: ignore[operator]
    for k, (theirs, our) in enumerate(zip(says, found, strict=True), 1):
        assert our == pytest.approx(theirs, abs=GRID / math.sqrt(k)), k
