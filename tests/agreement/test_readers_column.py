"""Another reader's column of a recipe, against the scores of that reader's own sheet.

What the column prints is read as a maker reads it: a distance from each of the edges that its row
names, a hair more or less where it says so. Both routes use nothing but the printed words and the
lines of the sheet: half the finest step of the rule apart at the most, and half a tenth for a hair.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.layouts import recipe_page, recipe_pdf
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.outputs.steps_text import plain_lines
from fitcheck.pattern.sheet import Fence
from fitcheck.sheet.job import PartSheet, SheetJob, sheet_job
from fitcheck.styles.tuck_end import TuckEndSpec
from fitcheck.units import Unit
from tests.cli.commands import ROOT

METRIC = "score-board-metric"
INCH = "score-board-inch"
STEP_MM = {Unit.MM: 0.5, Unit.IN: 25.4 / 32.0}
"""The finest steps of the two rules (common practice, no source)."""
CARTON = """
format = 1
title = "Lamp chimney"
unit = "in"
tools = "score-board-inch"
[base]
style = "tuck-end"
stock = "cover-100"
floor = ["2 1/8", "2 1/8"]
depth = "6 1/8"
short = "1/16"
tuck = "7/16"
seam = "1/2"
"""


@cache
def recipes_of(name: str, tools: str, stock: str) -> tuple[Recipe, SheetJob]:
    """The same of a shipped design, its base of another paper."""
    return recipes(ROOT / "models" / f"{name}.toml", tools, {"base": stock})


def recipes(path: Path, tools: str, stocks: dict[str, str]) -> tuple[Recipe, SheetJob]:
    """A recipe with the column of another reader, and that reader's own sheets."""
    return beside(read_design(path, roots=[ROOT]), readers_design(path, stocks, tools))


def beside(*designs: Design) -> tuple[Recipe, SheetJob]:
    """The recipe of a design with the column of the same as another reader makes it."""
    own, theirs = (Sheets(check(one), sheet_job(one, Paper.A4, (), 1)) for one in designs)
    return recipe_of(own, None, None, theirs), theirs.job


@pytest.fixture
def carton(tmp_path: Path) -> Path:
    """A carton in inches, in a workspace of its own."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "chimney.toml"
    path.write_text(CARTON)
    return path


def edges_of(words: str, sheet: PartSheet) -> set[Fence]:
    """The edges that a row of scores names."""
    size = sheet.plan.sheet
    upright, level = {Fence.LEFT, Fence.RIGHT}, {Fence.TOP, Fence.BOTTOM}
    if "all four sides" in words:
        return upright | level
    if "both short edges" in words:  # a short edge is as long as the sheet's shorter side
        return level if size.width_mm < size.length_mm else upright
    if "both long edges" in words:
        return upright if size.width_mm < size.length_mm else level
    named = re.search(r"the ([a-z ,]+) edge", words)
    assert named, words
    return {Fence(word) for word in re.split(r", | and ", named[1])}


def places_of(sizes: str) -> list[float]:
    """The distances of a cell, mm."""
    found = re.match(r"(?:a hair \(([\d.]+) mm\) (inside|outside) )?(.*?) (mm|in)\b", sizes)
    assert found, sizes
    hair, side, listed, unit = found.groups()
    beside = float(hair or 0.0) * (1.0 if side == "inside" else -1.0)
    scale = 25.4 if unit == "in" else 1.0
    return [
        scale * float(sum(Fraction(own) for own in one.split())) + beside
        for one in re.split(r", | and ", listed)
    ]


def missing(recipe: Recipe, job: SheetJob) -> list[tuple[str, str, float]]:
    """The scores of a sheet that no row of the column gives."""
    unit = job.design.tools.grid_unit
    near = STEP_MM[unit] / 2.0 + 0.05 + 1e-6
    lost = []
    for sheet in job.sheets:
        told: dict[Fence, list[float]] = {fence: [] for fence in Fence}
        for row in recipe.card:
            if row.part == sheet.name and re.match(
                r"scores.*#(a hair|\d)", f"{row.what}#{row.theirs}"
            ):
                for fence in edges_of(row.what, sheet):
                    told[fence] += places_of(row.theirs)
        for line in sheet.plan.scores:
            if not any(abs(line.at_mm - at) <= near for at in told[line.fence]):
                lost.append((sheet.name, str(line.fence), line.at_mm))
    return lost


def test_a_score_that_only_the_reader_has_stands_in_the_column(carton: Path) -> None:
    """With a tuck of 11.1 mm the lids' and floors' creases lie 63.6 mm from the edges, the dust
    flaps' 64."""
    other = readers_design(carton, {"base": "tag-165"}, METRIC)
    assert isinstance(other.base, TuckEndSpec)
    other = other.with_parts(replace(other.base, tuck_mm=11.1))
    recipe, job = beside(read_design(carton), other)
    top = {line.of[0]: line.at_mm for line in job.sheets[0].plan.scores if line.fence is Fence.TOP}
    assert top["back wall / lid"] == pytest.approx(63.6, abs=0.02)
    assert top["left wall / left dust flap"] == pytest.approx(64.0, abs=0.05)
    assert missing(recipe, job) == []
    both = {row.what: row for row in recipe.card if row.what.startswith("scores, both short")}
    lids = both["scores, both short edges, lid and floor"]
    assert lids.theirs.startswith("a hair (0.4 mm) outside 64 mm")
    assert lids.sizes == "see the other rows"
    assert both["scores, both short edges, flaps"].theirs == "see the other rows"
    assert list(both) == [
        "scores, both short edges",
        "scores, both short edges, lid and floor",
        "scores, both short edges, flaps",
    ]


STYLES = ["cards", "decks", "harbour", "lantern", "tea", "whist"]
"""Hinged, double-walled, framed and plain trays, a sleeve and a carton."""
READERS = [(METRIC, "tag-165"), (INCH, "cover-65")]


@pytest.mark.parametrize("name", STYLES)
@pytest.mark.parametrize(("tools", "stock"), READERS)
def test_every_score_of_the_readers_sheet_stands_in_the_column(
    name: str, tools: str, stock: str
) -> None:
    recipe, job = recipes_of(name, tools, stock)
    assert missing(recipe, job) == []
    assert all(row.theirs and row.sizes for row in recipe.card)


SOAP = """
format = 1
title = "Two bars"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "index-170"
floor = [60, 95]
depth = 30
[sleeve]
style = "sleeve"
stock = "cover-65"
ease = [2, 2]
seam = 10
"""


def off_grooves(recipe: Recipe, part: str, groove: Fraction) -> Iterator[Fraction]:
    """The printed distances of a part's scores that are no whole number of grooves."""
    found = set()
    for row in recipe.card:
        if row.part == part and re.match(r"scores.*#(a hair|\d)", f"{row.what}#{row.theirs}"):
            listed = re.sub(r"a hair \(.*?\) (inside|outside) ", "", row.theirs)
            for one in re.split(r", | and ", re.split(r" (?:mm|in) ", listed)[0]):
                found.add(sum((Fraction(own) for own in one.split()), Fraction(0)))
    yield from sorted(at for at in found if at % groove)


def test_a_reader_is_told_which_scores_lie_in_no_groove(tmp_path: Path) -> None:
    """On a board with a groove every 1/8 in: 1 3/16, 1 11/16, 4 5/32 and 13/32 are none of them."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "bars.toml"
    path.write_text(SOAP)
    recipe, job = recipes(path, INCH, {})
    (base,) = off_grooves(recipe, "base", Fraction(1, 8))
    assert base == Fraction(19, 16)
    sleeve = list(off_grooves(recipe, "sleeve", Fraction(1, 8)))
    assert sleeve[0] == Fraction(13, 32) and len(sleeve) == 4
    assert recipe.reader is not None
    first, second = recipe.reader.grooves
    assert first == "For the base: no groove lies at 1 3/16 in: set that by a rule."
    words = re.fullmatch(r"For the sleeve: no groove lies at (.*) in: set these by a rule.", second)
    assert words
    assert [sum(map(Fraction, one.split())) for one in re.split(", | and ", words[1])] == sleeve
    steps = " ".join(plain_lines(job))  # of that reader's own sheets: none of either part's does
    assert steps.count("No groove lies there: set it by a rule.") == 2
    assert recipe_page(recipe, "bars.pdf").count(first) == 1
    pdf = "".join(page.extract_text() for page in PdfReader(BytesIO(recipe_pdf(recipe))).pages)
    assert re.sub(r"\s", "", second) in re.sub(r"\s", "", pdf)


@pytest.mark.parametrize("name", STYLES)
@pytest.mark.parametrize(("tools", "stock"), READERS)
def test_what_lies_in_no_groove_of_the_readers_board_is_listed(
    name: str, tools: str, stock: str
) -> None:
    """Those boards have a groove every 5 mm and every 1/8 in."""
    recipe, job = recipes_of(name, tools, stock)
    assert recipe.reader is not None
    told = {}
    for line in recipe.reader.grooves:
        found = re.fullmatch(r"For the (.*): no groove lies at (.*) (?:mm|in): set .*", line)
        assert found, line
        told[found[1]] = [
            sum((Fraction(own) for own in one.split()), Fraction(0))
            for one in re.split(", | and ", found[2])
        ]
    groove = Fraction(5) if tools == METRIC else Fraction(1, 8)
    for sheet in job.sheets:
        assert told.get(sheet.name, []) == list(off_grooves(recipe, sheet.name, groove))


STAND = """
format = 1
title = "A button on a stand"
unit = "in"
tools = "score-board-inch"
[base]
style = "tray"
stock = "cover-80"
floor = ["2 1/8", "2 1/8"]
depth = "5/8"
[insert]
style = "platform"
stock = "cover-80"
legs = "1/4"
cut = ["2 1/16", "2 1/16"]
window = ["29/32", "29/32"]
[lid]
style = "tray"
stock = "cover-80"
oversize = ["1/16", "3/32"]
depth = "3/8"
"""


def test_only_what_is_drawn_in_whole_steps_is_called_so(tmp_path: Path) -> None:
    """A leg of 1/4 in is 6.35 mm: no whole half millimetres, so 6.5 mm is what it is rounded to."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "stand.toml"
    path.write_text(STAND)
    recipe, job = recipes(path, METRIC, {"base": "tag-165"})
    insert = next(sheet.plan for sheet in job.sheets if sheet.name == "insert")
    assert {round(line.at_mm, 3) for line in insert.scores} == {6.35}
    assert recipe.reader is not None
    assert (
        "These sizes are whole steps of that rule, chosen together, but for the insert's sheet, "
        "its score at 6.5 mm and its window, each rounded by itself; the steps and the 1:1 sheets "
        "below are those of the other sizes."
    ) in recipe.reader.verdict


def test_what_a_carton_has_of_its_own_comes_to_whole_steps_too(carton: Path) -> None:
    """A tuck of 7/16 in = 11.11 mm and a seam of 12.7 mm; a lid of 54 - 1.5 mm and its tuck end
    the sheet. What is left are the sheet's sides, with a layer of paper and glue in them, the
    cuts that free the flaps, which lie at no score, and the rounds of the tuck flaps."""
    recipe, _ = recipes(carton, METRIC, {"base": "tag-165"})
    both = {row.what: row.theirs for row in recipe.card}
    assert both["scores, the left edge"].startswith("54, 108 and 162 mm")
    assert both["scores, both short edges"].startswith("11 and 63.5 mm")  # 11 + 54 - 1.5
    assert "inside 12.5 mm" in both["scores, the right edge, flaps"]
    assert {row.theirs for row in recipe.card}.isdisjoint({"see the other rows"})
    assert recipe.reader is not None
    assert (
        "chosen together, but for the base's sheet, its measured cuts and its round corners, each "
        "rounded by itself;"
    ) in recipe.reader.verdict


@pytest.mark.parametrize("name", STYLES)
@pytest.mark.parametrize(("tools", "stock"), READERS)
def test_what_is_called_whole_steps_is_drawn_so(name: str, tools: str, stock: str) -> None:
    """A size within 0.02 mm of a step is not called rounded; a hair is told, and is none."""
    recipe, job = recipes_of(name, tools, stock)
    assert recipe.reader is not None
    step = STEP_MM[job.design.tools.grid_unit]
    off = set()
    for sheet in job.sheets:
        hairs = [row for row in recipe.card if row.part == sheet.name and "a hair" in row.theirs]
        sides = sheet.plan.sheet.sides_mm
        lines = [] if hairs else [line.at_mm for line in sheet.plan.scores]
        if any(abs(mm - step * round(mm / step)) > 0.02 for mm in (*sides, *lines)):
            off.add(sheet.name)
    said = recipe.reader.verdict
    assert not off or "rounded as here, " in said
    if "chosen together" in said:
        named = re.findall(r"the ([a-z ]+)'s (?:sheet|score|slots)", said.partition("but for")[2])
        assert off <= set(named)


def test_floors_that_the_paper_alone_moves_are_not_called_chosen(tmp_path: Path) -> None:
    """An opening of 60 x 95 mm is kept for any paper, so its floor goes with the creases.

    No rule changed, so no size was brought to one."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "opening.toml"
    path.write_text(SOAP.partition("[sleeve]")[0].replace("floor = ", "inside = "))
    recipe, _ = recipes(path, METRIC, {"base": "cover-65"})
    assert recipe.reader is not None
    sheet = recipe.card[0]
    assert sheet.what == "sheet" and sheet.sizes != sheet.theirs
    assert recipe.reader.verdict.endswith(
        "The steps and the 1:1 sheets below are those of the other sizes."
    )
    assert "chosen" not in recipe.reader.verdict


TRAY = """
format = 1
title = "A tray that is a little deeper"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [76.2, 101.6]
depth = 20.35
[lid]
style = "tray"
stock = "cover-100"
oversize = ["1/16 in", "3/32 in"]
depth = "19/32 in"
"""


def test_a_depth_that_is_rounded_leaves_the_floor_as_it_is(tmp_path: Path) -> None:
    """All else is in whole steps: 3 x 4 in, and 20.35 mm is between 25/32 and 13/16 in.

    Those are 19.84 and 20.64 mm. 3 in and twice 13/16 in are 4 5/8 in, 4 in and those 5 5/8 in: no
    other sizes are wanted."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "deeper.toml"
    path.write_text(TRAY)
    recipe, _ = recipes(path, INCH, {})
    card = {row.what: row.theirs for row in recipe.card if row.part == "base"}
    assert card["sheet"].startswith("4 5/8 x 5 5/8 in (")
    assert card["scores, all four sides"].startswith("13/16 in (")
    assert recipe.reader is not None
    assert recipe.reader.verdict.startswith(
        "as drawn, before its sizes are rounded as here, it goes"
    )


def test_the_same_sizes_are_not_called_others(tmp_path: Path) -> None:
    """With 20.6375 mm, which is 13/16 in, nothing is moved for that rule."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "same.toml"
    path.write_text(TRAY.replace("20.35", "20.6375"))
    recipe, _ = recipes(path, INCH, {})
    assert recipe.reader is not None and "other sizes" not in recipe.reader.verdict


@pytest.mark.parametrize("name", STYLES)
@pytest.mark.parametrize(("tools", "stock"), READERS)
def test_other_sizes_are_told_wherever_a_sheet_or_a_score_lies_elsewhere(
    name: str, tools: str, stock: str
) -> None:
    """A tenth of a millimetre is seen beside another line, a hundredth is not."""
    recipe, job = recipes_of(name, tools, stock)
    design = read_design(ROOT / "models" / f"{name}.toml")
    own = sheet_job(design, Paper.A4, (), 1, paged=False)
    assert recipe.reader is not None
    off = 0.0
    for mine, theirs in zip(own.sheets, job.sheets, strict=True):
        both = [
            [*one.plan.sheet.sides_mm, *(line.at_mm for line in one.plan.scores)]
            for one in (mine, theirs)
        ]
        off = max([off, *(abs(a - b) for a, b in zip(*both, strict=True))])
    assert "of the other sizes" in recipe.reader.verdict or off <= 0.05
