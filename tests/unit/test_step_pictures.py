"""Each step of a recipe has its picture, whatever the style and its options.

The README promises a picture for every step.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.cards import StepCard, chapters_of
from fitcheck.sheet.job import sheet_job

BOARD = """format = 1
kind = "board"
grammage_gsm = 900
caliper_mm = 1.2
caliper_u_mm = 0.03
source = "invented for this test"
"""
HEAD = 'format = 1\ntitle = "Herb seeds"\nunit = "mm"\n'
TRAY = "style = 'tray'\nstock = 'cover-100'\n"
BASE = f"[base]\n{TRAY}floor = [80, 100]\ndepth = 25\n"
LID = f"[lid]\n{TRAY}oversize = [1.5, 2]\ndepth = 15\n"
THICK = "style = 'tray'\nstock = 'grey'\n"
FRAME = "style = 'shadow-box'\nstock = 'cover-100'\nfloor = [80, 100]\ndepth = 20\nframe = 10\n"
DOUBLE = "style = 'double-wall'\nstock = 'cover-100'\nfloor = [80, 100]\ndepth = 25\n"
HINGED = "style = 'hinged-tray'\nstock = 'cover-100'\nfloor = [80, 100]\ndepth = 25\nlip = 12\n"
CARTON = "style = 'tuck-end'\nstock = 'cover-100'\nfloor = [65, 25]\ndepth = 90\nseam = 15\n"
RING = "[collar]\nstyle = 'collar'\nstock = 'cover-80'\nease = [1.5, 2]\nrise = 15\nseam = 10\n"
FLUSH = f"[lid]\n{TRAY}oversize = 0\ndepth = 20\n"
SLEEVE = "[sleeve]\nstyle = 'sleeve'\nstock = 'cover-100'\nease = [2, 2]\nseam = 10\n"
INSERT = "stock = 'cover-100'\nease = 1.5\n"
DESIGNS = {
    "tray": BASE + LID,
    "tabs pushed in": f"{BASE}tab_setback = 0.37\ntabs = 'width'\n{LID}",
    "no lid": BASE,
    "folded corners": f"{BASE}corner = 'folded'\n{LID}corner = 'folded'\n",
    "thick board": f"[base]\n{THICK}floor = [80, 100]\ndepth = 25\n"
    f"[lid]\n{THICK}oversize = 5\ndepth = 15\n",
    "a sheet of several pages": f"[base]\n{TRAY}floor = [40, 240]\ndepth = 20\n",
    "framed": f"[base]\n{FRAME}flap = 8\n",
    "framed with its tabs along the length": f"[base]\n{FRAME}flap = 10\n"
    "tabs = 'length'\ninner_wall = 20\n",
    "double walls": f"[base]\n{DOUBLE}",
    "double walls that stand on a foot": f"[base]\n{DOUBLE}rim = 3\nlock = 'foot'\n",
    "double walls with a rim": f"[base]\n{DOUBLE}rim = 5\ninner_wall = 20\n",
    "hinged": f"[base]\n{HINGED}front = 'in'\n",
    "hinged by a half cut": f"[base]\n{HINGED}front = 'over'\nhinge = 'half cut'\n",
    "carton": f"[base]\n{CARTON}",
    "carton without slits": f"[base]\n{CARTON}lock = 'none'\n",
    "sleeve": f"{BASE}{SLEEVE}along = 'length'\n",
    "sleeve with notches": f"{BASE}{SLEEVE}along = 'width'\nnotch = 12\n",
    "ring": f"[base]\n{TRAY}floor = [60, 50]\ndepth = 20\n{RING}{FLUSH}",
    "ring from two strips": f"[base]\n{TRAY}floor = [90, 110]\ndepth = 20\n{RING}{FLUSH}",
    "mat": f"{BASE}[insert]\nstyle = 'mat'\n{INSERT}",
    "mat with a window": f"{BASE}[insert]\nstyle = 'mat'\n{INSERT}window = [40, 50]\n",
    "platform": f"{BASE}[insert]\nstyle = 'platform'\n{INSERT}legs = 6\nwindow = [40, 50]\n",
    "dividers": f"{BASE}[dividers]\nstyle = 'dividers'\n{INSERT}rows = 2\ncolumns = 3\n",
    "dividers one way": f"{BASE}[dividers]\nstyle = 'dividers'\n{INSERT}rows = 3\ncolumns = 1\n",
}


def cards(folder: Path, text: str) -> list[StepCard]:
    """The cards of all steps of a design."""
    (folder / "models").mkdir()
    stocks = folder / "calibration" / "stocks"
    stocks.mkdir(parents=True)
    (stocks / "grey.toml").write_text(BOARD)
    path = folder / "models" / "herbs.toml"
    path.write_text(HEAD + text)
    design = read_design(path)
    chapters = chapters_of(check(design), sheet_job(design, Paper.A4, (), 1))
    return [card for chapter in chapters for card in chapter.steps]


@pytest.mark.parametrize("name", DESIGNS)
def test_each_step_has_a_picture(name: str, tmp_path: Path) -> None:
    found = cards(tmp_path, DESIGNS[name])
    assert found and [card.text for card in found if card.picture is None] == []
    drawn = [card.picture.inline() for card in found if card.picture is not None]
    assert len(set(drawn)) == len(drawn), "two steps look alike"


def test_two_strips_are_drawn_apart_with_the_way_of_each_end(tmp_path: Path) -> None:
    """Two strips have two seams, with an arrow each."""
    found = cards(tmp_path, DESIGNS["ring from two strips"])
    (card,) = [card for card in found if "two strips up as a ring" in card.text]
    assert card.picture is not None
    assert card.picture.inline().count("mark-tip") == 2
