"""Shoulder boxes against sections that are worked out by hand.

A ring of W by L, score to score, of a paper with caliper t and allowance a is W + 2 a wide outside,
on its seam too, where one wall is drawn shorter by what lies under it. A base of the floor F is
F + 2 a' - 2 t' wide inside, at its tabs too, whose scores are those of their neighbours. The ring
stands on the floor, its top its height and t' above the table, where the base's rim is at D' + a'.
The lid is as wide inside as the base where it has the base's floor; its rim is on the base's when
its floor's inside face is D" + a" - t" above that (the shared design's section 4; worked by hand).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck import kinds
from fitcheck.design.model import Content, Design, Item, Lay
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import Check, check
from fitcheck.folding.fold import fold
from fitcheck.folding.measure import measure
from fitcheck.odds.advice import advise
from fitcheck.odds.odds import hands_for, odds_of, prospect_of
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.quantities import lands_name
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.pattern.pattern import flat_area
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis, Line
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.steps import steps_for
from fitcheck.solids.envelope import envelope_of
from fitcheck.solids.folded import folded_mesh
from fitcheck.stock.bought_sheets import Bought
from fitcheck.styles.collar import CollarSpec
from fitcheck.styles.mates import Into, Over
from fitcheck.styles.part import SizeBy
from tests.agreement.test_odds_closed_forms import BASE_STOCK, LID_STOCK, design, stock

WIDE, LONG = 80.0, 110.0
"""The base's floor."""
EASE = (2.3, 1.6)
JOINT = 0.10
"""Of that design."""
NECK_STOCK = stock("neck paper", 0.26, 0.11)
T, A = NECK_STOCK.caliper_mm, NECK_STOCK.crease_allowance_mm
BASE_T, BASE_A = BASE_STOCK.caliper_mm, BASE_STOCK.crease_allowance_mm
LID_T, LID_A = LID_STOCK.caliper_mm, LID_STOCK.crease_allowance_mm
BASE_DEPTH, LID_DEPTH = 23.0, 15.0
BLOCK = Item(
    "block", kinds.BLOCK, (70.0, 101.0, 30.0), 0.0, None, (0.1, 0.1, 0.1), None, "", frozenset()
)


def shouldered(
    rise: float = 14.0,
    ease: tuple[float, float] = EASE,
    oversize: tuple[float, float] = (0.0, 0.0),
) -> Design:
    """The tray of 80 x 110 x 23, a ring in it and a lid 15 mm deep, each of its own paper."""
    plain = design("tray", 2.0)
    assert plain.lid is not None
    ring = CollarSpec(
        name="collar",
        style="collar",
        stock=NECK_STOCK,
        size_by=SizeBy.EASE,
        size_mm=ease,
        depth_mm=0.0,
        rise_mm=rise,
        seam_mm=9.0,
    )
    parts = (plain.base, replace(plain.lid, size_mm=oversize), ring.beside(plain.base))
    return replace(plain, parts=parts)


def ring_outside(axis: Axis, ease: tuple[float, float] = EASE) -> float:
    """Across the ring, by hand."""
    k = list(Axis).index(axis)
    return (WIDE, LONG)[k] - ease[k] + 2 * A


def inside_of_tray(axis: Axis, caliper: float, allowance: float) -> float:
    """Across a tray on the base's floor, by hand."""
    return (WIDE, LONG)[list(Axis).index(axis)] + 2 * allowance - 2 * caliper


def plays_of(found: Check) -> tuple[dict[str, float], dict[str, float]]:
    """The plays of the ring in the base and of the lid over it."""
    assert found.lid is not None
    (ring,) = found.mates
    return tuple(  # type: ignore[return-value]
        {str(one.axis): one.play_mm for one in slide.travels}
        for slide in (ring.slide, found.lid.slide)
    )


def test_the_ring_is_square_on_its_seam_too() -> None:
    part = assemble(shouldered()).part("collar")
    assert part is not None
    assert part.sizes.outside_mm == pytest.approx([ring_outside(axis) for axis in Axis], abs=1e-9)
    between = [ring_outside(axis) - 2 * T for axis in Axis]
    between[1] -= 2 * (T + JOINT)  # no sheet at hand holds it: two strips, a flap inside each end
    assert part.sizes.inside_mm == pytest.approx(between, abs=1e-9)
    # the flap is wider by what the wall on it is shorter
    strip = 9.0 + 2 * (WIDE - EASE[0]) + 2 * (LONG - EASE[1])
    assert part.pattern.sheet.width_mm == pytest.approx(strip)
    assert part.pattern.sheet.length_mm == part.sizes.height_mm == BASE_DEPTH + 14.0


def test_a_recipe_tells_the_room_that_the_ring_leaves() -> None:
    """80 - 2.3 + 2 x 0.11 - 2 x 0.26 = 77.40 mm between its walls and 110 - 1.6 + 2 x 0.11 - 4 x
    0.26 - 2 x 0.10 = 107.38 mm between the two seams of a ring of two strips, told as no more than
    there is; 23 + 14 = 37 mm deep."""
    box = shouldered()
    made = Sheets(check(box), sheet_job(box, Paper.A4, (), 1, paged=False))
    (inside,) = [text for head, text in recipe_of(made, None, None).needs if head == "Inside"]
    assert inside.startswith("77.4 x 107.3 x 37 mm (")
    assert inside.endswith("width x length x depth of the collar")
    plain = replace(box, parts=box.parts[:1])
    made = Sheets(check(plain), sheet_job(plain, Paper.A4, (), 1, paged=False))
    (inside,) = [text for head, text in recipe_of(made, None, None).needs if head == "Inside"]
    assert inside.endswith("width x length x depth of the base")


def test_all_scores_but_the_flaps_lie_where_sizes_say_from_one_fence() -> None:
    """A ring of whole grooves is scored in grooves; the short wall takes what is left."""
    part = assemble(shouldered(ease=(5.0, 10.0))).part("collar")
    assert part is not None
    rules = {(str(rule.fence), rule.at_mm) for rule in part.scores}
    assert rules == {("left", 9.0 + T + JOINT), ("right", 75.0), ("right", 175.0), ("right", 250.0)}


def test_plays_of_the_neck_in_both_are_those_of_a_section_by_hand() -> None:
    into, over = plays_of(check(shouldered()))
    for axis in Axis:
        outside = ring_outside(axis)
        in_base = inside_of_tray(axis, BASE_T, BASE_A) - outside
        in_lid = inside_of_tray(axis, LID_T, LID_A) - outside
        assert into[axis] == pytest.approx(in_base, abs=1e-6)
        assert over[axis] == pytest.approx(in_lid, abs=1e-6)


@pytest.mark.parametrize("rise", [3.7, 14.0, 14.69, 15.4, 19.3])
def test_the_lid_ends_on_the_rim_or_on_the_neck_whichever_is_first(rise: float) -> None:
    found = check(shouldered(rise))
    lid = found.lid
    assert lid is not None
    (ring,) = found.mates
    rim = BASE_DEPTH + BASE_A
    top = BASE_DEPTH + rise + BASE_T
    reach = LID_DEPTH + LID_A - LID_T
    line = top - (rim + reach)
    gap = max(0.0, line)
    # a wall that is pushed out leans and stands up to some micrometres higher
    assert ring.stands_out_mm == pytest.approx(top - rim, abs=6e-3)
    assert lid.line_mm == pytest.approx(line, abs=6e-3)
    assert lid.gap_mm == pytest.approx(gap, abs=6e-3)
    assert lid.closed_height_mm == pytest.approx(rim + gap + reach + LID_T, abs=6e-3)
    assert lid.overlap_mm == pytest.approx(top - rim - gap, abs=6e-3)
    assert lid.reveal_mm == pytest.approx(rim, abs=6e-3)
    codes = [one.code for one in found.findings]
    assert ("lid-gap" in codes) == (gap > 0.05)
    assert found.fits


def test_lid_and_base_are_apart_at_the_line_by_their_papers() -> None:
    found = check(shouldered())
    across = LID_A - BASE_A
    assert found.steps_mm == pytest.approx((across, across + LID_T - BASE_T), abs=1e-3)
    into, over = plays_of(found)
    most = max(
        abs(found.steps_mm[k]) + 0.5 * (into[axis] + over[axis]) for k, axis in enumerate(Axis)
    )
    assert found.most_step_mm == pytest.approx(most)


def test_contents_stand_between_the_walls_of_the_ring() -> None:
    own = replace(shouldered(), contents=(Content(BLOCK, 1, Lay.FLAT),))
    found = check(own)
    (fit,) = found.contents
    assert fit.slack is not None
    assert fit.slack.width_mm == pytest.approx(ring_outside(Axis.WIDTH) - 2 * T - 70.0, abs=1e-6)
    # its round corner stands in the seam's corner too, but the block is short of that
    long = ring_outside(Axis.LENGTH) - 2 * T - 2 * (T + JOINT) - 101.0
    assert fit.slack.length_mm == pytest.approx(long, abs=0.02)
    room = BASE_DEPTH + BASE_A - BASE_T + LID_DEPTH + LID_A - LID_T
    assert fit.slack.height_mm == pytest.approx(room - 30.0, abs=6e-3)
    assert found.cavity.rim_mm == pytest.approx(BASE_DEPTH + 14.0, abs=1e-6)


def test_a_lid_that_is_wider_all_round_goes_down_past_the_base() -> None:
    found = check(shouldered(oversize=(3.0, 4.0)))
    lid = found.lid
    assert lid is not None
    assert lid.line_mm is None
    assert lid.gap_mm is None
    assert "lid-passes-base" in [one.code for one in found.findings]
    base = inside_of_tray(Axis.WIDTH, 0.0, BASE_A)
    lid_inside = inside_of_tray(Axis.WIDTH, LID_T, LID_A) + 3.0
    _, over = plays_of(found)
    assert over["width"] == pytest.approx(lid_inside - base, abs=1e-3)


def test_a_neck_without_ease_presses_in_both_and_is_not_right() -> None:
    found = check(shouldered(ease=(0.3, 1.6)))
    into, over = plays_of(found)
    outside = ring_outside(Axis.WIDTH, (0.3, 1.6))
    assert into["width"] == pytest.approx(inside_of_tray(Axis.WIDTH, BASE_T, BASE_A) - outside)
    assert over["width"] == pytest.approx(inside_of_tray(Axis.WIDTH, LID_T, LID_A) - outside)
    assert not found.fits
    faults = [one.code for one in found.findings if one.severity == "fault"]
    assert faults == ["lid-binds", "mate-binds"]


def test_both_mates_are_told() -> None:
    found = check(shouldered(15.4))
    assert found.design.mates == (Over("lid", "collar"), Into("collar", "base"))
    data = check_data(found)
    assert [(one["mover"], one["holder"]) for one in data["mates"]] == [
        ("lid", "collar"),
        ("collar", "base"),
    ]
    assert data["lid"]["gap_mm"] == pytest.approx(0.73 - 0.03, abs=0.01)
    assert data["lid"]["limiting"]["pieces"][1].startswith("collar: ")
    said = check_text(found)
    assert "0.70 mm between lid and base" in said
    assert "on the collar's" in said


def test_odds_of_a_shoulder_box_hold_in_boxes_that_are_folded_anew() -> None:
    found = check(shouldered(14.8, (2.3, 2.0)))
    odds = odds_of(found, 10_000, folded_again=60)
    assert odds.lid is not None
    assert odds.lid.line is not None
    assert 0.05 < odds.lid.line.closed.share < 0.95
    assert odds.agreement.trusted
    named = {one.name: one for one in odds.agreement.refolded}
    assert named["what the lid's rim is short of the base's"].worst_mm < 0.02


def test_walls_of_two_lengths_make_a_trapezoid_and_no_lozenge() -> None:
    """Hands square a ring as they press it in: opposite walls that differ by d lean alike.

    Of walls W, L + d / 2, W, L - d / 2 the long ones stay parallel, as far apart as the others
    are long but for W (1 - cos(d / 2 W)), a thousandth of a millimetre; the ring is longer by
    d / 2. Seen from one short wall's own place the long ones stood askew by d L / 2 W: 0.28 mm
    here, and of a box three times as long as wide 60 came out right in 100 instead of 91. Worked
    by hand.
    """
    d, wide, long = 0.4, WIDE - EASE[0], LONG - EASE[1]
    (ring,) = [one for one in assemble(shouldered()).parts if one.recipe.part == "collar"]
    folds = {
        round(one.at_mm, 6): one.rule for one in plan_of(ring.pattern).scores if one.at_mm > 20
    }
    off: dict[Line, float] = {folds[round(at, 6)]: 0.5 * d for at in (wide + long, 2 * wide + long)}
    sizes = []
    for shifts in ({}, off):
        part = fold(ring.pattern, NECK_STOCK.crease, JOINT, shifts)
        low, high = part.pieces.bounds
        across, _, along = (high.max(axis=0) - low.min(axis=0)).tolist()
        sizes.append((across, along))
    (across, along), (askew, longer) = sizes
    assert askew == pytest.approx(across, abs=0.01)
    assert longer == pytest.approx(along + 0.5 * d, abs=0.01)


def test_the_ring_is_told_to_be_stood_in() -> None:
    own = shouldered()
    part = assemble(own).part("collar")
    assert part is not None
    steps = steps_for(part.pattern, plan_of(part.pattern), "paper", None, own.tools, own.unit)
    told = instructions_for(steps, own.unit)
    assert "press it down into the base" in told[-1].text


def test_a_rise_follows_the_base_and_a_height_does_not() -> None:
    own = shouldered(14.0)
    deeper = replace(own.base, depth_mm=BASE_DEPTH + 5.0)
    ring = own.with_parts(deeper).part("collar")
    assert ring is not None
    assert ring.depth_mm == BASE_DEPTH + 19.0
    fixed = replace(own.parts[2], rise_mm=None)
    ring = own.with_parts(deeper, fixed).part("collar")
    assert ring is not None
    assert ring.depth_mm == BASE_DEPTH + 14.0


BOX = """
format = 1
title = "Neck"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [60, 75]
depth = 25
[collar]
style = "collar"
stock = "cover-80"
"""


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("ease = 1.5\nrise = 10\nheight = 35\n", "height and rise are given together"),
        ("ease = 1.5\n", "its height is missing"),
        ("ease = 1.5\nheight = 24\n", "does not stand above the base's wall"),
        ("rise = 10\n", "its size is missing"),
        ("ease = 1.5\nrise = 10\nseam = 70\n", "wider than the wall it is glued to"),
        ("ease = [1.5, 74.5]\nrise = 10\n", "too small to fold"),
        ("ease = [1.5, 74.1]\nrise = 10\n", "too short to fold"),
        ("ease = 1.5\nraise = 10\n", "unknown key"),
    ],
)
def test_what_cannot_be_is_one_line(keys: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "neck.toml"
    path.write_text(BOX + keys)
    with pytest.raises(InputError) as error:
        read_design(path)
    assert any(words in line for line in error.value.lines), error.value.lines


def test_the_folded_ring_is_one_printable_solid_that_stands_up() -> None:
    """Its volume is its paper's, flat area times caliper, where k = 1/2 (exact by its bends)."""
    round_ones = replace(NECK_STOCK, crease_allowance_mm=0.785 * T)
    own = shouldered()
    own = replace(own, tools=replace(own.tools, sheets=(Bought("roll", 500.0, 500.0),)))
    part = assemble(own.with_parts(replace(own.parts[2], stock=round_ones))).part("collar")
    assert part is not None
    paper = flat_area(part.pattern) * T
    assert part.folded.volume_mm3 == pytest.approx(paper, rel=1e-9)
    mesh = folded_mesh(part.folded)
    assert mesh.volume_mm3 == pytest.approx(part.folded.volume_mm3, rel=2e-3)
    assert mesh.size_mm == pytest.approx((*part.sizes.outside_mm, part.sizes.height_mm), abs=0.01)
    assert envelope_of(part.folded, part.sizes).size_mm == pytest.approx(mesh.size_mm, abs=0.01)


def test_advice_eases_a_ring_that_is_too_tight() -> None:
    prospect = prospect_of(check(shouldered(ease=(1.1, 1.2))), 4000)
    advice = advise(prospect, hands_for(prospect, 4000, 0))
    assert advice is not None
    assert advice.after.share > advice.before.share + 0.3
    assert (
        "1.5 mm of ease along the width and 2 mm along the length instead of 1.1" in advice.change
    )


def lid_outside(axis: Axis, over: float) -> float:
    """Across a lid at its rim, by hand: two walls are pushed out by their tab and its glue."""
    k = list(Axis).index(axis)
    pushed = 2 * (LID_T + JOINT) if axis is Axis.LENGTH else 0.0
    return (WIDE, LONG)[k] + over + 2 * LID_A + pushed


@pytest.mark.parametrize(("wide", "long"), [(0.0, 0.0), (-1.4, -0.6), (-1.8, -1.4), (-4.0, 0.0)])
def test_a_lid_that_is_smaller_than_the_bases_inside_goes_down_in_it(
    wide: float, long: float
) -> None:
    """It needs both: along an axis where it is as wide as the base its rim finds the base's.

    The ring has room enough in the base for a wall of the lid on each side.
    """
    found = check(shouldered(ease=(5.0, 5.0), oversize=(wide, long)))
    lid = found.lid
    assert lid is not None and lid.lands_mm is not None
    for axis, over, lands in zip(Axis, (wide, long), lid.lands_mm, strict=True):
        by_hand = lid_outside(axis, over) - inside_of_tray(axis, BASE_T, BASE_A)
        assert lands == pytest.approx(by_hand, abs=6e-3)
    inside = max(lid.lands_mm) < 0.0
    assert inside == lid.inside_base == ((wide, long) == (-1.8, -1.4))
    codes = [one.code for one in found.findings]
    assert ("lid-inside-base" in codes) == inside
    assert (lid.gap_mm is None) == inside
    assert not (found.fits and inside)


@pytest.mark.parametrize("over", [-0.9, -0.6])
def test_how_often_a_lid_goes_down_in_the_base_is_counted(over: float) -> None:
    """Each box folded anew says by its own sizes whether the lid's rim finds the base's."""
    one = shouldered(ease=(5.0, 5.0), oversize=(2 * over, over))
    prospect = take_prospect(check(one))
    asked, forms = prospect.asked()
    rng = np.random.default_rng(3)
    off = rng.standard_normal((len(forms.inputs), 200))
    own = [one.variate for one in forms.inputs]
    by = np.array([v.mean for v in own])[:, None] + off * np.array([v.u for v in own])[:, None]
    said = asked.outlook.evaluate(forms, by)
    rows = [asked.outlook.row(lands_name(axis)) for axis in Axis]
    names = [one.name for one in forms.inputs]
    made = prospect.workshop.make_all(
        [dict(zip(names, column.tolist(), strict=True)) for column in by.T]
    )
    folded = []
    for box in made:
        assert box is not None and box.lid is not None
        folded.append(np.subtract(measure(box.lid).outside_mm, measure(box.base).inside_mm))
    truth = np.array(folded).T
    np.testing.assert_allclose(said[rows], truth, atol=0.03)
    falls = float(np.mean(truth.max(axis=0) < 0.0))
    assert 0.05 < falls < 0.95
    odds = odds_of(prospect.check, 4_000, folded_again=0)
    assert odds.lid is not None and odds.lid.line is not None
    assert odds.lid.line.closed.share == pytest.approx(1.0 - falls, abs=0.12)
    assert odds.good.share < 1.0 - falls + 0.12
