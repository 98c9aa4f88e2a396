"""A recipe of what nothing closes shows it once, with what is in it, and says nothing of closed."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.layouts import recipe_page, recipe_pdf
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

HEAD = 'format = 1\ntitle = "Pressed fern"\nunit = "mm"\n'
PAPER = 'stock = "cover-100"\n'
TRAY = f'[base]\nstyle = "tray"\n{PAPER}floor = [90, 70]\ndepth = 20\n'
FRAME = (
    f'[base]\nstyle = "shadow-box"\n{PAPER}floor = [120, 90]\ndepth = 20\nframe = 10\nflap = 8\n'
)
LID = f'[lid]\nstyle = "tray"\n{PAPER}oversize = [1.5, 2]\ndepth = 15\n'
SLEEVE = f'[sleeve]\nstyle = "sleeve"\n{PAPER}ease = [2, 2]\nseam = 10\n'
MAT = f'[insert]\nstyle = "mat"\n{PAPER}ease = 1\n'
CARTON = f'[base]\nstyle = "tuck-end"\n{PAPER}floor = [65, 25]\ndepth = 90\nseam = 15\n'
CONTENT = '[[content]]\nitem = "card-id1"\nlay = "flat"\n'
OPEN = {"tray": TRAY, "frame": FRAME, "mat": TRAY + MAT, "frame and card": FRAME + CONTENT}
CLOSED = {"lid": TRAY + LID, "sleeve": TRAY + SLEEVE, "carton": CARTON}


def recipe(folder: Path, text: str) -> Recipe:
    path = folder / "fern.toml"
    path.write_text(HEAD + text)
    design = read_design(path)
    return recipe_of(Sheets(check(design), sheet_job(design, Paper.A4, (), 1)), None, None)


@pytest.mark.parametrize("name", OPEN)
def test_what_nothing_closes_is_not_told_as_closed(name: str, tmp_path: Path) -> None:
    told = recipe(tmp_path, OPEN[name])
    page = html.unescape(
        re.sub(r"<style.*?</style>|<svg.*?</svg>", "", recipe_page(told, "f.pdf"), flags=re.S)
    )
    front = page.partition("Cut and score")[0]
    assert front.count("<figure>") == 1 and "closed" not in front and ", open" not in front
    assert ("1 x card-id1 inside" in front) == (CONTENT in OPEN[name])
    assert "mm (" in front and "outside: width x length x height" in front
    assert recipe_pdf(told).startswith(b"%PDF")


@pytest.mark.parametrize("name", CLOSED)
def test_what_closes_is_shown_open_and_closed(name: str, tmp_path: Path) -> None:
    page = recipe_page(recipe(tmp_path, CLOSED[name]), "f.pdf")
    front = page.partition("Cut and score")[0]
    assert front.count("<figure>") == 2
    assert "Pressed fern, open." in front and "Pressed fern, closed." in front
    assert "outside, closed: width x length x height" in front
