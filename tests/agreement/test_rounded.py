"""What rounding costs, against the same boxes with every rounded line cut where it is printed.

The other route is the design itself with its lengths as the steps print them: its floors and depths
written in half millimetres, checked and counted as a design of its own.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.odds.advice import advise
from fitcheck.odds.inputs import Source
from fitcheck.odds.odds import hands_for, odds_of, prospect_of
from fitcheck.odds.rounded import as_told, drawn_and_rounded, printed_off_mm
from fitcheck.outputs.check_text import headline
from fitcheck.outputs.steps_text import plain_lines
from fitcheck.outputs.table_text import table_markdown
from fitcheck.pattern.counted import told_slot_mm
from fitcheck.pattern.sheet import Fence
from fitcheck.sheet.cutout_card import cutout_card
from fitcheck.sheet.cutting_out import CutOut, Place, Shape
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.table import measurement_tables
from fitcheck.units import Unit

MODELS = Path(__file__).resolve().parents[2] / "models"

BOXES = 20_000
DESIGN = """\
format = 1
title = "Off by a hair"
unit = "mm"
[base]
style = "tray"
stock = "cover-80"
floor = [{base}, 80]
depth = 25
[lid]
style = "tray"
stock = "cover-80"
oversize = [{over}, 2]
depth = 20
"""


def design(folder: Path, base: float, lid: float) -> Path:
    path = folder / f"box-{base}-{lid}.toml"
    path.write_text(DESIGN.format(base=base, over=round(lid - base, 6)))
    return path


@pytest.mark.parametrize(
    ("base", "lid", "printed"),
    [
        # a base that is rounded up and a lid that is rounded down: the play shrinks
        (70.28, 71.22, (70.5, 71.0)),
        # the other way round
        (70.22, 71.28, (70.0, 71.5)),
    ],
)
def test_a_rounded_box_is_the_box_of_the_printed_sizes(
    base: float, lid: float, printed: tuple[float, float], tmp_path: Path
) -> None:
    exact = check(read_design(design(tmp_path, base, lid)))
    prospect = prospect_of(exact, BOXES)
    _, rounded = drawn_and_rounded(*prospect.asked(), BOXES, 0)
    whole = odds_of(check(read_design(design(tmp_path, *printed))), BOXES, folded_again=4)
    assert rounded is not None
    as_drawn = odds_of(exact, BOXES, folded_again=4)
    # scores off the grooves are as unsure in both, sheets too: only where they lie differs
    assert rounded.share == pytest.approx(whole.good.share, abs=0.015)
    assert abs(rounded.share - as_drawn.good.share) > 0.03


MIXED = """\
format = 1
title = "Two rules"
unit = "{unit}"
tools = "{board}"
[base]
style = "tray"
stock = "cover-80"
floor = {floor}
depth = "{depth}"
"""


@pytest.mark.parametrize(
    ("unit", "board", "floor", "depth", "told", "off_mm"),
    [
        # 31.75 mm lies between marks of half a millimetre, and in a groove of 1/8 in
        ("mm", "inch", '["2 1/2 in", "4 in"]', "1 1/4 in", "at 1 1/4 in (31.8 mm)", 0.0),
        # 35 mm lies between 1 3/8 in, 34.925 mm, and the next 1/32 in, and in a groove of 5 mm
        ("in", "metric", '["80 mm", "100 mm"]', "35 mm", "at 35 mm (1 3/8 in)", 0.0),
        # in no groove: 32.2 mm is set by a rule, at 32 mm
        ("mm", "inch", '["2 1/2 in", "4 in"]', "32.2 mm", "at 32 mm (1 1/4 in)", -0.2),
        # in a groove of 1/8 in, 25.4 mm, and off every half millimetre by a tenth: the groove again
        ("mm", "inch", '["2 1/2 in", "4 in"]', "1 in", "at 1 in (25.4 mm)", 0.0),
        # a groove that a rule in millimetres has a mark for, too
        ("mm", "inch", '["2 1/2 in", "4 in"]', "2 1/2 in", "at 2 1/2 in (63.5 mm)", 0.0),
    ],
)
def test_a_score_in_a_groove_is_told_as_the_groove_is_marked_and_not_rounded(
    tmp_path: Path, unit: str, board: str, floor: str, depth: str, told: str, off_mm: float
) -> None:
    path = tmp_path / "box.toml"
    words = {"unit": unit, "board": f"score-board-{board}", "floor": floor, "depth": depth}
    path.write_text(MIXED.format(**words))
    prospect = prospect_of(check(read_design(path)), 100)
    offs = [
        printed_off_mm(prospect.check.assembly, one)
        for one in prospect.asked()[1].inputs
        if one.source is Source.SCORE
    ]
    assert offs and offs == pytest.approx([off_mm] * len(offs), abs=1e-6)
    job = sheet_job(prospect.check.design, Paper.A4, (), 1, paged=False)
    (line,) = (one for one in plain_lines(job) if "all four sides" in one)
    assert f"from edge to edge, {told}," in line
    assert ("Rounded to the nearest" in line) is (off_mm != 0.0)
    at = told.removeprefix("at ").partition(" (")[0]
    (sheet,) = job.sheets
    assert [label.text for label in sheet.drawing.labels].count(at) >= 4, "beside each score"
    rows = table_markdown(job.design, measurement_tables(job)).splitlines()
    drawn = "" if off_mm == 0.0 else " (drawn 32.20)"
    assert sum(row.startswith(f"| left | {at}{drawn} |") for row in rows) == 1


FRAMES = """\
format = 1
title = "Honey labels"
unit = "{unit}"
tools = "score-board-{board}"
[base]
style = "shadow-box"
stock = "cover-100"
opening = {opening}
depth = "{depth}"
frame = "{frame}"
flap = "{frame}"
[lid]
style = "double-wall"
stock = "cover-65"
oversize = "{over}"
depth = "{frame}"
"""
INCHES = {"opening": '["3 1/8", "2 1/8"]', "depth": "3/4", "frame": "1/2", "over": "1/8"}
MILLIMETRES = {"opening": "[80.3, 54.2]", "depth": "19", "frame": "12", "over": "3"}


@pytest.mark.parametrize(
    ("unit", "board", "lengths"),
    [("in", "inch", INCHES), ("mm", "metric", MILLIMETRES), ("mm", "inch", MILLIMETRES)],
)
def test_the_floor_that_steps_leave_between_scores_is_the_nearest_step(
    tmp_path: Path, unit: str, board: str, lengths: dict[str, str]
) -> None:
    """Read in the printed words alone: what the sheet is cut to, less the last score twice.

    Each rounded by itself the floor of the first was 1.1 mm short and its lid's 0.5 mm too wide: 7
    of 100 boxes came out right by the steps, and 75 as drawn.
    """
    path = tmp_path / "box.toml"
    path.write_text(FRAMES.format(unit=unit, board=board, **lengths))
    found = check(read_design(path))
    job = sheet_job(found.design, Paper.A4, (), 1, paged=False)
    step = 25.4 / 32 if unit == "in" else 0.5
    for sheet, part in zip(job.sheets, found.assembly.parts, strict=True):
        first, scores = sheet.instructions[0].text, sheet.instructions[1].text
        (size,) = re.findall(r"cut a sheet (.*?) \(", first)
        (at, *_) = re.findall(r" at (.*?) \(", scores)
        (width, length), last = _lengths(size, " x "), max(_lengths(at, ", | and "))
        floors = ((width, part.recipe.width_mm), (length, part.recipe.length_mm))
        for cut, drawn in floors:
            assert cut - 2 * last == pytest.approx(drawn, abs=step / 2 + 0.006)
    odds = odds_of(found, 4_000, folded_again=0)
    assert odds.rounded is not None
    assert odds.rounded.share > odds.good.share - 0.1


def _lengths(words: str, between: str) -> list[float]:
    """Lengths in words as mm: `8 7/8 x 7 27/32 in`, `23.5 and 45 mm`, of one unit."""
    per = 25.4 if words.endswith(" in") else 1.0
    texts = re.split(between, words.removesuffix(" in").removesuffix(" mm"))
    return [per * float(sum(Fraction(part) for part in text.split())) for text in texts]


def test_a_score_that_is_told_in_a_groove_is_made_as_exactly_as_one_drawn_there(
    tmp_path: Path,
) -> None:
    """24.8 mm is told at 25 mm, in a groove of 5 mm: 0.1 mm and not 0.25, by the tools' file."""
    path = design(tmp_path, 70.28, 71.22)
    path.write_text(path.read_text().replace("depth = 25", "depth = 24.8"))
    prospect = prospect_of(check(read_design(path)), BOXES)
    base = [
        one.variate
        for one in as_told(prospect).workshop.inputs
        if one.source is Source.SCORE and one.rule is not None and one.rule.at_mm == 24.8
    ]
    assert [one.u for one in base] == [0.1] * 4
    assert [one.mean for one in base] == pytest.approx([0.2] * 4)
    _, rounded = drawn_and_rounded(*prospect.asked(), BOXES, 0)
    text = path.read_text().replace("depth = 24.8", "depth = 25").replace("70.28", "70.5")
    path.write_text(text.replace("oversize = [0.94", "oversize = [0.5"))
    whole = odds_of(check(read_design(path)), BOXES, folded_again=4)
    assert rounded is not None
    assert rounded.share == pytest.approx(whole.good.share, abs=0.015)


LEVEL = """\
format = 1
title = "Level"
unit = "in"
[base]
style = "shadow-box"
stock = "cover-65"
inside = ["4 1/2", "2 7/8"]
depth = "1/2"
frame = "1/2"
flap = "1/4"
inner_wall = "level"
[lid]
style = "tray"
stock = "index-110"
oversize = "1/16"
depth = "3/8"
tabs = "length"
"""


def test_a_size_that_the_steps_tell_already_is_no_advice(tmp_path: Path) -> None:
    """A level inner wall, 0.3 mm short of 1/2 in, is told as 1/2 in: to make it so was the advice,
    85 -> 93 of 100, where by the steps 93 came out right before and after it."""
    path = tmp_path / "level.toml"
    path.write_text(LEVEL)
    found = check(read_design(path))
    odds = odds_of(found, 4_000, folded_again=0)
    prospect = prospect_of(found, 4_000)
    advice = advise(prospect, hands_for(prospect, 4_000, 0))
    path.write_text(LEVEL.replace('"level"', '"1/2"'))
    halved = odds_of(check(read_design(path)), 4_000, folded_again=0)
    assert odds.rounded is not None
    assert odds.rounded.share == pytest.approx(halved.good.share, abs=0.02)
    assert odds.rounded.share > odds.good.share + 0.05
    assert advice is None or "inner wall" not in advice.change
    first = headline(found, odds)
    assert re.search(r"85 of 100 .* right, 93 where they are cut and scored as the steps", first)


def test_nothing_is_rounded_that_a_hand_can_set(tmp_path: Path) -> None:
    found = check(read_design(design(tmp_path, 70.0, 71.5)))
    assert drawn_and_rounded(*prospect_of(found, 1000).asked(), 1000, 0)[1] is None


def test_scores_a_hair_beside_others_are_where_the_steps_tell_them() -> None:
    """Of a carton's lids and flaps, read in the printed words and in what the odds take of them."""
    found = check(read_design(MODELS / "whist.toml"))
    job = sheet_job(found.design, Paper.A4, (), 1, paged=False)
    (line,) = [one for one in plain_lines(job) if "both long edges: at" in one]
    hairs = re.findall(r"a hair \(([\d.]+) mm\) (inside|outside) ([\d.]+) mm", line)
    beside = {float(at) + float(by) * (1 if way == "inside" else -1) for by, way, at in hairs}
    told = beside | {float(at) for at in re.findall(r"at ([\d.]+) mm", line)}
    assembly = found.assembly
    _, forms = prospect_of(found, 1000).asked()
    taken = {
        round(one.rule.at_mm + printed_off_mm(assembly, one), 3)
        for one in forms.inputs
        if one.source is Source.SCORE and one.rule is not None and one.rule.fence is Fence.TOP
    }
    assert len(hairs) == 1
    assert sorted(taken) == pytest.approx(sorted(told))


@pytest.mark.parametrize(
    ("slot", "unit", "told"),
    [
        (1.0605, Unit.IN, "a hair over 1/32 in (1.1 mm)"),
        (1.46, Unit.IN, "a hair under 1/16 in (1.5 mm)"),
        (1.22, Unit.MM, "1.2 mm"),
        (0.42, Unit.MM, "0.42 mm"),
        (1.5875, Unit.IN, "1/16 in (1.6 mm)"),
        (1.5, Unit.MM, "1.5 mm (1/16 in)"),
    ],
)
def test_a_narrow_slot_is_told_as_wide_as_the_strip_that_goes_into_it(
    slot: float, unit: Unit, told: str
) -> None:
    """A rule's nearest step would be 0.27 mm too narrow for the first: no strip slides in it."""
    cut = CutOut(
        shape=Shape.SLOT, name="slot", panel="strip", edge="top edge", size_mm=(slot, 12.7),
        places=(Place(Fence.LEFT, 25.4, Fence.TOP, 0.0),), centred=False,
    )  # fmt: skip
    (words, *_) = cutout_card([cut], unit)[1].split(" wide, ")
    assert words == told
    assert abs(told_slot_mm(slot, unit) - slot) <= 0.05
