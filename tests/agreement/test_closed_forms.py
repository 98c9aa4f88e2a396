"""The folded part against the closed forms of a crease, a glued corner and a rolled frame.

The closed forms are derived on paper from the bend allowance (design card, section 4) and know
nothing of panels, trees or convex pieces: they are a second route to every size and play.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.fit.assembly import make_part
from fitcheck.fit.lid import fit_lid
from fitcheck.pattern.pattern import flat_area
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import across, crosswise, paper, papers, shadow_box, shadow_boxes, tray, trays

EXACT_MM = 1e-6
FEW = settings(max_examples=40, deadline=None)


def push(recipe: Recipe) -> float:
    """p = t + g - s."""
    return recipe.stock.caliper_mm + recipe.joint_mm - recipe.tab_setback_mm


def floor_size(recipe: Recipe, axis: Axis) -> float:
    return across(axis, (recipe.width_mm, recipe.length_mm))


@FEW
@given(trays())
def test_tray(recipe: Recipe) -> None:
    t, a = recipe.stock.caliper_mm, recipe.stock.crease_allowance_mm
    sizes = make_part(recipe).sizes
    over_tabbed, over_neighbours = crosswise(recipe.tabs), recipe.tabs
    size = floor_size(recipe, over_tabbed)
    assert across(over_tabbed, sizes.outside_mm) == pytest.approx(size + 2 * a, abs=EXACT_MM)
    assert across(over_tabbed, sizes.inside_mm) == pytest.approx(size - 2 * (t - a), abs=EXACT_MM)
    size = floor_size(recipe, over_neighbours)
    rim = size + 2 * a + 2 * push(recipe)
    assert across(over_neighbours, sizes.outside_mm) == pytest.approx(rim, abs=EXACT_MM)
    least = size - 2 * (t - a) - 2 * recipe.tab_setback_mm
    assert across(over_neighbours, sizes.inside_mm) == pytest.approx(least, abs=EXACT_MM)
    # a leaning wall lifts one edge of its rim, by no more than twice the bend's outside radius
    # times its lean
    outer = t + recipe.stock.crease.radius_mm
    lift = 2.0 * outer * abs(push(recipe)) / recipe.depth_mm
    assert -EXACT_MM <= sizes.height_mm - (recipe.depth_mm + a) <= lift + EXACT_MM
    assert sizes.depth_mm == pytest.approx(sizes.height_mm - t, abs=EXACT_MM)


@FEW
@given(trays())
def test_upright_tray(recipe: Recipe) -> None:
    """With the tabs set back by caliper and joint no wall leans, and the height is exact."""
    upright = replace(recipe, tab_setback_mm=recipe.stock.caliper_mm + recipe.joint_mm)
    t, a = upright.stock.caliper_mm, upright.stock.crease_allowance_mm
    sizes = make_part(upright).sizes
    for axis in Axis:
        size = floor_size(upright, axis)
        assert across(axis, sizes.outside_mm) == pytest.approx(size + 2 * a, abs=EXACT_MM)
        assert across(axis, sizes.floor_outside_mm) == pytest.approx(size + 2 * a, abs=EXACT_MM)
    assert sizes.height_mm == pytest.approx(upright.depth_mm + a, abs=EXACT_MM)
    assert sizes.depth_mm == pytest.approx(upright.depth_mm - (t - a), abs=EXACT_MM)


@FEW
@given(shadow_boxes())
def test_shadow_box(recipe: Recipe) -> None:
    t, a = recipe.stock.caliper_mm, recipe.stock.crease_allowance_mm
    part = make_part(recipe)
    sizes = part.sizes
    over_tabbed, over_neighbours = crosswise(recipe.tabs), recipe.tabs
    size = floor_size(recipe, over_tabbed)
    assert across(over_tabbed, sizes.outside_mm) == pytest.approx(size + 2 * a, abs=EXACT_MM)
    opening = size - 2 * recipe.frame_mm - 2 * a
    assert across(over_tabbed, sizes.inside_mm) == pytest.approx(opening, abs=EXACT_MM)
    rim = floor_size(recipe, over_neighbours) + 2 * a + 2 * push(recipe)
    assert across(over_neighbours, sizes.outside_mm) == pytest.approx(rim, abs=EXACT_MM)
    side = recipe.depth_mm + recipe.frame_mm + recipe.inner_wall_mm + recipe.flap_mm
    assert part.pattern.sheet.width_mm == pytest.approx(recipe.width_mm + 2 * side, abs=EXACT_MM)
    assert sizes.corner_rise_mm == pytest.approx(t + recipe.joint_mm, abs=EXACT_MM)


@FEW
@given(shadow_boxes())
def test_upright_shadow_box(recipe: Recipe) -> None:
    """With the tabs set back by caliper and joint nothing leans, and all sides are exact."""
    upright = replace(recipe, tab_setback_mm=recipe.stock.caliper_mm + recipe.joint_mm)
    t, a = upright.stock.caliper_mm, upright.stock.crease_allowance_mm
    sizes = make_part(upright).sizes
    for axis in Axis:
        size = floor_size(upright, axis)
        assert across(axis, sizes.outside_mm) == pytest.approx(size + 2 * a, abs=EXACT_MM)
        assert across(axis, sizes.floor_outside_mm) == pytest.approx(size + 2 * a, abs=EXACT_MM)
        opening = size - 2 * upright.frame_mm - 2 * a
        assert across(axis, sizes.inside_mm) == pytest.approx(opening, abs=EXACT_MM)
    assert sizes.height_mm == pytest.approx(upright.depth_mm + 2 * a, abs=EXACT_MM)
    assert sizes.depth_mm == pytest.approx(upright.depth_mm + 2 * a - t, abs=EXACT_MM)


@FEW
@given(trays() | shadow_boxes(), papers(), st.floats(0.5, 6.0), st.sampled_from(Axis))
def test_play_of_a_tray_over_a_base(
    base: Recipe, lid_paper: Stock, oversize: float, lid_tabs: Axis
) -> None:
    base = replace(base, tab_setback_mm=0.0)
    lid = tray(
        base.width_mm + oversize,
        base.length_mm + oversize,
        min(8.0, base.depth_mm),
        lid_paper,
        tabs=lid_tabs,
        setback=0.1,
        part="lid",
    )
    found = fit_lid(make_part(base), make_part(lid), Bands(0.15, 0.20, 1.50))
    sharp = lid_paper.crease.radius_mm == base.stock.crease.radius_mm == 0.0
    bite = lid.stock.caliper_mm - lid.stock.crease_allowance_mm
    for axis in Axis:
        inside = oversize - 2 * bite
        if axis is lid_tabs:
            inside -= 2 * lid.tab_setback_mm
        outside = 2 * base.stock.crease_allowance_mm
        if axis is base.tabs:
            outside += 2 * push(base)
        play = found.slide.travel(axis).play_mm
        if sharp:
            assert play == pytest.approx(inside - outside, abs=EXACT_MM)
        else:  # round corners take room away, but a base's may let the lid's tabs pass beside it
            widest = oversize - 2 * bite - 2 * base.stock.crease_allowance_mm
            # and a lid's wall that leans starts beyond its round crease, where it is wider already
            above = 2.0 * (lid_paper.caliper_mm + lid_paper.crease.radius_mm) / lid.depth_mm
            assert play <= widest + 2.0 * push(lid) * above + EXACT_MM


@pytest.mark.parametrize("recipe", [tray(stock=paper(0.3)), shadow_box(stock=paper(0.3))])
def test_paper_keeps_its_volume_when_the_neutral_line_is_in_the_middle(recipe: Recipe) -> None:
    part = make_part(recipe)
    assert recipe.stock.crease.neutral == pytest.approx(0.5, abs=1e-12)
    flat = flat_area(part.pattern) * recipe.stock.caliper_mm
    assert part.folded.volume_mm3 == pytest.approx(flat, rel=1e-12)


@FEW
@given(st.floats(0.1, 0.5), st.sampled_from(["tray", "shadow-box"]))
def test_volume_over_calipers(caliper: float, style: str) -> None:
    recipe = tray(stock=paper(caliper)) if style == "tray" else shadow_box(stock=paper(caliper))
    part = make_part(recipe)
    assert part.folded.volume_mm3 == pytest.approx(flat_area(part.pattern) * caliper, rel=1e-12)


def test_volume_departs_when_the_neutral_line_does() -> None:
    """The check above can fail: a crease with k = 0.9 is shorter outside than its flat strip."""
    part = make_part(tray(stock=paper(0.3, 0.1)))
    flat = flat_area(part.pattern) * 0.3
    assert part.folded.volume_mm3 < flat - 1.0


@pytest.mark.parametrize("excess", [-1.0, -0.3, 0.3, 1.0])
def test_frame_tilts_by_the_rule(excess: float) -> None:
    """tilt = (h2 - (h - t - g)) / (w + 2a - t), to first order."""
    level = shadow_box()
    recipe = shadow_box(inner_wall=level.inner_wall_mm + excess)
    part = make_part(recipe)
    tilt = part.folded.angles["back wall"] + part.folded.angles["back frame"] - math.pi
    stock = recipe.stock
    rule = excess / (recipe.frame_mm + 2 * stock.crease_allowance_mm - stock.caliper_mm)
    assert tilt == pytest.approx(-rule, rel=0.06)


@pytest.mark.parametrize("oversize", [0.0, -1.0, -4.0])
def test_a_lid_that_is_too_small_on_both_axes_presses_by_the_closed_form(oversize: float) -> None:
    """Also where the base's walls stand outside the lid's tabs altogether."""
    stock = paper(0.33, 0.2)
    base = shadow_box(stock=stock)
    lid = tray(82.55 + oversize, 114.3 + oversize, 15.875, paper(0.18, 0.1), part="lid")
    found = fit_lid(make_part(base), make_part(lid), Bands(0.15, 0.20, 1.50))
    length = oversize - 2 * 0.08 - 2 * 0.2
    assert found.slide.travels[1].play_mm == pytest.approx(length, abs=EXACT_MM)
    assert found.slide.travels[0].play_mm == pytest.approx(length - 2 * push(base), abs=1e-3)


def test_measured_give_scales_the_push_of_glued_corners() -> None:
    stock = replace(paper(0.33, 0.2), corner_give=0.6)
    plain, giving = (make_part(tray(stock=s)).sizes for s in (paper(0.33, 0.2), stock))
    less = plain.outside_mm[1] - giving.outside_mm[1]
    assert less == pytest.approx(2 * 0.4 * push(tray(stock=stock)), abs=EXACT_MM)
    assert giving.outside_mm[0] == pytest.approx(plain.outside_mm[0], abs=EXACT_MM)


@pytest.mark.parametrize("share", [0.7, 0.8, 1.0])
def test_a_round_crease_does_not_take_the_play_at_the_seat(share: float) -> None:
    """The lid's walls leave what the closed form says; its floor's crease only lifts its seat."""
    base = tray(60.0, 80.0, 25.0, paper(0.30))
    plays = []
    for oversize in (1.3, 1.5, 1.7):
        lid = tray(60 + oversize, 80 + oversize, 18.0, paper(0.30, share * 0.30), part="lid")
        found = fit_lid(make_part(base), make_part(lid), Bands(0.15, 0.20, 1.50))
        bite = lid.stock.caliper_mm - lid.stock.crease_allowance_mm
        walls = oversize - 2 * bite - 2 * base.stock.crease_allowance_mm - 2 * push(base)
        assert found.slide.travels[1].play_mm <= walls + EXACT_MM
        plays.append(found.slide.travels[1].play_mm)
    assert plays[1] - plays[0] == pytest.approx(0.2, abs=1e-6)
    assert plays[2] - plays[1] == pytest.approx(0.2, abs=1e-6)


@pytest.mark.parametrize("oversize", [-0.5, -3.0, -20.0])
def test_a_lid_that_falls_into_the_base_is_a_verdict_and_no_failure(oversize: float) -> None:
    base = make_part(tray(60.0, 80.0, 25.0))
    lid = make_part(tray(60 + oversize, 80 + oversize, 18.0, part="lid"))
    found = fit_lid(base, lid, Bands(0.15, 0.20, 1.50))
    assert found.verdict is LidVerdict.BINDS
