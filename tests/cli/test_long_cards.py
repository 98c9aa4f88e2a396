"""Long cuts by measure are told once, below the steps, and no step runs over the foot of its page.

A carton is cut along its flaps: its cuts by measure take a dozen lines and more.
"""

from __future__ import annotations

import pypdfium2  # type: ignore[import-untyped]
import pytest

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.layouts import recipe_pdf
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

CARTON = """format = 1
title = "Bird ringing cards"
unit = "in"
tools = "score-board-inch"
[base]
style = "tuck-end"
stock = "cardstock-270"
floor = [3, "1 3/8"]
depth = "4 7/8"
short = "1/16"
tuck = "7/16"
seam = "1/2"
"""
POINT_MM = 25.4 / 72.0
MARGIN_MM = 16.0
FOOT = "Bird ringing cards"


@pytest.fixture(scope="module", params=[None, "score-board-metric"])
def recipe(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Recipe:
    path = tmp_path_factory.mktemp("carton") / "ringing.toml"
    path.write_text(CARTON)
    other = None
    if request.param:
        other = made(readers_design(path, {"base": "cover-80"}, request.param))
    return recipe_of(made(read_design(path)), None, None, other)


def made(design: Design) -> Sheets:
    return Sheets(check(design), sheet_job(design, Paper.A4, (), 1))


def test_the_card_of_sizes_points_to_long_lines(recipe: Recipe) -> None:
    (row,) = [row for row in recipe.card if "measured cuts" in row.what]
    columns = [row.sizes] if recipe.reader is None else [row.sizes, row.theirs]
    for told in columns:
        assert told == 'below the steps, under "By measure, line by line", the base, step 3'
    assert len(recipe.measures) == len(columns)
    assert recipe.measures[0].heading == "The base, step 3"
    lines = [line for own in recipe.measures for line in own.lines]
    assert any("hair" in line and "long edge" in line for line in lines)
    assert not any(
        words and words in lines for one in recipe.card for words in one.sizes.split("; ")
    )


def test_no_text_runs_over_the_foot_of_a_page(recipe: Recipe) -> None:
    """Below the margin of 16 mm stands the title with the number of the page, and nothing else."""
    pages = pypdfium2.PdfDocument(recipe_pdf(recipe))
    foot = 0
    for number, page in enumerate(pages, start=1):
        text = page.get_textpage()
        if "Scale 1:1" in text.get_text_bounded():
            break
        told = text.get_text_bounded(bottom=-1000.0, top=(MARGIN_MM - 1.0) / POINT_MM).split()
        assert " ".join(told) == f"{FOOT} {number}"
        foot += 1
    assert foot >= 3
