"""A paper that folds otherwise along its grain than across it, against closed forms by hand.

A wall's score that runs along the sheet's length folds along a grain that lies along the length,
and moves the width: W + 2 a(along) outside, W - 2 (t - a(along)) inside. The length goes by the
folds across the grain. Lopsided boxes, or the two would look alike.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from fitcheck.design.model import Bands, Design, LidVerdict
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import check
from fitcheck.fit.lid import fit_lid
from fitcheck.odds.inputs import Source
from fitcheck.odds.landing import play_name
from fitcheck.odds.odds import odds_of
from fitcheck.odds.propagate import linear_law
from fitcheck.odds.prospect import take_prospect
from fitcheck.pattern.pattern import flat_area
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import GrainAllowance, Stock
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.styles.walled import WalledRecipe as Recipe
from fitcheck.styles.walled import WalledSpec
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import BOARD, DIGITS, u_of_score
from tests.boxes import paper, shadow_box, tray

T, ALONG, ACROSS, JOINT = 0.33, 0.12, 0.19, 0.10
EXACT_MM = 1e-6


def grained(t: float = T, along: float = ALONG, across: float = ACROSS) -> Stock:
    mean = 0.5 * (along + across)
    return replace(paper(t, mean), by_grain=GrainAllowance(along, 0.006, across, 0.009))


def by_axis(grain: Axis, along: float = ALONG, across: float = ACROSS) -> dict[Axis, float]:
    """The allowance that moves each size: walls left and right fold along the length."""
    other = Axis.WIDTH if grain is Axis.LENGTH else Axis.LENGTH
    return {other: along, grain: across}


@pytest.mark.parametrize("grain", Axis)
@pytest.mark.parametrize("tabs", Axis)
def test_a_tray(grain: Axis, tabs: Axis) -> None:
    recipe = replace(tray(61.0, 97.0, 23.0, grained(), tabs=tabs), grain=grain)
    sizes, a = make_part(recipe).sizes, by_axis(grain)
    for k, axis in enumerate((Axis.WIDTH, Axis.LENGTH)):
        size = (61.0, 97.0)[k]
        # walls that run along the tabs' axis carry them and stand; the others are pushed out
        pushed = 2 * (T + JOINT) if axis is tabs else 0.0
        assert sizes.outside_mm[k] == pytest.approx(size + 2 * a[axis] + pushed, abs=EXACT_MM)
        assert sizes.inside_mm[k] == pytest.approx(size - 2 * (T - a[axis]), abs=EXACT_MM)


@pytest.mark.parametrize("grain", Axis)
def test_a_shadow_box(grain: Axis) -> None:
    """Opening across the walls that carry tabs W - 2w - 2a; the frame's height H + 2a of its own
    walls' folds (design card, section 4)."""
    recipe = replace(shadow_box(83.0, 111.0, 22.0, grained(), setback=T + JOINT), grain=grain)
    part, a = make_part(recipe), by_axis(grain)
    for k, axis in enumerate((Axis.WIDTH, Axis.LENGTH)):
        size = (83.0, 111.0)[k]
        assert part.sizes.inside_mm[k] == pytest.approx(size - 2 * 9.525 - 2 * a[axis], abs=0.005)
        assert part.sizes.outside_mm[k] == pytest.approx(size + 2 * a[axis], abs=1e-3)
    assert part.sizes.height_mm == pytest.approx(22.0 + 2 * max(a.values()), abs=2e-3)


def test_a_round_fold_one_way_and_a_sharp_one_the_other() -> None:
    """Above 0.6073 t a crease opens a radius: r = (a - 0.6073 t) / (1 - pi / 4)."""
    stock = grained(0.4, along=0.10, across=0.34)
    part = make_part(replace(tray(61.0, 97.0, 23.0, stock), grain=Axis.LENGTH))
    radius = (0.34 - (1 - math.pi / 8) * 0.4) / (1 - math.pi / 4)
    found = {bend.name: bend.radius_mm for bend in part.folded.bends}
    assert found["floor / left wall"] == found["floor / right wall"] == 0.0
    assert found["floor / front wall"] == pytest.approx(radius, abs=1e-12)
    assert found["floor / back wall"] == pytest.approx(radius, abs=1e-12)


def test_paper_is_neither_lost_nor_won_where_the_neutral_line_is_in_the_middle() -> None:
    """k = 1/2 both ways (round folds): flat area times caliper is the folded volume exactly."""
    stock = grained(0.4, along=0.26, across=0.34)
    part = make_part(replace(tray(61.0, 97.0, 23.0, stock), grain=Axis.WIDTH))
    assert part.folded.volume_mm3 == pytest.approx(flat_area(part.pattern) * 0.4, rel=1e-9)


@pytest.mark.parametrize("stock", [grained(along=0.155, across=0.155), grained()])
@pytest.mark.parametrize("draw", [tray, shadow_box])
def test_alike_both_ways_or_without_a_grain_it_is_the_box_of_before(
    stock: Stock, draw: object
) -> None:
    plain: Recipe = draw(83.0, 111.0, 22.0, replace(stock, by_grain=None))  # type: ignore[operator]
    own = replace(plain, stock=stock)
    if stock.by_grain is not None and stock.by_grain.along_mm == stock.by_grain.across_mm:
        own = replace(own, grain=Axis.LENGTH)
    before, after = make_part(plain), make_part(own)
    assert after.sizes == before.sizes
    assert [b.pose.tolist() for b in after.folded.bends] == [
        b.pose.tolist() for b in before.folded.bends
    ]


def part_spec(name: str, stock: Stock, depth: float, grain: Axis | None) -> PartSpec:
    return WalledSpec(
        name=name,
        style="tray",
        stock=stock,
        size_by=SizeBy.FLOOR if name == "base" else SizeBy.OVERSIZE,
        size_mm=(61.0, 97.0) if name == "base" else (2.0, 2.0),
        depth_mm=depth,
        tabs=Axis.LENGTH,
        tab_setback_mm=0.0,
        grain=grain,
    )


def design(base_grain: Axis | None = Axis.LENGTH, lid_grain: Axis | None = Axis.WIDTH) -> Design:
    base = replace(grained(), name="base paper", caliper_u_mm=0.004)
    lid = replace(grained(0.2, 0.05, 0.11), name="lid paper", caliper_u_mm=0.004)
    return Design(
        name="test",
        title="Test box",
        unit=Unit.MM,
        tools=BOARD,
        joint_mm=JOINT,
        joint_u_mm=0.03,
        bands=Bands(0.15, 0.20, 1.50),
        want=frozenset({LidVerdict.SNUG, LidVerdict.SLIDES}),
        parts=(
            part_spec("base", base, 23.0, base_grain),
            part_spec("lid", lid, 15.0, lid_grain),
        ),
        contents=(),
        path=None,
    )


def by_hand(axis: Axis) -> tuple[float, float]:
    """Play and its standard uncertainty: base's grain along the length, lid's along the width."""
    base = by_axis(Axis.LENGTH)[axis], (0.006 if axis is Axis.WIDTH else 0.009)
    lid = by_axis(Axis.WIDTH, 0.05, 0.11)[axis], (0.009 if axis is Axis.WIDTH else 0.006)
    value = 2.0 - 2 * (0.2 - lid[0]) - 2 * base[0]
    squares = [BOARD.cut_u_mm**2 + 2 * u_of_score(depth) ** 2 for depth in (23.0, 15.0)]
    squares += [(2 * base[1]) ** 2, (2 * lid[1]) ** 2, (2 * 0.004) ** 2]
    if axis is Axis.LENGTH:
        value -= 2 * (T + JOINT)
        squares += [(2 * 0.004) ** 2, (2 * 0.03) ** 2]
    return value, math.sqrt(sum(squares))


@pytest.mark.parametrize("axis", Axis)
def test_the_play_and_its_odds(axis: Axis) -> None:
    found = take_prospect(check(design()))
    forms = found.forms()
    value, gradient = found.outlook.sensitivities(forms, play_name(axis))
    law = linear_law([one.variate for one in forms.inputs], value, gradient)
    expected = by_hand(axis)
    assert law.value == pytest.approx(expected[0], abs=1e-6)
    assert law.u == pytest.approx(expected[1], rel=DIGITS)
    lid = fit_lid(found.check.assembly.base, found.check.assembly.lid, Bands(0.15, 0.20, 1.50))  # type: ignore[arg-type]
    play = lid.slide.travels[0] if axis is Axis.WIDTH else lid.slide.travels[1]
    assert play.play_mm == pytest.approx(expected[0], abs=1e-6)


def test_a_part_that_gives_no_grain_folds_alike_either_way() -> None:
    found = take_prospect(check(design(base_grain=None)))
    creases = [one for one in found.workshop.inputs if one.source is Source.CREASE]
    assert [(one.item, one.along) for one in creases] == [
        ("base paper", None),
        ("lid paper", True),
        ("lid paper", False),
    ]
    assert len({one.name for one in creases}) == 3


def test_boxes_folded_anew_agree_with_the_limits() -> None:
    odds = odds_of(check(design()), 2000, folded_again=20)
    assert odds.agreement.trusted
    assert odds.agreement.verdicts_alike == odds.agreement.boxes == 20
