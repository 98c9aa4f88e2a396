"""Trays and lids whose corners are folded without a cut, against sections worked out by hand.

Two layers lie behind a wall of the second pair, each of caliper t with the glue's g before it: they
push it out by 2 (t + g) at its rim. What is uppermost hangs on a wall of the first pair, folded at
its own score, so its face stands t - a inside the other pair's score as a tab's does, and the room
between the corners is the room of a tray with cut corners.
"""

from __future__ import annotations

import math
from dataclasses import fields, replace
from pathlib import Path

import pytest
import trimesh

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.drawing.shapes import LineKind
from fitcheck.errors import InputError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import check
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.fold import Making, fold, fold_all
from fitcheck.odds.odds import odds_of
from fitcheck.pattern.laid import laid
from fitcheck.pattern.pattern import flat_area
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.actions import GlueCorner
from fitcheck.sheet.areas import glue_outlines, waste_pieces
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.layers import TurnInCorner
from fitcheck.sheet.steps import steps_for, turns_of
from fitcheck.solids.folded import folded_mesh
from fitcheck.styles import draw
from fitcheck.styles.part import PartSpec
from fitcheck.styles.tray import FoldedRecipe, FoldedSpec
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import BASE_STOCK, BOARD, LID_DEPTH, LID_STOCK, design
from tests.boxes import paper

G = 0.10


def recipe(
    size: tuple[float, float, float] = (80.0, 110.0, 23.0),
    caliper: float = 0.33,
    allowance: float = 0.15,
    tabs: Axis = Axis.LENGTH,
) -> FoldedRecipe:
    """A tray of an uncut sheet."""
    return FoldedRecipe(
        part="base",
        style="tray",
        stock=paper(caliper, allowance),
        width_mm=size[0],
        length_mm=size[1],
        depth_mm=size[2],
        joint_mm=G,
        tabs=tabs,
    )


def folded(spec: PartSpec) -> FoldedSpec:
    """The same part with folded corners."""
    return FoldedSpec(**{one.name: getattr(spec, one.name) for one in fields(spec)})


def box(*parts: str, oversize: tuple[float, float] = (2.0, 2.6)) -> Design:
    """The tray of 80 x 110 x 23 under its lid, some of the two with folded corners."""
    plain = design("tray", 2.0)
    assert plain.lid is not None
    both = (plain.base, replace(plain.lid, size_mm=oversize))
    return replace(plain, parts=tuple(folded(p) if p.name in parts else p for p in both))


@pytest.mark.parametrize("tabs", Axis)
@pytest.mark.parametrize(("caliper", "allowance"), [(0.33, 0.15), (0.222, 0.1348), (0.4, 0.3)])
def test_two_layers_push_a_wall_out_and_leave_the_room_as_it_was(
    tabs: Axis, caliper: float, allowance: float
) -> None:
    made = recipe(caliper=caliper, allowance=allowance, tabs=tabs)
    part = make_part(made)
    floor = (made.width_mm, made.length_mm)
    beside, pushed = (0, 1) if tabs is Axis.LENGTH else (1, 0)
    sizes, layers = part.sizes, 2 * (caliper + G)
    assert made.corner_push_mm == pytest.approx(layers)
    assert sizes.outside_mm[beside] == pytest.approx(floor[beside] + 2 * allowance, abs=1e-9)
    want = floor[pushed] + 2 * (allowance + layers)
    assert sizes.outside_mm[pushed] == pytest.approx(want, abs=1e-9)
    for axis in range(2):
        inside = floor[axis] - 2 * (caliper - allowance)
        assert sizes.inside_mm[axis] == pytest.approx(inside, abs=1e-6)
    assert self_fit(part.folded) == ()


@pytest.mark.parametrize(("caliper", "allowance"), [(0.33, 0.15), (0.222, 0.1348), (1.5, 0.911)])
def test_a_tray_is_as_high_as_its_walls_not_as_the_tips_of_its_corners(
    caliper: float, allowance: float
) -> None:
    """H + a outside, H - (t - a) inside, as of a tray whose corners are cut.

    A wall that leans by 2 (t + g) / H lifts an edge by up to its caliper, the glue and half a fold
    of its layers times that; the fold's inside at its tip stood 0.5 t and more over the rim.
    """
    size = (150.0, 180.0, 30.0)
    sizes = make_part(recipe(size, caliper, allowance)).sizes
    lifted = caliper * 2 * (caliper + G) / size[2]
    assert 30.0 + allowance <= sizes.height_mm + 1e-9 < 30.0 + allowance + lifted
    assert sizes.depth_mm == pytest.approx(sizes.height_mm - caliper, abs=1e-9)
    assert lifted < 0.5 * caliper * 0.5


@pytest.mark.parametrize("parts", [("base",), ("lid",), ("base", "lid")])
def test_a_lid_rests_on_the_rim(parts: tuple[str, ...]) -> None:
    """Closed height H + a and the lid's caliper, overlap the lid's own H - (t - a)."""
    found = check(box(*parts))
    assert found.lid is not None and found.assembly.lid is not None
    height = 23.0 + BASE_STOCK.crease_allowance_mm + LID_STOCK.caliper_mm
    lifted = BASE_STOCK.caliper_mm * 2 * (BASE_STOCK.caliper_mm + G) / 23.0
    assert 0.0 <= found.lid.closed_height_mm - height + 1e-9 < lifted
    overlap = LID_DEPTH - (LID_STOCK.caliper_mm - LID_STOCK.crease_allowance_mm)
    lifted += LID_STOCK.caliper_mm * 2 * (LID_STOCK.caliper_mm + G) / LID_DEPTH
    assert found.lid.overlap_mm == pytest.approx(overlap, abs=lifted)


def test_the_sheet_is_left_whole() -> None:
    """Nothing is cut, nothing falls off, and all of it is in the folded tray (k = 1/2).

    But for the tips of the four bends, which are squeezed: of each the corner of the strip that the
    diagonal's fold takes up, pi (g + t) / 4 on either side, where no wall leans (give = 0).
    """
    made = recipe(allowance=0.33 * 0.6073009183012759)
    pattern = draw(made)
    area = (80.0 + 46.0) * (110.0 + 46.0)
    assert flat_area(pattern) == pytest.approx(area, rel=1e-12)
    plan = plan_of(pattern)
    assert plan.cuts == plan.slant_cuts == ()
    assert len(plan.slant_scores) == 4
    assert waste_pieces(pattern) == ()
    tips = 4 * (math.pi * (G + 0.33) / 4) ** 2 * 0.33
    upright = fold(pattern, made.stock.crease_by(None), G, give=0.0)
    assert upright.volume_mm3 == pytest.approx(area * 0.33 - tips, rel=1e-12)
    part = make_part(made)
    mesh = folded_mesh(part.folded)
    seen = trimesh.Trimesh(mesh.vertices, mesh.faces)
    assert seen.is_watertight
    assert seen.body_count == 1


def test_many_are_folded_as_each_alone() -> None:
    pattern = draw(recipe())
    foot = pattern.crease_to("left wall").start.x
    stock = paper(0.33, 0.15).crease_by(None)
    makings = [Making(stock, G + 0.02 * k, {foot: 0.2 * k}) for k in range(-3, 4)]
    together = fold_all(pattern, makings)
    assert not together.problems
    for k, making in enumerate(makings):
        assert together.part(k).angles == fold_all(pattern, [making]).part(0).angles


@pytest.mark.parametrize("parts", [("base",), ("lid",), ("base", "lid")])
def test_a_lid_slides_by_the_layers_that_are_in_its_way(parts: tuple[str, ...]) -> None:
    """The base's layers take play, the lid's do not: they push its own walls out of their way."""
    t, a = LID_STOCK.caliper_mm, LID_STOCK.crease_allowance_mm
    layers = 2 if "base" in parts else 1
    found = check(box(*parts))
    assert found.lid is not None
    wide, long = (travel.play_mm for travel in found.lid.slide.travels)
    base = BASE_STOCK.crease_allowance_mm
    push = layers * (BASE_STOCK.caliper_mm + G)
    assert wide == pytest.approx(2.0 - 2 * (t - a) - 2 * base, abs=2e-3)
    assert long == pytest.approx(2.6 - 2 * (t - a) - 2 * (base + push), abs=2e-3)


@pytest.mark.parametrize("parts", [("base",), ("lid",), ("base", "lid")])
@pytest.mark.parametrize("oversize", [(2.0, 3.0), (1.6, 2.2)])
def test_the_odds_are_those_of_boxes_folded_anew(
    parts: tuple[str, ...], oversize: tuple[float, float]
) -> None:
    """Also where the lid presses on its corners."""
    odds = odds_of(check(box(*parts, oversize=oversize)), 4_000)
    assert odds.agreement.unfoldable == 0
    assert odds.agreement.trusted
    assert odds.agreement.verdicts_alike >= odds.agreement.boxes - 1


def test_contents_have_the_room_between_the_uppermost_layers() -> None:
    found = check(box("base"))
    room, inside = found.cavity.room, found.assembly.base.sizes.inside_mm
    assert (room.width_mm, room.length_mm) == pytest.approx(inside, abs=0.02)


def test_the_steps_pinch_each_corner_and_glue_two_layers() -> None:
    pattern = draw(recipe())
    steps = steps_for(pattern, plan_of(pattern), "card", None, BOARD, Unit.MM)
    assert not any(isinstance(step, GlueCorner) for step in steps)
    turned = [step for step in steps if isinstance(step, TurnInCorner)]
    assert {(step.under, step.over, step.wall) for step in turned} == {
        (f"{wall} wall's corner, {side}", f"{side} wall's corner, {wall}", f"{wall} wall")
        for wall in ("front", "back")
        for side in ("left", "right")
    }
    told = instructions_for(steps, Unit.MM)[-1]
    assert told.text.startswith("Stand the walls up and pinch each corner along its slanted crease")
    assert len(told.details) == 4
    kinds = [stroke.kind for stroke in glue_outlines(pattern)]
    assert kinds.count(LineKind.GLUE) == kinds.count(LineKind.GLUE_HERE) == 4


def test_the_sheet_is_turned_over_once_and_stays_so_for_folding() -> None:
    """Its outside is scored from four sides, with three quarter turns; then it is turned over for
    the corners, which is how it lies to be folded up."""
    pattern = laid(draw(recipe()), BOARD.score_face)
    steps = steps_for(pattern, plan_of(pattern), "card", None, BOARD, Unit.MM)
    told = instructions_for(steps, Unit.MM)
    assert sum("Turn the sheet over" in one.text for one in told) == 1
    (over,) = [n for n, one in enumerate(told) if "so that its inside is up" in one.text]
    assert told[over].details[-1] == "leave it so, its inside up"
    assert told[over + 1].text.startswith("Fold all 16 creases up, but these down")
    assert turns_of(steps) == 3 + 1


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("tab_setback = 0.4", "base.tab_setback: belongs to cut corners"),
        ("depth = 40", "base.depth: makes the folded corners larger than the wall behind which"),
        ("depth = 0.5", "base.depth: is too low a wall to fold"),
        ('corner = "mitred"', "base.corner"),
    ],
)
def test_what_cannot_be_folded_is_said_in_a_line(tmp_path: Path, keys: str, said: str) -> None:
    table = {"style": '"tray"', "corner": '"folded"', "stock": '"cardstock-270"'}
    table |= {"floor": "[80, 110]", "depth": "25"}
    key, value = keys.split(" = ")
    table[key] = value
    file = tmp_path / "t.toml"
    lines = ["format = 1", 'title = "t"', 'unit = "mm"', "[base]"]
    file.write_text("\n".join([*lines, *(f"{k} = {v}" for k, v in table.items())]) + "\n")
    with pytest.raises(InputError) as told:
        read_design(file)
    assert said in str(told.value)
    assert len(str(told.value).splitlines()) == 1


def test_a_tray_says_nothing_of_its_corners_as_before(tmp_path: Path) -> None:
    """The default is cut: a file that says so and one that does not are the same design."""
    file = tmp_path / "t.toml"
    text = 'format = 1\ntitle = "t"\nunit = "mm"\n[base]\nstyle = "tray"\nstock = "cover-80"\n'
    text += "floor = [70, 80]\ndepth = 25\n"
    file.write_text(text)
    plain = read_design(file)
    file.write_text(text + 'corner = "cut"\n')
    assert read_design(file).base == plain.base
