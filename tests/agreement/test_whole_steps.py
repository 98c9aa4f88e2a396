"""Sizes for another reader's rule, read off the printed card and typed in again as one would.

Worked by hand: a sheet less the last score from both its fences is the floor, and what lies between
two scores is a wall. Rounded each by itself these are other floors than were drawn: 63 of 100
harbour boxes come out right cut so with a metric rule, and 30 picnic boxes with an inch rule.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.odds.odds import odds_of
from fitcheck.odds.result import Odds
from fitcheck.odds.retarget import retargeted
from fitcheck.odds.whole_steps import in_whole_steps
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.pattern.plan import plan_of
from fitcheck.sheet.job import sheet_job
from fitcheck.units import Unit, is_set_by_hand
from tests.cli.commands import ROOT

BOXES = 8_000
METRIC = "score-board-metric"
INCH = "score-board-inch"


def as_told(odds: Odds) -> float:
    return (odds.good if odds.rounded is None else odds.rounded).share


def numbers(sizes: str) -> list[Fraction]:
    """Sizes as they stand before the brackets."""
    words = sizes.partition(" (")[0].replace(" and ", ", ").replace(" x ", ", ")
    words = words.removesuffix(" mm").removesuffix(" in")
    return [sum((Fraction(own) for own in one.split()), Fraction(0)) for one in words.split(", ")]


def test_what_is_typed_from_the_card_is_a_box_that_comes_out_right(tmp_path: Path) -> None:
    path = ROOT / "models" / "harbour.toml"
    own, theirs = read_design(path), readers_design(path, {}, METRIC)
    sheets = [Sheets(check(one), sheet_job(one, Paper.A4, (), 1)) for one in (own, theirs)]
    card = {
        (row.part, row.what): row.theirs for row in recipe_of(sheets[0], None, None, sheets[1]).card
    }
    flap, inner, frame, outer = numbers(card["base", "scores, all four sides"])
    lid_depth = numbers(card["lid", "scores, all four sides"])[0]
    base, lid = (numbers(card[part, "sheet"]) for part in ("base", "lid"))
    floors = [
        [float(side - 2 * outer) for side in base],
        [float(side - 2 * lid_depth) for side in lid],
    ]
    text = path.read_text()
    assert 'unit   = "in"' in text
    typed = f"""
format = 1
title = "Typed in"
unit = "mm"
tools = "{METRIC}"
[base]
style = "shadow-box"
stock = "cardstock-270"
grain = "length"
floor = {floors[0]}
depth = {float(outer - frame)}
frame = {float(frame - inner)}
inner_wall = {float(inner - flap)}
flap = {float(flap)}
[lid]
style = "tray"
stock = "patterned-160"
floor = {floors[1]}
depth = {float(lid_depth)}
[[content]]
item = "{own.contents[0].item.name}"
count = {own.contents[0].count}
lay = "{own.contents[0].lay}"
"""
    (tmp_path / "typed.toml").write_text(typed)
    found = odds_of(check(read_design(tmp_path / "typed.toml")), BOXES, folded_again=0)
    each = odds_of(check(retargeted(path, {}, METRIC)), BOXES, folded_again=0)
    assert found.rounded is None
    assert found.good.share > 0.84
    # each sheet with its own scores loses little by now; what is chosen together loses nothing
    assert found.good.share > as_told(each)
    assert found.good.share == pytest.approx(
        as_told(odds_of(sheets[1].check, BOXES, folded_again=0)), abs=0.02
    )


@pytest.mark.parametrize(("name", "least"), [("ferry", 0.8), ("picnic", 0.8), ("boathouse", 0.8)])
def test_floors_and_walls_are_whole_steps_and_the_box_comes_out_right(
    name: str, least: float
) -> None:
    """Of the walls and floors; a flap that is glued may be rounded by itself."""
    path = ROOT / "models" / f"{name}.toml"
    found = check(readers_design(path, {}, INCH))
    assert found.fits and found.design.unit is Unit.IN
    assert found.design.tools == retargeted(path, {}, INCH).tools
    for part in found.assembly.parts:
        if part.recipe.part in ("base", "lid"):
            lines = [*part.pattern.sheet.sides_mm, *(rule.at_mm for rule in part.scores)]
            assert all(is_set_by_hand(mm, Unit.IN) for mm in lines), (part.recipe.part, lines)
    odds = odds_of(found, BOXES, folded_again=0)
    each = odds_of(check(retargeted(path, {}, INCH)), BOXES, folded_again=0)
    assert as_told(odds) > max(least, as_told(each))


def test_a_rim_between_two_scores_is_whole_steps_too(tmp_path: Path) -> None:
    """A rim of 1/8 in is 3.175 mm: kept so, it leaves no wall that is cut by half millimetres.

    The inner wall is the first score, the rim lies between the first and the second, the outer
    wall between the second and the third; typed in again they are a box of their own.
    """
    path = ROOT / "models" / "decks.toml"
    own, theirs = read_design(path), readers_design(path, {}, METRIC)
    sheets = [Sheets(check(one), sheet_job(one, Paper.A4, (), 1)) for one in (own, theirs)]
    card = {
        (row.part, row.what): row.theirs for row in recipe_of(sheets[0], None, None, sheets[1]).card
    }
    inner, rim, outer = numbers(card["base", "scores, all four sides"])
    lid_depth = numbers(card["lid", "scores, all four sides"])[0]
    base, lid = (numbers(card[part, "sheet"]) for part in ("base", "lid"))
    floors = [[float(s - 2 * outer) for s in base], [float(s - 2 * lid_depth) for s in lid]]
    (tmp_path / "typed.toml").write_text(f"""
format = 1
title = "Typed in"
unit = "mm"
tools = "{METRIC}"
[base]
style = "double-wall"
stock = "cardstock-270"
floor = {floors[0]}
depth = {float(outer - rim)}
rim = {float(rim - inner)}
inner_wall = {float(inner)}
[lid]
style = "tray"
stock = "patterned-160"
floor = {floors[1]}
depth = {float(lid_depth)}
[[content]]
item = "{own.contents[0].item.name}"
count = {own.contents[0].count}
lay = "{own.contents[0].lay}"
""")
    found = odds_of(check(read_design(tmp_path / "typed.toml")), BOXES, folded_again=0)
    each = odds_of(check(retargeted(path, {}, METRIC)), BOXES, folded_again=0)
    assert found.rounded is None
    assert found.good.share > 0.9
    assert found.good.share > as_told(each) + 0.02


CASE = """
format = 1
title = "A case for tokens"
unit = "mm"
tools = "score-board-inch"
[base]
style = "hinged-tray"
stock = "cover-80"
floor = [51.5, 89.5]
depth = 23.5
lip = 10
clear = 1.5
"""


def test_a_lip_is_whole_steps_too(tmp_path: Path) -> None:
    """10 mm is 12.6 steps of 1/32 in, so 13 of them; a lid's crease lies a lid further on."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "case.toml"
    path.write_text(CASE.replace('"score-board-inch"', f'"{METRIC}"'))
    found = check(readers_design(path, {}, INCH))
    scores = [line.at_mm for line in plan_of(found.assembly.base.pattern).scores]
    assert min(scores) == pytest.approx(13 * 25.4 / 32)
    assert all(abs(mm - 25.4 / 32 * round(mm * 32 / 25.4)) < 0.02 for mm in scores)
    each = odds_of(check(retargeted(path, {}, INCH)), BOXES, folded_again=0)
    assert as_told(odds_of(found, BOXES, folded_again=0)) > as_told(each)


def test_where_rounding_each_by_itself_does_as_well_sizes_stay(tmp_path: Path) -> None:
    """A tray by itself has nothing to fit, however its 20.35 mm are rounded."""
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "tray.toml"
    tray = CASE[: CASE.index("lip")].replace("hinged-tray", "tray").replace("23.5", "20.35")
    path.write_text(tray.replace('"score-board-inch"', f'"{METRIC}"'))
    theirs, own = readers_design(path, {}, INCH), retargeted(path, {}, INCH)
    assert theirs.parts == own.parts


def test_a_trimmer_that_is_never_off_stays_so() -> None:
    """Gradients are taken with some error in every line; the design given back has its own."""
    theirs = retargeted(ROOT / "models" / "picnic.toml", {}, INCH)
    exact = replace(theirs, tools=replace(theirs.tools, cut_u_mm=0.0))
    found = in_whole_steps(exact)
    assert found is not None and found.tools == exact.tools
