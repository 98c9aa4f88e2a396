"""The sheet that is cut is one figure, wherever it is told.

By arithmetic: a side of a framed base is its floor and twice what is rolled up beside it. Of
3/4 in outer wall, 3/8 in frame and 1/4 in flap the inner wall that is level is 19.05 - 0.33 - 0.1 =
18.62 mm, so each floor score lies 6.35 + 18.62 + 9.525 + 19.05 = 53.545 mm from its edge: 2 3/32 in
by a rule (67.46 of 1/32 in). A floor of 4 x 5 in between two such scores takes 8 3/16 x 9 3/16 in;
the sheet itself is 101.6 + 2 x 53.545 = 208.69 mm wide, which a rule shows as 8 7/32 in.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitcheck.bench.told import told_more
from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page

BOX = """
format = 1
title = "Tide table box"
unit = "in"
joint = "0.1 mm"
[base]
style = "shadow-box"
stock = "cardstock-270"
floor = ["4", "5"]
depth = "3/4"
frame = "3/8"
flap = "1/4"
"""
CASE = """
format = 1
title = "Chart case"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = [90.3, 109.6]
depth = 25.4
[insert]
style = "mat"
stock = "cardstock-270"
cut = [89.2, 108.4]
window = [27.2, 31.2]
"""
"""25.4 mm is told as 25.5: 2 x 25.5 with 90.5 and 109.5 mm of floor between. A mat goes into
something and is cut no larger than it is, its window no smaller; both in halves of a millimetre."""


def made(folder: Path, text: str) -> Check:
    path = folder / "box.toml"
    path.write_text(text)
    return check(read_design(path))


@pytest.fixture
def box(tmp_path: Path) -> Check:
    return made(tmp_path, BOX)


def listed(found: Check) -> dict[str, list[str]]:
    """The report's table of sizes, by part and row, each side as it is told."""
    page = report_page(report_of(found))
    rows = re.findall(r'<th scope="row">([^<]*)</th><td>(.*?)</td>', page, re.S)
    return {what: re.findall(r"<data [^>]*>([^<]*)</data>", cell) for what, cell in rows}


def test_the_report_and_the_page_tell_the_sheet_that_is_cut(box: Check) -> None:
    sides = [text.partition(" in")[0] for text in listed(box)["sheet to cut"]]
    assert sides == ["8 3/16", "9 3/16"]
    ((_, _, rows),) = [tuple(part.values()) for part in told_more(box)["parts"]]
    (sheet,) = [text for label, text in rows if label == "sheet to cut"]
    assert re.findall(r"(\d+ \d+/\d+) in", sheet) == ["8 3/16", "9 3/16"]
    assert "cut the sheet  8 3/16 x 9 3/16 in" in check_text(box)
    report = report_of(box)
    assert "8 3/16 by 9 3/16 in" in report.sheets[0].words


def test_what_the_json_has_stands_behind_it_as_it_is_drawn(box: Check) -> None:
    figures = report_of(box).figures.parts[0][2][0].figures
    assert [one.key for one in figures] == [
        "parts.base.sheet_mm.width",
        "parts.base.sheet_mm.length",
    ]
    assert [one.value for one in figures] == pytest.approx([208.69, 234.09], abs=0.005)


def test_a_mat_and_its_window_are_told_as_they_are_cut(tmp_path: Path) -> None:
    rows = listed(made(tmp_path, CASE))
    said = {what: [text.partition(" (")[0] for text in texts] for what, texts in rows.items()}
    assert said["sheet to cut"] == ["141.5 mm", "160.5 mm"]
    assert said["outside, as cut"] == ["89 mm", "108 mm"]
    assert said["window"] == ["27.5 mm", "31.5 mm"]
