"""A printer's few readings never leave it less sure than no reading does.

The reference is arithmetic by hand: two independent beliefs and one reading that is linear in both
(the best linear estimate; NIST/SEMATECH e-Handbook, 4.4.3, weighted least squares).
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.csv_rows import write_sheet
from fitcheck.learn.learning import learn_printer
from fitcheck.learn.session import learn_from, rebuild
from tests.unit.test_learning_sessions import TOOLS, place

SCALE_U, OFFSET_U, NOISE = 0.005, 0.1, 0.03
"""What is believed before anything is read, mm (common practice, no source)."""


def read(feature: Feature, nominal: float, found: float) -> Reading:
    return Reading(
        "taken.csv", 2, "2026-11-20", "MK", "caliper", 0.001, feature, nominal, None, found,
        None, None, "",
    )  # fmt: skip


def test_one_reading_tells_a_scale_and_an_offset_as_much_as_both_are_believed() -> None:
    """found - n = n s + 2 o: of what it says each takes its share of the variance."""
    learnt = learn_printer([read(Feature.OUTSIDE_X, 106.0, 106.45)], None)
    whole = (106.0 * SCALE_U) ** 2 + (2 * OFFSET_U) ** 2 + NOISE**2
    offset = learnt.get("outside_offset_mm")
    assert offset is not None and not offset.kept
    assert offset.value == pytest.approx(2 * OFFSET_U**2 * 0.45 / whole, abs=0.002)
    left = math.sqrt(1 - (2 * OFFSET_U) ** 2 / whole)
    assert offset.u == pytest.approx(OFFSET_U * left, rel=0.02)
    scale = learnt.get("scale_x")
    assert scale is not None and not scale.kept
    assert scale.value == pytest.approx(106.0 * SCALE_U**2 * 0.45 / whole, rel=0.02)
    assert scale.u == pytest.approx(
        SCALE_U * math.sqrt(1 - (106.0 * SCALE_U) ** 2 / whole), rel=0.02
    )
    unread = learnt.get("hole_offset_mm")
    assert unread is not None and unread.u == OFFSET_U and unread.kept


def test_one_reading_learnt_counts_once(tmp_path: Path) -> None:
    """Fitted anew from its one record a profile stays as it is, to the byte."""
    file = tmp_path / "taken.csv"
    file.write_text(write_sheet([read(Feature.OUTSIDE_X, 106.0, 106.45)]), encoding="utf-8")
    first = learn_from("desk", file, place(tmp_path), TOOLS).profile.read_bytes()
    assert b"scale_x = 1.0037" in first
    assert rebuild("desk", place(tmp_path), TOOLS).profile.read_bytes() == first
    file.write_text(write_sheet([read(Feature.INSIDE_Y, 50.0, 49.9)]), encoding="utf-8")
    learn_from("desk", file, place(tmp_path), TOOLS)
    assert b"scale_x = 1.0037" in (tmp_path / "calibration/printers/desk.toml").read_bytes()


def test_two_sizes_that_lie_close_leave_no_belief_wider() -> None:
    """A line through 20 and 21 mm would have its scale to 3 %, and 0.5 % is believed."""
    rows = [read(Feature.OUTSIDE_X, 20.0, 20.21), read(Feature.OUTSIDE_X, 21.0, 21.2)]
    learnt = learn_printer(rows, None)
    slopes = np.array([[20.0, 2.0], [21.0, 2.0]]) / NOISE
    information = slopes.T @ slopes + np.diag([SCALE_U**-2, OFFSET_U**-2])
    u = np.sqrt(np.diag(np.linalg.inv(information)))
    for name, own in zip(("scale_x", "outside_offset_mm"), u, strict=True):
        found = learnt.get(name)
        # 5 %: the step of the instrument, and what two readings say of their scatter
        assert found is not None and found.u == pytest.approx(own, rel=0.05), name


def test_a_line_through_many_sizes_stands_alone() -> None:
    """The straight line of a textbook; what is believed is far less sure and has no say."""
    sides = np.arange(10.0, 101.0, 10.0)
    off = np.array([0.01, -0.02, 0.03, 0.0, -0.01, 0.02, -0.03, 0.01, 0.0, -0.01])
    found = 1.002 * sides + 0.5 + off
    rows = [read(Feature.OUTSIDE_X, n, round(f, 4)) for n, f in zip(sides, found, strict=True)]
    learnt = learn_printer(rows, None)
    slope, start = np.polyfit(sides, found, 1)
    scale, offset = learnt.get("scale_x"), learnt.get("outside_offset_mm")
    assert scale is not None and offset is not None
    assert scale.value == pytest.approx(slope - 1, abs=1e-5)
    assert offset.value == pytest.approx(start / 2, abs=1e-4)
