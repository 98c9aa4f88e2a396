"""The steps say what to do in the units of the bench, and warn where a score misses the grooves."""

from __future__ import annotations

import pytest

from fitcheck.pattern.creases import CreaseKind
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.instructions import Instruction, instructions_for
from fitcheck.sheet.steps import steps_for
from fitcheck.stock.tools import Tools
from fitcheck.styles import draw
from fitcheck.styles.walled import WalledRecipe as Recipe
from fitcheck.units import Unit
from tests.boxes import shadow_box, tray
from tests.hand_drawn import QUARTER, strip

EIGHTHS = Tools("inch board", 3.175, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
FIVES = Tools("metric board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
PLAIN = Tools("board without grooves", None, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)


def told(recipe: Recipe, tools: Tools, unit: Unit) -> list[Instruction]:
    pattern = draw(recipe)
    return list(
        instructions_for(steps_for(pattern, plan_of(pattern), "card", Axis.LENGTH, tools), unit)
    )


def scores(lines: list[Instruction]) -> list[str]:
    return [detail for line in lines if "Then score" in line.text for detail in line.details]


def test_a_score_in_a_groove_is_a_fraction_without_a_warning() -> None:
    lines = scores(told(tray(82.55, 114.3, 15.875), EIGHTHS, Unit.IN))
    assert lines[0] == "at 5/8 in (15.88 mm), from 5/8 in (15.88 mm) to 5 1/8 in (130.18 mm)"
    assert lines[1] == "at 5/8 in (15.88 mm), from edge to edge"
    assert not any("groove" in line for line in lines)


def test_a_score_off_the_grooves_says_so_and_by_how_much() -> None:
    # 19/32 in is 1/32 short of 5/8, 21/32 in is 1/32 beyond it
    short = scores(told(tray(82.55, 114.3, 25.4 * 19 / 32), EIGHTHS, Unit.IN))
    assert all("off the grooves: 1/32 in short of the groove at 5/8 in" in line for line in short)
    beyond = scores(told(tray(82.55, 114.3, 25.4 * 21 / 32), EIGHTHS, Unit.IN))
    assert all("off the grooves: 1/32 in beyond the groove at 5/8 in" in line for line in beyond)


def test_metric_steps_are_in_millimetres_for_centimetre_designs_too() -> None:
    for unit in (Unit.MM, Unit.CM):
        lines = scores(told(tray(80.0, 100.0, 18.0), FIVES, unit))
        assert lines[1].startswith("at 18.00 mm (0.709 in), from edge to edge; off the grooves: ")
        assert lines[1].endswith("2.00 mm short of the groove at 20.00 mm")


def test_a_score_below_the_first_groove_is_counted_from_the_fence() -> None:
    lines = scores(told(tray(80.0, 100.0, 2.0), FIVES, Unit.MM))
    assert lines[0].endswith("off the grooves: 2.00 mm beyond the fence")


def test_a_board_without_grooves_gives_no_warning() -> None:
    assert not any("groove" in line for line in scores(told(tray(depth=19.3), PLAIN, Unit.MM)))


@pytest.mark.parametrize("recipe", [tray(), shadow_box()], ids=["tray", "shadow box"])
def test_the_order_is_size_scores_cuts_slants_away_fold_glue(recipe: Recipe) -> None:
    texts = [line.text for line in told(recipe, FIVES, Unit.MM)]

    def first(words: str) -> int:
        return next(n for n, text in enumerate(texts) if words in text)

    order = ["cut a sheet", "Then score", "Then cut", "slanted", "Take the 4 hatched", "Fold all"]
    places = [first(words) for words in [*order, "Stand the walls up"]]
    assert places == sorted(places)


def test_a_shadow_box_tells_mitres_and_rolls_the_lapping_pair_last() -> None:
    lines = told(shadow_box(tabs=Axis.WIDTH), FIVES, Unit.MM)
    slants = next(line.details for line in lines if "slanted" in line.text)
    assert [detail.split(",")[0] for detail in slants] == ["mitre", "tab end", "tab end"]
    rolls = [line.text for line in lines if "Roll inwards" in line.text]
    assert ["front" in rolls[0], "back" in rolls[1]] == [True, True]
    assert all("lie over the front frame and the back frame" in text for text in rolls[2:])
    assert not any("lie over" in text for text in rolls[:2])


def test_the_tabs_to_keep_are_named() -> None:
    keep = next(line for line in told(tray(), FIVES, Unit.MM) if "Keep the tabs" in line.text)
    assert len(keep.details) == 4
    assert all("tab" in name for name in keep.details)


def test_half_cuts_and_folds_away_are_told() -> None:
    """A hinge is cut on the face outside its fold: below for one that rises, above for another."""
    names, widths = ["flap", "lid", "wall", "floor"], [12.0, 30.0, 20.0, 31.0]
    folds, half = [-QUARTER, QUARTER, QUARTER], CreaseKind.HALF_CUT
    pattern = strip(names, widths, folds, kinds=[half, half, CreaseKind.SCORED])
    steps = steps_for(pattern, plan_of(pattern), "card", Axis.LENGTH, FIVES)
    lines = list(instructions_for(steps, Unit.MM))
    half_cut = {
        side: [detail for detail in scores(lines) if f"the face that lies {side}" in detail]
        for side in ("up", "down")
    }
    assert [detail[:8] for detail in half_cut["up"]] == ["at 12.00"]
    assert [detail[:8] for detail in half_cut["down"]] == ["at 42.00"]
    assert len(scores(lines)) == 3
    (folding,) = [line for line in lines if line.text.startswith("Fold all 3 creases")]
    assert "but these away from it" in folding.text
    assert folding.details == ("lid / flap",)
    assert not any("hatched" in line.text for line in lines)
