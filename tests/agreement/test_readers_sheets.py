"""Sizes that are chosen for another reader's rule still go on that reader's sheets.

The sheet of a framed base is its floor and twice what is rolled up beside it. By its drawing it is
4 in + 2 (3/4 + 3/8 + 1/4 in) and two inner walls of 19.05 - 0.35 - 0.1 = 18.6 mm, so 208.65 mm:
A4 has 210 mm (ISO 216).
"""

from __future__ import annotations

import html
from fractions import Fraction
from pathlib import Path

import pytest

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.odds.odds import odds_of
from fitcheck.outputs.publish.layouts import recipe_page
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

A4_MM = 210.0, 297.0
BOXES = 8_000
BOARD = """
format = 1
grid = "5 mm"
{more}score_u_mm = {{on_grid = 0.10, off_grid = 0.25}}
fence_u_mm = 0.05
cut_u_mm = 0.20
joint_mm = 0.10
joint_u_mm = 0.03
source = "invented for this test"
"""
SHEETS = 'sheets = [["210 mm", "297 mm"]]\n'
BOX = """
format = 1
title = "Tide table box"
unit = "in"
[base]
style = "shadow-box"
stock = "index-170"
floor = ["{wide}", "5"]
depth = "3/4"
frame = "3/8"
flap = "1/4"
[lid]
style = "tray"
stock = "cover-80"
oversize = "1/16"
depth = "1/2"
"""


def workspace(folder: Path, wide: str = "4", more: str = SHEETS) -> Path:
    """A design in inches, and a reader's metric board with what it says more."""
    (folder / "models").mkdir()
    tools = folder / "calibration" / "tools"
    tools.mkdir(parents=True)
    (tools / "readers-board.toml").write_text(BOARD.format(more=more))
    path = folder / "models" / "tides.toml"
    path.write_text(BOX.format(wide=wide))
    return path


def recipe_with(path: Path, tools: str = "readers-board") -> Recipe:
    designs = read_design(path), readers_design(path, {}, tools)
    own, theirs = (Sheets(check(one), sheet_job(one, Paper.A4, (), 1)) for one in designs)
    return recipe_of(own, None, None, theirs)


def column(recipe: Recipe) -> dict[tuple[str, str], list[float]]:
    """The reader's sizes, mm."""
    found = {}
    for row in recipe.card:
        if row.what in ("sheet", "scores, all four sides"):
            words = row.theirs.partition(" mm")[0].replace(" and ", ", ").replace(" x ", ", ")
            found[row.part, row.what] = [float(Fraction(one)) for one in words.split(", ")]
    return found


@pytest.mark.parametrize("wide", ["4", "4 1/32"])
def test_a_set_of_sizes_is_chosen_that_goes_on_the_readers_sheet(wide: str, tmp_path: Path) -> None:
    """4 1/32 in are 102.39 mm: 102.5 mm and twice 54 mm beside it are wider than the sheet."""
    path = workspace(tmp_path, wide)
    recipe = recipe_with(path)
    assert recipe.reader is not None and "chosen together" in recipe.reader.verdict
    told = column(recipe)
    base, lid = told["base", "sheet"], told["lid", "sheet"]
    assert base[0] <= A4_MM[0] and base[1] <= A4_MM[1]
    flap, inner, frame, outer = told["base", "scores, all four sides"]
    (depth,) = told["lid", "scores, all four sides"]
    typed = f"""
format = 1
title = "Typed in"
unit = "mm"
tools = "readers-board"
[base]
style = "shadow-box"
stock = "index-170"
floor = {[side - 2 * outer for side in base]}
depth = {outer - frame}
frame = {frame - inner}
inner_wall = {inner - flap}
flap = {flap}
[lid]
style = "tray"
stock = "cover-80"
floor = {[side - 2 * depth for side in lid]}
depth = {depth}
"""
    (path.parent / "typed.toml").write_text(typed)
    made = odds_of(check(read_design(path.parent / "typed.toml")), BOXES, folded_again=0)
    assert made.rounded is None and made.good.share > 0.8


def test_a_column_that_leaves_the_usual_sheet_says_so(tmp_path: Path) -> None:
    """The author's base of 8 3/16 in is 207.96 mm wide and goes on A4, the column's does not."""
    recipe = recipe_with(workspace(tmp_path, more=""))
    assert recipe.reader is not None
    assert recipe.card[0].sizes.startswith("8 3/16 x 9 3/16 in")
    wide, long = column(recipe)["base", "sheet"]
    assert A4_MM[0] < wide <= 215.9 and long <= 279.4  # letter, in mm
    (told,) = recipe.reader.sheets
    assert f"the base's sheet of {wide:g} x {long:g} mm (" in told
    assert told.endswith(
        " does not go on A4, as the author's does: it comes from letter or 12 x 12 in"
    )
    assert told in html.unescape(recipe_page(recipe, "tides.pdf"))


def test_nothing_is_said_where_neither_goes_on_it(tmp_path: Path) -> None:
    """A floor that is 1/2 in wider: 220.7 mm and more."""
    recipe = recipe_with(workspace(tmp_path, "4 1/2", more=""))
    assert column(recipe)["base", "sheet"][0] > 220.0
    assert recipe.reader is not None and recipe.reader.sheets == ()
