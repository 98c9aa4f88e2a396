"""What is never folded, strips and mats, is told by what it is: as sheets are cut, and windows.

Expected sizes are those that the designs below give, a length by a length, and a paper's caliper.
"""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.dummy_files import DummyOrder, dummy_files
from fitcheck.outputs.dummy_kinds import DummyKind
from fitcheck.outputs.dummy_text import dummy_text
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from fitcheck.solids.blocks import Side
from fitcheck.solids.correction import IDENTITY
from fitcheck.solids.finishing import Bed
from fitcheck.workspace.progress import SILENT

BASE = """
format = 1
title = "Signal flags"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = [92, 120]
depth = 22
"""
STRIPS = """
[dividers]
style = "dividers"
stock = "cardstock-270"
rows = 3
columns = 2
cut = [90, 118]
pitch = [45.5, 39.5]
height = 20
slot = 0.8
[[content]]
item = "badge-button"
lay = "flat"
"""
MAT = """
[insert]
style = "mat"
stock = "cardstock-270"
cut = [90, 117]
window = [27, 31]
[[content]]
item = "badge-button"
lay = "flat"
"""
CALIPER = "0.33"


def made(tmp_path: Path, table: str) -> Check:
    path = tmp_path / "flags.toml"
    path.write_text(BASE + table)
    return check(read_design(path))


def told(found: Check) -> str:
    order = DummyOrder([DummyKind.FOLDED], Side.OUTSIDE, 2.0, Bed(), IDENTITY, step=False)
    return dummy_text(dummy_files(found, order, SILENT).made, Path("out"), ())


def page(found: Check) -> str:
    """The report as a reader sees it: no tags, blanks as one."""
    text = re.sub(r"<(script|style).*?</\1>", " ", report_page(report_of(found)), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", text)))


def test_stand_ins_of_strips_are_told_as_they_lie(tmp_path: Path) -> None:
    """Three compartments along the length take 2 strips across, two along the width 1 along."""
    said = told(made(tmp_path, STRIPS))
    assert (
        f"one of 2 strips, dividers across, flat, as paper\n      90.00 x 20.00 x {CALIPER} mm"
        in said
    )
    assert f"the strip, dividers along, flat, as paper\n      118.00 x 20.00 x {CALIPER} mm" in said


def test_the_stand_in_of_a_mat_is_not_called_folded(tmp_path: Path) -> None:
    said = told(made(tmp_path, MAT))
    assert f"the insert, flat, as paper\n      90.00 x 117.00 x {CALIPER} mm" in said
    assert "the folded base, as paper" in said


def test_the_page_tells_strips_by_length_height_thickness_and_number(tmp_path: Path) -> None:
    said = page(made(tmp_path, STRIPS))
    own = said[said.index("dividers across (dividers)") : said.index("dividers along (dividers)")]
    assert "score to score" not in own and "inside" not in own and "outside" not in own
    for words in ("cut 2", "length 90 mm", "height 20 mm", f"thickness {CALIPER}0 mm"):
        assert words in own, own
    # three in a row of two: six buttons are drawn
    assert "holding 6 x badge-button" in said
    assert "1 × badge-button, flat, in each of 6 compartments" in said.replace("\u00ad", "")


def test_the_page_tells_mats_by_outside_and_window(tmp_path: Path) -> None:
    said = page(made(tmp_path, MAT))
    own = re.search(r"insert \(mat\).*?thickness 0.330 mm", said)
    assert own is not None
    assert "score to score" not in own[0] and "depth" not in own[0]
    assert re.search(r"outside, as cut 90 mm \([^)]*\) × 117 mm", own[0]), own[0]
    assert re.search(r"window 27 mm \([^)]*\) × 31 mm", own[0]), own[0]
    assert "holding 1 x badge-button" in said


@pytest.mark.parametrize("style", ["mat", "platform"])
def test_a_window_is_told(style: str, tmp_path: Path) -> None:
    table = MAT if style == "mat" else MAT.replace('"mat"', '"platform"\nlegs = 8')
    found = made(tmp_path, table)
    assert check_data(found)["parts"]["insert"]["window_mm"] == {"width": 27.0, "length": 31.0}
    own = check_text(found).partition("insert    ")[2].partition("insert    ")[0]
    assert re.search(r"window +27 x 31 mm", own), own
    assert ("depth inside" in own) == (style == "platform")


def test_no_window_is_none(tmp_path: Path) -> None:
    found = made(tmp_path, MAT.replace("window = [27, 31]\n", ""))
    assert check_data(found)["parts"]["insert"]["window_mm"] is None
    assert "window" not in check_text(found)
