"""Knife cuts inside the sheet: what they end grows and shrinks, and how often that spoils a box.

A style leaves 0.4 mm at the end of a rolled panel, and panels that stand in each other by no more
than 1/32 in give way. So a frame's end spoils the box when its cut is further out than both
together, and none of eight does with the eighth power of a normal probability.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from fitcheck.fit.check import check
from fitcheck.fit.selffit import FIGHT_MM, meetings
from fitcheck.folding.fold import fold
from fitcheck.odds.advice import advise
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.inputs import Source
from fitcheck.odds.odds import hands_for, odds_of, prospect_of
from fitcheck.outputs.bench_words import of_100
from fitcheck.outputs.odds_text import odds_text
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import knives_of
from fitcheck.pattern.sheet import Axis, Knife
from fitcheck.stock.tools import KNIFE_U_MM
from fitcheck.styles import draw
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.agreement.test_odds_closed_forms import BOARD, design
from tests.boxes import paper, shadow_box, tray

ROOM_MM = 0.4
RECIPES = {
    "shadow box": shadow_box(83.0, 111.0, 22.0, paper(0.33, 0.2)),
    "its tabs the other way": replace(shadow_box(83.0, 111.0, 22.0), tabs=Axis.LENGTH),
    "round creases": shadow_box(83.0, 111.0, 22.0, paper(0.33, 0.30)),
    "tray": tray(61.0, 97.0, 23.0, paper(0.2, 0.1)),
    "tray with a setback": tray(61.0, 97.0, 23.0, paper(0.2, 0.1), setback=0.3),
}


def areas(pattern: Pattern, off: dict[Knife, float]) -> dict[str, float]:
    return {
        panel.name: shapely.Polygon(pattern.outline(panel, off)).area for panel in pattern.panels
    }


@pytest.mark.parametrize("name", RECIPES)
def test_what_a_knife_ends_grows_when_it_cuts_too_far_out(name: str) -> None:
    pattern = draw(RECIPES[name])
    before = areas(pattern, {})
    knives = knives_of(pattern)
    assert len(knives) == (20 if "box" in name or "tabs" in name or "round" in name else 12)
    for knife in knives:
        out, inside = areas(pattern, {knife: 0.5}), areas(pattern, {knife: -0.5})
        larger = {panel for panel in before if out[panel] > before[panel] + 1e-9}
        assert larger and larger == {p for p in before if inside[p] < before[p] - 1e-9}
        assert all(out[panel] >= before[panel] - 1e-9 for panel in before)
        assert all("tab" in panel for panel in larger) is ("tab" in knife.name)


def pressing(recipe: Recipe, mm: float) -> float:
    """The deepest that any two panels stand in each other with every cut so far out."""
    pattern = draw(recipe)
    off = dict.fromkeys(knives_of(pattern), mm)
    part = fold(pattern, recipe.stock.crease, recipe.joint_mm, off)
    return max((met.depth_mm for met in meetings(part, -5.0).values()), default=-5.0)


@pytest.mark.parametrize("name", RECIPES)
def test_every_style_leaves_a_knife_its_room(name: str) -> None:
    recipe = RECIPES[name]
    # a round crease swells into the room by less than a third of the caliper
    swell = 0.1 if "round" in name else 0.02
    assert pressing(recipe, ROOM_MM) <= max(pressing(recipe, 0.0), 0.0) + swell


def test_an_end_that_is_further_out_presses_by_what_it_is_over_the_room() -> None:
    recipe = RECIPES["shadow box"]
    assert pressing(recipe, 1.5) == pytest.approx(1.5 - ROOM_MM, abs=0.02)


def test_usual_cuts_change_nothing_and_cost_nothing() -> None:
    """0.30 mm (common practice, no source): once in 15 000 cuts is one 1.19 mm too far out."""
    assert BOARD.knife_u_mm == KNIFE_U_MM == 0.30
    found = check(replace(design("shadow-box", 2.0), parts=(design("shadow-box", 2.0).base,)))
    assert not [one for one in inputs_of(found.assembly) if one.source is Source.KNIFE]
    assert 0.5 * math.erfc((ROOM_MM + FIGHT_MM) / 0.30 / math.sqrt(2.0)) < 1 / 15_000


@pytest.mark.parametrize("u", [0.5, 0.8])
def test_a_rough_knife_spoils_boxes_as_often_as_arithmetic_says(u: float) -> None:
    sure = dict.fromkeys(("score_u_on_grid_mm", "score_u_off_grid_mm", "cut_u_mm"), 0.005)
    tools = replace(BOARD, knife_u_mm=u, fence_u_mm=0.005, **sure)
    found = check(
        replace(design("shadow-box", 2.0), parts=(design("shadow-box", 2.0).base,), tools=tools)
    )
    knives = [one for one in inputs_of(found.assembly) if one.source is Source.KNIFE]
    assert len(knives) == 20
    assert {one.variate.u for one in knives} == {u}
    odds = odds_of(found, 20_000, folded_again=10)
    one = 0.5 * math.erfc((ROOM_MM + FIGHT_MM) / u / math.sqrt(2.0))
    assert odds.good.share == pytest.approx((1.0 - one) ** 8, abs=0.03)
    assert odds.at_ease is not None and odds.at_ease.hits == odds.good.hits, "no lid, no content"
    assert f"{of_100(odds.at_ease)} without a part that fights itself" in odds_text(odds)
    assert odds.agreement.verdicts_alike >= odds.agreement.boxes - 1
    surer = 0.5 * math.erfc((ROOM_MM + FIGHT_MM) / (u / 2) / math.sqrt(2.0))
    prospect = prospect_of(found, 4000)
    advice = advise(prospect, hands_for(prospect, 4000, 0))
    assert advice is not None and advice.change == "cut the base's mitres and tabs twice as exactly"
    assert advice.after.share == pytest.approx((1.0 - surer) ** 8, abs=0.03)
