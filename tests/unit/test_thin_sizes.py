"""What is smaller than a mark of the rule is told in decimals: no thing is 0 in thick.

An inch is 25.4 mm (exact, 1959).
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.sheet.job import sheet_job
from fitcheck.units import Unit
from fitcheck.workspace.size_texts import show_room, show_sizes, size_words

INCH = 25.4
MARK_MM = INCH / 32
DESIGN = """format = 1
title = "Shelf label"
unit = "in"
[base]
style = "tray"
stock = "index-140"
inside = [4, 6]
depth = "1"
[[content]]
item = "leaf"
lay = "flat"
"""
ITEMS = """format = 1
[leaf]
kind = "card"
size = [90, 140, 0.3]
source = "invented for tests"
"""


def both(told: str) -> tuple[float, float]:
    """The first inches and the first millimetres of a length that is told in both units."""
    inches = re.search(r"([\d /.]+) in", told)
    mm = re.search(r"([\d.]+) mm", told)
    assert inches and mm
    return sum(eval_fraction(one) for one in inches[1].split()), float(mm[1])


def eval_fraction(text: str) -> float:
    over, _, under = text.partition("/")
    return float(over) / float(under or 1)


def test_a_recipe_tells_how_thin_a_card_is(tmp_path: Path) -> None:
    """0.3 / 25.4 = 0.0118."""
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text(ITEMS)
    path = tmp_path / "models" / "label.toml"
    path.write_text(DESIGN)
    design = read_design(path)
    needs = dict(
        recipe_of(Sheets(check(design), sheet_job(design, Paper.A4, (), 1)), None, None).needs
    )
    assert "x 0.012 in (90.0 x 140.0 x 0.3 mm)" in needs["Contents"]


@pytest.mark.parametrize("unit", [Unit.IN, Unit.MM, Unit.CM])
@given(mm=st.floats(0.01, 20.0))
def test_no_length_is_told_as_nothing(unit: Unit, mm: float) -> None:
    for told in (show_sizes([mm], unit), size_words([mm], unit)):
        inches, plain = both(told)
        assert inches > 0 and plain > 0
        assert abs(inches * INCH - mm) <= 0.5 * MARK_MM + 1e-6
        assert abs(plain - mm) <= 0.05 + 1e-6


@given(mm=st.floats(0.01, 20.0))
def test_room_is_never_told_larger_nor_as_nothing(mm: float) -> None:
    """A room below the first mark of the rule is not told as none: the step is finer there."""
    inches, plain = both(show_room([mm], Unit.IN))
    assert 0 < inches * INCH <= mm + 1e-6 and 0 < plain <= mm + 1e-6
    inches, plain = both(show_room([mm], Unit.IN, up=True))
    assert inches * INCH >= mm - 1e-6 and plain >= mm - 1e-6
    assert math.ceil(mm / MARK_MM) * MARK_MM >= inches * INCH - 1e-6
