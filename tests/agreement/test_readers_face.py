"""A reader who scores the other face reads the column as the sheets lie in the pictures.

A ring of walls of 88.5 and 173 mm, in two strips as A4 is 297 mm long: 88.5 mm from the left edge
to the crease between them, 173 mm to the flap and 15 mm of it to the right edge, 276.5 mm in all.
The flap's own score is a layer of paper and of tape nearer to its edge: 0.229 + 0.1 = 0.3 mm.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.layouts import recipe_page, recipe_pdf
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

BOARD = """
format = 1
grid = "5 mm"
sheets = [["210 mm", "297 mm"]]
score_face = "{face}"
score_u_mm = {{on_grid = 0.10, off_grid = 0.25}}
fence_u_mm = 0.05
cut_u_mm = 0.20
joint_mm = 0.10
joint_u_mm = 0.03
source = "invented for this test"
"""
RING = """
format = 1
title = "Three bars"
unit = "mm"
tools = "{face}-scored"
[base]
style = "tray"
stock = "index-170"
floor = [90, 175]
depth = 25
[collar]
style = "collar"
stock = "index-110"
ease = [1.5, 2]
rise = 12
seam = 15
"""


HINGED = """
format = 1
title = "Chest for tokens"
unit = "mm"
tools = "{face}-scored"
[base]
style = "hinged-tray"
stock = "index-170"
inside = [100, 60]
depth = 35
lip = 12
hinge = "half cut"
"""


def published(folder: Path, mine: str, theirs: str, text: str = RING) -> Recipe:
    (folder / "models").mkdir()
    tools = folder / "calibration" / "tools"
    tools.mkdir(parents=True)
    for face in ("outside", "inside"):
        (tools / f"{face}-scored.toml").write_text(BOARD.format(face=face))
    path = folder / "models" / "bars.toml"
    path.write_text(text.format(face=mine))
    designs = read_design(path), readers_design(path, {}, f"{theirs}-scored")
    own, other = (Sheets(check(one), sheet_job(one, Paper.A4, (), 1)) for one in designs)
    return recipe_of(own, None, None, other)


@pytest.mark.parametrize(
    ("mine", "theirs", "wall", "flap", "bead"),
    [
        ("outside", "inside", "left", "right", "away from"),
        ("inside", "outside", "right", "left", "towards"),
    ],
)
def test_left_and_right_are_those_of_the_pictures(
    mine: str, theirs: str, wall: str, flap: str, bead: str, tmp_path: Path
) -> None:
    recipe = published(tmp_path, mine, theirs)
    rows = {row.what: row for row in recipe.card if row.part == "collar"}
    first, second = rows[f"scores, the {wall} edge"], rows[f"scores, the {flap} edge, flaps"]
    for sizes in (first.sizes, first.theirs):
        assert sizes.startswith("88.5 mm")
    for sizes in (second.sizes, second.theirs):
        assert sizes.startswith("a hair (0.3 mm) inside 15 mm")
    assert all("see the other rows" not in (row.sizes, row.theirs) for row in recipe.card)
    said = (
        "This column is told as the sheets lie in the steps and pictures. The tools "
        f"{theirs}-scored score the {theirs} of folds: turn each sheet over for its scores, like "
        "the page of a book, and take left for right and right for left there; fold as the steps "
        f"say, which is {bead} the bead then."
    )
    assert recipe_page(recipe, "bars.pdf").count(said) == 1
    pdf = "".join(page.extract_text() for page in PdfReader(BytesIO(recipe_pdf(recipe))).pages)
    assert "".join(said.split()) in "".join(pdf.split())


def test_nothing_is_said_where_both_score_the_same_face(tmp_path: Path) -> None:
    recipe = published(tmp_path, "outside", "outside")
    assert recipe.reader is not None and recipe.reader.face == ""
    assert "of folds" not in recipe_page(recipe, "bars.pdf")


def test_a_hinge_that_is_cut_half_through_is_cut_as_the_pictures_show_it(tmp_path: Path) -> None:
    """Whichever face is scored, it is cut on the outside of its fold."""
    recipe = published(tmp_path, "outside", "inside", HINGED)
    assert recipe.reader is not None
    assert recipe.reader.face.endswith(" What is cut half through is cut as the sheet lies here.")
