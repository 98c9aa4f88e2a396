"""A recipe says which sheets of paper hold each part, for its author's sizes and for a reader's.

Letter is 8 1/2 x 11 in, 215.9 x 279.4 mm (ANSI/ASME Y14.1), A4 is 210 x 297 mm and A3 297 x 420 mm
(ISO 216), a square of cardstock 12 x 12 in, 304.8 mm (common practice, no source). A tray's sheet
is its floor and twice its depth.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

TOOLS = """
format = 1
grid = "5 mm"
{sheets}
score_u_mm = {{on_grid = 0.10, off_grid = 0.25}}
fence_u_mm = 0.05
cut_u_mm = 0.20
joint_mm = 0.10
joint_u_mm = 0.03
source = "invented for this test"
"""
TRAY = """
format = 1
title = "Sorting tray"
unit = "mm"
tools = "mine"
[base]
style = "tray"
stock = "cover-100"
floor = [{0}, {1}]
depth = {2}
"""
RING = """
[collar]
style = "collar"
stock = "cover-80"
ease = [1.5, 1.5]
rise = 15
seam = 10
[lid]
style = "tray"
stock = "cover-100"
oversize = 0
depth = 15
"""
LETTER_TOO = 'sheets = [["210 mm", "297 mm"], ["8 1/2 in", "11 in"]]'


def recipe(folder: Path, text: str, mine: str = "", theirs: str | None = None) -> Recipe:
    (folder / "models").mkdir()
    (folder / "calibration" / "tools").mkdir(parents=True)
    for name, sheets in (("mine", mine), ("theirs", theirs or "")):
        written = TOOLS.format(sheets=sheets)
        (folder / "calibration" / "tools" / f"{name}.toml").write_text(written)
    path = folder / "models" / "sorting.toml"
    path.write_text(text)
    other = None if theirs is None else whole(readers_design(path, {}, "theirs"))
    return recipe_of(whole(read_design(path)), None, None, other)


def whole(design: Design) -> Sheets:
    return Sheets(check(design), sheet_job(design, Paper.A4, (), 1))


def cut_from(told: Recipe) -> dict[str, tuple[str, str]]:
    return {row.part: (row.sizes, row.theirs) for row in told.card if row.what == "cut from"}


@pytest.mark.parametrize(
    ("floor", "words"),
    [
        ((150, 160, 25), "letter, A4 or 12 x 12 in"),  # 200 x 210
        ((160, 160, 27), "letter or 12 x 12 in; A4 is too small"),  # 214 x 214
        ((150, 230, 30), "A4 or 12 x 12 in; letter is too small"),  # 210 x 290
        ((200, 180, 20), "12 x 12 in; letter and A4 are too small"),  # 240 x 220
        ((255, 200, 30), "A3; letter, A4 and 12 x 12 in are too small"),  # 315 x 260
        ((260, 250, 30), "a larger sheet; letter, A4, 12 x 12 in and A3 are too small"),
    ],
)
def test_the_usual_sheets_that_hold_a_part_are_named(
    floor: tuple[int, int, int], words: str, tmp_path: Path
) -> None:
    told = recipe(tmp_path, TRAY.format(*floor))
    assert cut_from(told) == {"base": (words, "")}


def test_a_reader_whose_tools_list_letter_hears_that_a4_is_too_small(tmp_path: Path) -> None:
    """214 x 214 mm, for both; nothing was said, as those tools list a sheet that holds it."""
    told = recipe(tmp_path, TRAY.format(160, 160, 27), theirs=LETTER_TOO)
    assert cut_from(told)["base"] == ("letter or 12 x 12 in; A4 is too small",) * 2


@pytest.mark.parametrize("mine", ["", 'sheets = [["297 mm", "420 mm"]]', LETTER_TOO])
def test_a_reader_is_told_what_to_buy_and_not_to_edit_a_file(mine: str, tmp_path: Path) -> None:
    """315 x 260 mm: A3 holds it, and nothing that most have at hand, whatever the author has."""
    told = recipe(tmp_path, TRAY.format(255, 200, 30), mine)
    (said,) = [line for line in told.cautions if "takes a sheet" in line]
    assert said.startswith("the base takes a sheet of 315 by 260 mm (") and said.endswith(
        ": A3 holds it"
    )
    assert cut_from(told)["base"][0] == "A3; letter, A4 and 12 x 12 in are too small"
    assert not any("tools file" in line or "make it smaller" in line for line in told.cautions)


def test_a_ring_from_two_strips_is_told_as_one_that_can_be_made(tmp_path: Path) -> None:
    """2 x (83.5 + 73.5) + 10 = 324 mm in one strip, half of it and the flap again in two."""
    told = recipe(tmp_path, TRAY.format(85, 75, 40) + RING)
    (said,) = [line for line in told.cautions if "takes a sheet" in line]
    assert said.startswith("the collar takes a sheet of 324 by 55 mm (")
    assert said.endswith("A3 holds it; from smaller paper two strips make it, as the steps say")
    assert cut_from(told)["collar"][0] == "letter, A4 or 12 x 12 in"


def test_a_reader_whose_sheets_hold_less_is_told_what_holds_it(tmp_path: Path) -> None:
    """240 x 220 mm goes on the square that most have, not on the A4 that the reader lists."""
    told = recipe(tmp_path, TRAY.format(200, 180, 20), theirs='sheets = [["210 mm", "297 mm"]]')
    assert told.reader is not None
    (said,) = told.reader.sheets
    assert said.endswith("A4 is the largest that the tools list: 12 x 12 in or A3 holds it")
