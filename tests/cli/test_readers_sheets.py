"""What a recipe tells a reader whose own sheets are smaller than a part, worked out by hand.

An A4 sheet is 210 x 297 mm (ISO 216); who lists no sheets is taken to have some of 12 x 12 in too
(common practice, no source).
"""

from __future__ import annotations

import re
from html import unescape
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.commands import fitcheck_here

TOOLS = """
format = 1
grid = "5 mm"
score_u_mm = {on_grid = 0.10, off_grid = 0.25}
fence_u_mm = 0.05
cut_u_mm = 0.20
joint_mm = 0.10
joint_u_mm = 0.03
source = "an invented bench, for this test"
"""
ONE = """
format = 1
title = "One"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
"""
LID = """
[lid]
style = "tray"
stock = "cover-100"
depth = 15
"""
CHART = f"{ONE}floor = [200, 180]\ndepth = 20\n{LID}oversize = [1.5, 2.5]\n"
"""Its sheets: 200 + 2 x 20 by 180 + 2 x 20, and 201.5 + 2 x 15 by 182.5 + 2 x 15."""
RING = f"""
{ONE}floor = [78, 72]
depth = 20
[collar]
style = "collar"
stock = "cover-80"
ease = [1.5, 2]
rise = 15
seam = 10
{LID}oversize = 0
"""
"""A strip of 2 x (76.5 + 70) + 10 = 303 mm, longer than A4; 12 in, 304.8 mm, is not."""
TIGHT = f"{ONE}floor = [60, 60]\ndepth = 20\n{LID}oversize = 0\n"


def published(folder: Path, text: str, mine: str = "", theirs: str = "") -> tuple[str, str, str]:
    """What is printed, and the text of the page and of the PDF, for a reader of those sheets."""
    (folder / "models").mkdir()
    (folder / "calibration" / "tools").mkdir(parents=True)
    (folder / "models" / "one.toml").write_text(text)
    for name, sheets in (("mine", mine), ("small", theirs)):
        listed = f"sheets = [{sheets}]\n" if sheets else ""
        (folder / "calibration" / "tools" / f"{name}.toml").write_text(TOOLS + listed)
    own = text.replace('unit = "mm"', 'unit = "mm"\ntools = "mine"')
    (folder / "models" / "one.toml").write_text(own)
    ran = fitcheck_here(
        "publish", "one", "--for-tools", "small", "--no-odds", "-o", "out", cwd=folder
    )
    page = unescape(re.sub("<[^>]*>", "", (folder / "out" / "one.html").read_text()))
    pdf = PdfReader(BytesIO((folder / "out" / "one.pdf").read_bytes()))
    return tuple(  # type: ignore[return-value]
        re.sub(r"\s+", " ", words)
        for words in (ran.out, page, " ".join(own.extract_text() for own in pdf.pages))
    )


A4 = '["210 mm", "297 mm"]'


def test_a_reader_is_told_which_part_no_sheet_of_theirs_holds(tmp_path: Path) -> None:
    texts = published(tmp_path, CHART, theirs=A4)
    for words in texts:
        close = words.replace(" ", "")
        assert "thebasetakesasheetof240by220mm" in close
        assert "thelidtakesasheetof231.5by212.5mm" in close
        assert close.count("A4isthelargestthatthetoolslist") == 2
    assert texts[1].index("takes a sheet of") > texts[1].index("Cut and score")


@pytest.mark.parametrize("sheets", ["", '["500 mm", "700 mm"]'])
def test_nothing_is_said_of_sheets_that_hold_all(tmp_path: Path, sheets: str) -> None:
    for words in published(tmp_path, CHART, theirs=sheets):
        assert "takes a sheet of" not in words


@pytest.mark.parametrize("mine", ["", A4])
def test_a_ring_from_other_strips_than_in_the_steps_is_told(tmp_path: Path, mine: str) -> None:
    """A strip of 303 mm in one piece where the author's sheets hold it, else two halves."""
    texts = published(tmp_path, RING, mine, "" if mine else A4)
    said = (
        ("the collar is made from one strip, of the column's size", "of a ring from two")
        if mine
        else ("the collar is made from two strips, as no sheet there", "of a ring from one strip")
    )
    for words in texts:
        assert all(own.replace(" ", "") in words.replace(" ", "") for own in said)
    assert ("2 sheets, each" in texts[1]) and ("see the other rows" in texts[1])


def test_why_a_reader_s_box_does_not_go_together_is_told(tmp_path: Path) -> None:
    """A lid over a floor of its own size cannot go over walls with paper between them."""
    printed, page, _ = published(tmp_path, TIGHT)
    (own,) = re.findall(r"fault\s+(.*?)(?: o/| out/|\.| caution)", printed)[:1]
    for words in (printed, page):
        said = words.partition("thick) this box does not go together (")[2]
        assert said.startswith("the lid") and "it wants other sizes for that board" in said
    assert own.startswith("the lid")
