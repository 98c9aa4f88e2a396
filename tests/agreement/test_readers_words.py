"""What a reader's column says of where its sizes come from."""

from __future__ import annotations

from pathlib import Path

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.fit.mates import MateFit
from fitcheck.odds.odds import odds_of
from fitcheck.odds.retarget import retargeted
from fitcheck.outputs.publish.reader import Reader
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.sheet.job import sheet_job
from tests.cli.commands import fitcheck

METRIC = "score-board-metric"
INCH = "score-board-inch"
TRAY = """
format = 1
title = "A tray for tokens"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "cover-80"
floor = [51.5, 89.5]
depth = 20.35
"""
DRAWER = """
format = 1
title = "A drawer of bags"
unit = "in"
tools = "score-board-inch"
[base]
style = "double-wall"
stock = "index-110"
floor = ["3", "5 3/4"]
depth = "1"
lock = "glued"
[sleeve]
style = "sleeve"
stock = "cover-100"
ease = ["1/16", "1/16"]
along = "length"
seam = "1/2"
notch = "3/8"
"""


def workspace(folder: Path, text: str) -> Path:
    (folder / "models").mkdir()
    path = folder / "models" / "box.toml"
    path.write_text(text)
    return path


def reader_with(path: Path, tools: str, stocks: dict[str, str], boxes: int = 0) -> Reader:
    designs = read_design(path), readers_design(path, stocks, tools)
    own, theirs = (Sheets(check(one), sheet_job(one, Paper.A4, (), 1)) for one in designs)
    odds = odds_of(theirs.check, boxes, folded_again=0) if boxes else None
    reader = recipe_of(own, None, None, theirs, odds).reader
    assert reader is not None
    return reader


ALONE = (
    "These sizes are rounded each by itself, as no set of whole steps of that rule was found that "
    "comes out right oftener"
)
UNCOUNTED = "how often boxes of such sizes come out right was not counted"


def test_sizes_that_are_rounded_each_by_itself_are_said_to_be(tmp_path: Path) -> None:
    """A tray by itself has nothing to fit: 20.35 mm are as good as 13/16 in as any other step."""
    path = workspace(tmp_path, TRAY)
    reader = reader_with(path, INCH, {})
    assert f"{ALONE}; {UNCOUNTED}." in reader.verdict
    assert reader.uncounted.endswith(f"each size is rounded by itself, and {UNCOUNTED}")
    counted = reader_with(path, INCH, {}, 400)
    assert f"{ALONE}." in counted.verdict and UNCOUNTED not in counted.verdict
    assert counted.uncounted == ""


def test_nothing_of_it_is_said_on_the_authors_own_rule(tmp_path: Path) -> None:
    reader = reader_with(workspace(tmp_path, TRAY), METRIC, {"base": "cover-65"})
    assert "by itself" not in reader.verdict and reader.uncounted == ""


def test_the_author_is_told_how_to_have_them_counted(tmp_path: Path) -> None:
    path = workspace(tmp_path, TRAY)
    asked = "publish", path, "--for-tools", INCH, "-o", "out"
    told = " ".join(fitcheck(*asked, "--no-odds", cwd=tmp_path).out.split())
    assert f"{UNCOUNTED} leave --no-odds out to count it" in told
    counted = fitcheck(*asked, "--odds", "400", cwd=tmp_path)
    assert counted.status == 0 and "--no-odds" not in counted.out


def test_figures_of_sizes_that_were_chosen_are_not_called_those_of_the_drawing(
    tmp_path: Path,
) -> None:
    """Tabs and notch are rounded by themselves; walls and floors are whole steps, as is the ease,
    so that the play is another than that of 1/16 in over the drawer."""
    path, stocks = workspace(tmp_path, DRAWER), {"base": "cardstock-270"}
    said = reader_with(path, METRIC, stocks).verdict
    assert "chosen together, but for" in said
    assert said.startswith(
        "as chosen for that rule, before what is no whole step of it is rounded as here, it goes "
        "together: the drawer "
    )
    (drawn,) = check(retargeted(path, stocks, METRIC)).mates
    assert isinstance(drawn, MateFit)
    assert f"{drawn.slide.play_mm:.2f} mm of play" not in said
    assert "as drawn" not in said
