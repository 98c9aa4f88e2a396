"""The steps speak as makers do, and say where a length is rounded or misses the grooves."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from fitcheck.pattern.bonds import Face
from fitcheck.pattern.laid import laid
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis, Fence, Sheet
from fitcheck.sheet.instructions import Instruction, instructions_for
from fitcheck.sheet.marks import Mark
from fitcheck.sheet.score_text import score_card
from fitcheck.sheet.scoring import ScoredLine, ScoredSide, ScoreSides
from fitcheck.sheet.steps import steps_for
from fitcheck.stock.tools import Tools
from fitcheck.styles import draw
from fitcheck.styles.walled import WalledRecipe as Recipe
from fitcheck.units import Unit
from tests.boxes import shadow_box, tray

EIGHTHS = Tools("inch board", 3.175, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
FIVES = Tools("metric board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
PLAIN = Tools("board without grooves", None, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)


def told(recipe: Recipe, tools: Tools, unit: Unit) -> list[Instruction]:
    pattern = laid(draw(recipe), tools.score_face)
    return list(
        instructions_for(
            steps_for(pattern, plan_of(pattern), "card", Axis.LENGTH, tools, unit), unit
        )
    )


def scoring(lines: list[Instruction]) -> Instruction:
    (found,) = [line for line in lines if line.text.startswith("Score")]
    return found


def test_a_tray_in_eighths_is_scored_in_one_sentence() -> None:
    found = scoring(told(tray(82.55, 114.3, 15.875), EIGHTHS, Unit.IN))
    assert found.text == (
        "Score all four sides from edge to edge, at 5/8 in (15.9 mm), the left edge against the "
        "fence first, then a quarter turn anticlockwise each for the top, right and bottom edge."
    )
    assert not found.details


def test_a_framed_box_is_scored_in_one_sentence_too() -> None:
    found = scoring(told(shadow_box(), EIGHTHS, Unit.IN))
    assert found.text.startswith("Score all four sides from edge to edge, at ")
    assert not found.details


def test_a_sheet_is_a_size_in_two_units_and_says_which_face_is_up() -> None:
    first = told(tray(82.55, 114.3, 15.875), EIGHTHS, Unit.IN)[0].text
    assert first == (
        "From card, cut a sheet 4 1/2 x 5 3/4 in (114.3 x 146.1 mm), width x length, the grain "
        "along its length. Lay it with the face up that will be the outside of the base, and "
        "pencil its edges: left, right, top, bottom. Walls are named as they stand in the box: the "
        "right one lies at the left edge."
    )


def test_a_sheet_says_how_to_see_that_it_is_square_and_what_it_costs() -> None:
    # a box of 90 x 150 mm under a lid whose sheet's edges meet at right angles but for a lean: each
    # score lies along its own edge, so the lid's inside keeps its two widths, measured square to
    # its walls, and leans alike. A rectangle turned by t is W |cos t| + L |sin t| wide (its support
    # function); the play that it needs at the best turn is searched for, not worked out
    width, length, wall = 90.0, 150.0, 20.0
    sheet = np.array([width + 2 * wall, length + 2 * wall])
    lean = 0.01
    turn = np.linspace(0.0, lean, 100_001)
    across = width * np.cos(turn) + length * np.sin(turn) - width
    along = length * np.cos(lean - turn) + width * np.sin(lean - turn) - length
    needed = float(np.maximum(across, along).min())
    corner = np.array([[1.0, np.sin(lean)], [0.0, np.cos(lean)]])
    apart = np.hypot(*(corner @ sheet)) - np.hypot(*(corner @ (sheet * [-1.0, 1.0])))

    (square,) = told(tray(width, length, wall), FIVES, Unit.MM)[0].details
    said = re.fullmatch(
        r"square if both its diagonals are 230 mm \(9 1/16 in\): for each millimetre that they "
        r"differ, what goes into the box or over it has up to (\S+) mm less play",
        square,
    )
    assert said is not None and math.hypot(130.0, 190.0) == pytest.approx(230.2, abs=0.05)
    assert float(said[1]) == pytest.approx(needed / apart, abs=0.05)


def test_a_score_off_the_grooves_says_so() -> None:
    # 19/32 in is 1/32 short of 5/8
    short = scoring(told(tray(82.55, 114.3, 25.4 * 19 / 32), EIGHTHS, Unit.IN))
    assert "No groove lies there: set it by a rule." in short.text


def test_what_no_hand_sets_is_rounded_and_says_so() -> None:
    lines = told(tray(82.55, 114.3, 15.2), EIGHTHS, Unit.IN)
    assert "at 19/32 in (15.1 mm)" in scoring(lines).text
    rounded = "Rounded to the nearest 1/32 in; the drawing has it exactly."
    assert scoring(lines).text.endswith(rounded) and lines[0].text.endswith(rounded)
    metric = told(tray(82.3, 114.0, 15.0), FIVES, Unit.MM)
    assert "cut a sheet 112.5 x 144 mm" in metric[0].text
    assert "Rounded to the nearest 0.5 mm" in metric[0].text


def test_metric_steps_are_in_millimetres_for_centimetre_designs_too() -> None:
    for unit in (Unit.MM, Unit.CM):
        found = scoring(told(tray(80.0, 100.0, 18.0), FIVES, unit))
        assert "at 18 mm (23/32 in)" in found.text
        assert "No groove lies there: set it by a rule." in found.text


def test_a_board_without_grooves_gives_no_warning() -> None:
    assert "groove" not in scoring(told(tray(depth=19.5), PLAIN, Unit.MM)).text


@pytest.mark.parametrize("recipe", [tray(), shadow_box()], ids=["tray", "shadow box"])
def test_the_order_is_size_scores_cuts_fold_glue(recipe: Recipe) -> None:
    texts = [line.text for line in told(recipe, FIVES, Unit.MM)]

    def first(words: str) -> int:
        return next(n for n, text in enumerate(texts) if words in text)

    order = ["cut a sheet", "Score", "Cut at all four corners", "Fold all", "Stand the walls up"]
    assert [first(words) for words in order] == list(range(5))


def test_a_shadow_box_tells_mitres_and_rolls_the_lapping_pair_last() -> None:
    lines = told(shadow_box(tabs=Axis.WIDTH), FIVES, Unit.MM)
    cuts = next(line.details for line in lines if line.text.startswith("Cut"))
    (mitre,) = [detail for detail in cuts if detail.startswith("the mitre, from where")]
    # by scores alone: no length has to be measured for it
    assert "at 45 degrees away from" in mitre and not re.search(r"\d mm|\d in", mitre)
    rolls = [line.text for line in lines if "Roll one side" in line.text]
    assert ["the front flap and the back flap" in text for text in rolls] == [True, False]
    assert ["lie over the front frame and the back frame" in text for text in rolls] == [
        False,
        True,
    ]


def test_pieces_to_keep_are_marked() -> None:
    cut = next(line for line in told(tray(), FIVES, Unit.MM) if line.text.startswith("Cut"))
    assert cut.details[-1].endswith("keep the 4 tabs marked x")


def test_folds_go_towards_the_bead_of_an_outside_score() -> None:
    def folding(face: str) -> str:
        tools = Tools("board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03, score_face=face)
        (found,) = [line for line in told(tray(), tools, Unit.MM) if "Fold all 8" in line.text]
        return found.text

    assert folding("outside").startswith("Turn the sheet over, like the page of a book, so that")
    assert "Fold all 8 creases up, towards the bead that its score raised" in folding("outside")
    assert folding("inside").startswith("Fold all 8 creases up, one after the other")


def test_a_card_has_each_of_two_scores_that_lie_the_same_hair_beside_others() -> None:
    lines = tuple(
        ScoredLine(
            at_mm + hair_mm,
            Mark(Fence.BOTTOM, 5.0 if hair_mm else 0.0, None if hair_mm else 0),
            Mark(Fence.TOP, 5.0 if hair_mm else 0.0, None if hair_mm else 0),
            None,
            Unit.MM,
            hair_mm,
            half_cut=False,
            of=("wall / tab",) if hair_mm else ("wall / floor",),
        )
        for at_mm in (20.0, 40.0)
        for hair_mm in (0.0, 0.3)
    )
    step = ScoreSides(Face.OUTSIDE, (ScoredSide(Fence.LEFT, 0, lines),))
    assert list(score_card(step, Sheet(100.0, 120.0), Unit.MM)) == [
        ("the left edge", "20 and 40 mm (25/32 and 1 9/16 in)"),
        ("the left edge, tabs", "a hair (0.3 mm) inside 20 mm (25/32 in)"),
        ("the left edge, tabs", "a hair (0.3 mm) inside 40 mm (1 9/16 in)"),
    ]
