"""A stack of which one sheet too many was counted is named where it may be what disagrees."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitcheck.learn.aside_words import misfit
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.entries import entries_of
from fitcheck.learn.outliers import Odd

STACK = Reading(
    "r.csv", 2, "2026-11-20", "kh", "caliper", 0.01, Feature.STACK, None, 10, 4.5, None, None,
    "piece A",
)  # fmt: skip
INSIDE = replace(
    STACK, row=3, feature=Feature.INSIDE, nominal_mm=50.0, count=None, reading_mm=None,
    go_mm=49.4, nogo_mm=49.5, note="piece C",
)  # fmt: skip


def said(off_mm: float, count: int = 10) -> str:
    stack, inside = entries_of([replace(STACK, count=count), INSIDE])
    return misfit(inside, Odd(1, off_mm, 0.008), [], [stack, inside])


@pytest.mark.parametrize(("off_mm", "true"), [(-0.11, 9), (-0.09, 9), (-0.2, 9), (0.09, 11)])
def test_one_sheet_of_ten_moves_an_inside_by_a_fifth_of_a_sheet(off_mm: float, true: int) -> None:
    """4.5 mm for 10 sheets is 0.45 each; for 9 it is 0.50, and two sheets are 0.10 mm more."""
    line = said(off_mm)
    assert "set aside; measure this piece again, and count the stack: " in line
    assert f"{true} sheets counted as 10 look like that too" in line


@pytest.mark.parametrize("off_mm", [-0.5, 0.5, -1.0, 0.02])
def test_what_no_miscounted_sheet_explains_is_the_piece_s(off_mm: float) -> None:
    assert said(off_mm).endswith("set aside; measure this piece again")


def test_a_single_sheet_is_not_miscounted() -> None:
    assert said(-0.9, count=1).endswith("set aside; measure this piece again")
