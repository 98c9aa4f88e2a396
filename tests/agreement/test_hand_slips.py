"""Coupons of known hands with a slip of the pen in them: named, and nothing else spoilt by it.

The coupons are filled in by plain arithmetic (``tests/hand_truth``); what ten scores of a known
scatter may be found to scatter by is the chi-square law's (scipy).
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import chi2, t

from fitcheck.learn.bench_readings import Reading
from fitcheck.learn.hand_fit import fit_hands
from fitcheck.learn.hand_profile import measured_tools
from tests.hand_truth import BOARD, PIECE, Bench, Truth

PLAIN = Truth()
ROUGH = replace(PLAIN, groove_s=0.05, cut_s=0.08, read_s=0.04)
TENTHS = replace(PLAIN, step_mm=0.1, read_s=0.03)
RULE = replace(PLAIN, step_mm=25.4 / 32, read_s=0.1)
READ_TWICE = "PQRS"
RARE = 1e-5


def slipped(rows: list[Reading], feature: str, twice: bool, rng: np.random.Generator) -> int:
    """Move one reading of a feature, of a strip that was read once or twice, by 1 mm; its row."""
    places = [
        k
        for k, row in enumerate(rows)
        if row.feature == feature and (PIECE.search(row.note)[1] in READ_TWICE) == twice  # type: ignore[index]
    ]
    k = int(rng.choice(places))
    off = float(rng.choice([-1.0, 1.0]))
    rows[k] = replace(rows[k], reading_mm=(rows[k].reading_mm or 0.0) + off)
    return rows[k].row


def possible(true_mm: float, dof: int) -> tuple[float, float]:
    """What odds may take of a scatter that is known, but for one coupon in a hundred thousand."""
    wide = float(t.ppf(0.975, dof)) / 1.96
    ends = chi2.ppf(RARE / 2, dof), chi2.ppf(1 - RARE / 2, dof)
    low, high = (true_mm * wide * math.sqrt(float(end) / dof) for end in ends)
    return low, high


@pytest.mark.parametrize("twice", [False, True], ids=["read once", "read twice"])
@pytest.mark.parametrize("feature", ["cut", "fold-near", "fold-far"])
def test_a_slip_of_one_reading_is_named_and_spoils_no_scatter(feature: str, twice: bool) -> None:
    """Each of 40 coupons; before, scatters of 0 and of ten times the truth came of it."""
    rng = np.random.default_rng(20261129)
    for _ in range(40):
        bench = Bench(rng)
        bench.coupon(PLAIN)
        row = slipped(bench.rows, feature, twice, rng)
        fit = fit_hands(bench.rows, BOARD)
        (line,) = fit.set_aside
        assert re.search(rf"\b{row}\b", line.split(": ")[1]), (row, line)
        assert "read it again" in line or "read this strip again" in line
        tools = measured_tools(fit, BOARD, ["r.csv"])
        for found, true, dof in (
            (tools.score_u_on_grid_mm, PLAIN.groove_s, 7),
            (tools.score_u_off_grid_mm, PLAIN.between_s, 7),
            (tools.cut_u_mm, PLAIN.cut_s, 8),
        ):
            low, high = possible(true, dof)
            assert low < found < high, (row, line, found, true)


def test_two_slips_do_not_hide_each_other() -> None:
    """The near sides of two strips that were read once, 2 mm too large both, in 40 coupons."""
    rng = np.random.default_rng(20261130)
    for _ in range(40):
        bench = Bench(rng)
        bench.coupon(PLAIN)
        named = {}
        for letter in rng.choice(list("TUVWXY"), 2, replace=False):
            places = [
                k
                for k, row in enumerate(bench.rows)
                if row.feature == "fold-near" and row.note == f"piece {letter}"
            ]
            k = int(rng.choice(places))
            row = bench.rows[k]
            bench.rows[k] = replace(row, reading_mm=(row.reading_mm or 0.0) + 2.0)
            named[row.row] = row
        told = fit_hands(bench.rows, BOARD).set_aside
        assert len(told) == 2
        assert all(any(re.search(rf"\b{row}\b", line) for line in told) for row in named)


@pytest.mark.parametrize(
    ("truth", "most"),
    [(PLAIN, 1), (ROUGH, 3), (TENTHS, 3), (RULE, 3)],
    ids=["caliper", "rough", "tenths", "a rule of 1/32 in"],
)
def test_good_readings_stay(truth: Truth, most: int) -> None:
    """Of 300 coupons without a slip one in a hundred may lose a reading, by chance.

    On a rule most gaps are the same to the step: one that is a step off is no slip.
    """
    rng, lost = np.random.default_rng(20261201), 0
    for _ in range(300):
        bench = Bench(rng)
        bench.coupon(truth)
        lost += bool(fit_hands(bench.rows, BOARD).set_aside)
    assert lost <= most
