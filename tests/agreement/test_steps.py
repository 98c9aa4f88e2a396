"""A maker who follows the words to the letter makes exactly the lines of the pattern."""

from __future__ import annotations

import itertools
import math
import re

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.design.read import read_design
from fitcheck.fit.assembly import assemble
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.creases import CreaseKind
from fitcheck.pattern.laid import laid
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.plan import Plan, plan_of
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Axis, Fence, Shifts
from fitcheck.sheet.actions import GlueCorner, RollSide, Step
from fitcheck.sheet.board import quarter_turns
from fitcheck.sheet.instructions import Instruction, instructions_for
from fitcheck.sheet.marks import HAIR_MM
from fitcheck.sheet.steps import steps_for, turns_of
from fitcheck.stock.tools import Tools
from fitcheck.styles import draw
from fitcheck.styles.tuck_end import TuckEndSpec
from fitcheck.styles.walled import WalledRecipe as Recipe
from fitcheck.units import Unit
from tests.bench_maker import Board, Maker, follow
from tests.boxes import shadow_box, shadow_boxes, tray, trays
from tests.cli.commands import ROOT
from tests.hand_drawn import QUARTER, strip
from tests.own_styles import MITRED, brim_pattern
from tests.tuck_ends import ordinary, part_of

FACES = ("outside", "inside")


def tools(face: str = "outside") -> Tools:
    return Tools("board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03, score_face=face)


BOXES = st.one_of(trays(), shadow_boxes())
SHIPPED = sorted(
    p.stem for p in (ROOT / "models").glob("*.toml") if p.stem not in ("items", "whist")
)
Told = tuple[Pattern, Plan, tuple[Step, ...], tuple[Instruction, ...]]


def told(
    pattern: Pattern, unit: Unit = Unit.MM, face: str = "outside", stock: str = "card"
) -> Told:
    own = laid(pattern, face)
    plan = plan_of(own)
    steps = steps_for(own, plan, stock, None, tools(face), unit)
    return own, plan, steps, instructions_for(steps, unit)


def apart_mm(one: shapely.Geometry, two: shapely.Geometry) -> float:
    return float(one.difference(two.buffer(1e-4)).length + two.difference(one.buffer(1e-4)).length)


def reach_mm(unit: Unit) -> float:
    """How far off a mark may be: a hair, told as none, and what the sheet and the score round."""
    return HAIR_MM + (25.4 / 32 if unit is Unit.IN else 0.5)


def cross(one: np.ndarray, many: np.ndarray) -> np.ndarray:
    return one[0] * many[:, 1] - one[1] * many[:, 0]


def cut_to(maker: Maker, pattern: Pattern) -> Shifts:
    """By how much the sheet was told larger than it is drawn: what is found from its far edges
    goes along."""
    width, length = pattern.sheet.sides_mm
    return {WIDTH_EDGE: maker.width - width, LENGTH_EDGE: maker.length - length}


def kept(pattern: Pattern, shifts: Shifts | None = None) -> shapely.Geometry:
    return shapely.union_all(
        [shapely.Polygon(pattern.outline(p, shifts or {})) for p in pattern.panels],
        grid_size=1e-7,
    )


def trimmed_by_size(maker: Maker, pattern: Pattern) -> list[Panel]:
    """The tabs, and what else is told by its own sizes."""
    told = " ".join(who for who, _, _ in maker.tabs)
    return [
        panel
        for panel in pattern.panels
        if panel.role is Role.TAB or re.search(rf"\bthe {panel.name}\b", told)
    ]


def parted(maker: Maker, pattern: Pattern, reach: float) -> bool:
    """Whether the maker's cuts run along the part's edge and part it from the rest.

    Tabs and flaps are trimmed by sizes of their own: their ends are taken from the pattern.
    """
    shifts = cut_to(maker, pattern)
    whole = kept(pattern, shifts)
    tabs = trimmed_by_size(maker, pattern)
    ends = [shapely.Polygon(pattern.outline(tab, shifts)).exterior for tab in tabs]
    cuts = shapely.union_all(maker.cuts)
    assert cuts.difference(whole.boundary.buffer(reach)).is_empty, "a cut runs into the part"
    sheet = shapely.box(0.0, 0.0, maker.width, maker.length)
    pieces = shapely.get_parts(
        sheet.difference(shapely.union_all([cuts, *ends]).buffer(reach, cap_style="square"))
    )
    inside, outside = whole.buffer(-reach), whole.buffer(reach)
    return all(
        piece.difference(outside).is_empty or piece.intersection(inside).is_empty
        for piece in pieces
    )


@pytest.mark.parametrize("unit", [Unit.MM, Unit.IN])
@pytest.mark.parametrize("face", FACES)
@given(recipe=BOXES)
@settings(max_examples=12, deadline=None)
def test_what_is_cut_by_the_words_is_the_pattern(recipe: Recipe, unit: Unit, face: str) -> None:
    pattern, _, _, words = told(draw(recipe), unit, face)
    maker = follow(words)
    assert maker.up == face
    assert parted(maker, pattern, reach_mm(unit))
    sheet = shapely.box(0.0, 0.0, pattern.sheet.width_mm, pattern.sheet.length_mm)
    waste = shapely.get_parts(sheet.difference(kept(pattern).buffer(1e-4)))
    assert maker.away == len([piece for piece in waste if piece.area > 1e-2])
    assert maker.keep == sum(panel.role is Role.TAB for panel in pattern.panels)


@pytest.mark.parametrize("unit", [Unit.MM, Unit.IN])
@given(recipe=BOXES)
@settings(max_examples=12, deadline=None)
def test_tabs_are_trimmed_as_told(recipe: Recipe, unit: Unit) -> None:
    pattern, _, _, words = told(draw(recipe), unit)
    (line,) = follow(words).tabs
    _, length, trims = line
    half = 0.26 if unit is Unit.MM else 0.4
    for panel in (panel for panel in pattern.panels if panel.role is Role.TAB):
        spots = pattern.outline(panel, {})
        foot, stop = pattern.score(pattern.crease_to(panel.name), {})
        root = math.dist(foot, stop)
        out = np.abs(cross(stop - foot, spots - foot)) / root
        tip = spots[out > 1e-6]
        assert out.max() == pytest.approx(length, abs=half) if length else True
        assert math.dist(*tip) == pytest.approx(root - sum(trims), abs=2 * half)
        # nearly as high as the wall at its root, and three fifths of it at the tip
        assert math.dist(*tip) > 0.6 * root - 1e-6


@pytest.mark.parametrize("unit", [Unit.MM, Unit.IN])
@pytest.mark.parametrize("face", FACES)
@given(recipe=BOXES)
@settings(max_examples=12, deadline=None)
def test_scores_are_the_creases_and_run_on_only_where_it_is_not_seen(
    recipe: Recipe, unit: Unit, face: str
) -> None:
    pattern, plan, _, words = told(draw(recipe), unit, face)
    maker = follow(words)
    assert list(maker.pressed) == [face]
    made = shapely.union_all(maker.scored)
    reach, shifts = reach_mm(unit), cut_to(maker, pattern)
    creases = [shapely.LineString(pattern.score(line, shifts)) for line in pattern.creases]
    for line in creases:
        assert made.buffer(reach, cap_style="square").covers(line)
    seen = [
        shapely.Polygon(pattern.outline(p, shifts))
        for p in pattern.panels
        if p.role is not Role.TAB
    ]
    near = shapely.union_all(creases).buffer(reach)
    inner = shapely.union_all([face.buffer(-reach) for face in seen])
    assert made.difference(near).intersection(inner).length == pytest.approx(0.0, abs=1e-6)
    for fence in Fence:
        ats = sorted({line.at_mm for line in plan.scores if line.fence is fence})
        apart = [at for before, at in itertools.pairwise([-9.0, *ats]) if at - before > HAIR_MM]
        assert maker.scores[fence.value] == pytest.approx(apart, abs=reach)


@pytest.mark.parametrize("face", FACES)
def test_on_the_grid_every_score_is_exact(face: str) -> None:
    """A tray of whole centimetres: nothing is rounded, nothing but the tabs is off a score."""
    pattern, plan, _, words = told(draw(tray(80.0, 110.0, 25.0)), Unit.MM, face)
    maker = follow(words)
    assert (maker.width, maker.length) == (plan.sheet.width_mm, plan.sheet.length_mm)
    assert parted(maker, pattern, 1e-3)
    lines = [shapely.LineString([(25, 0), (25, 160)]), shapely.LineString([(105, 0), (105, 160)])]
    lines += [shapely.LineString([(0, 25), (130, 25)]), shapely.LineString([(0, 135), (130, 135)])]
    assert apart_mm(shapely.union_all(maker.scored), shapely.union_all(lines)) < 1e-9
    assert not any("ounded" in one.text for one in words)


@pytest.mark.parametrize("spec", ordinary(3, 53), ids=lambda own: f"{own.size_mm[1]:.2f}")
@pytest.mark.parametrize("unit", [Unit.MM, Unit.IN])
def test_a_carton_is_scored_and_cut_along_its_panels_edges(spec: TuckEndSpec, unit: Unit) -> None:
    """Slits and all, in few lines; its rounds are cut by their own steps."""
    pattern, plan, _, words = told(draw(part_of(spec).recipe), unit)
    maker = follow(words)
    (cutting,) = [one for one in words if one.text.startswith("Cut, ")]
    assert len(cutting.details) <= 8
    reach = 2 * reach_mm(unit)
    made = shapely.union_all(maker.scored).buffer(reach)
    assert all(made.covers(shapely.LineString(pattern.score(c, {}))) for c in pattern.creases)
    rim = shapely.box(0.0, 0.0, plan.sheet.width_mm, plan.sheet.length_mm).exterior
    edges = []
    for panel in pattern.panels:
        spots = pattern.outline(panel, {})
        bulges = panel.bulges or (0.0,) * len(spots)
        sides = zip(spots, np.roll(spots, -1, axis=0), bulges, strict=True)
        edges += [shapely.LineString([a, b]) for a, b, bulge in sides if not bulge]
    creases = [shapely.LineString(pattern.score(line, {})) for line in pattern.creases]
    own = [shapely.Polygon(pattern.outline(p, {})) for p in trimmed_by_size(maker, pattern)]
    assert [who for who, _, _ in maker.tabs] == ["the seam flap"]
    lines = shapely.union_all(edges).difference(shapely.union_all([*creases, rim]).buffer(1e-6))
    lines = lines.difference(shapely.union_all(own).buffer(1e-6))
    cuts = shapely.union_all(maker.cuts)
    assert lines.difference(cuts.buffer(reach)).is_empty
    assert cuts.difference(lines.buffer(reach)).is_empty


def test_folds_the_other_way_are_scored_with_the_sheet_turned_over() -> None:
    """Towards the bead: what folds away from the inside is pressed on the inside."""
    names, widths = ["flap", "lid", "wall", "floor"], [10.0, 30.0, 20.0, 30.0]
    folds = [-QUARTER, QUARTER, QUARTER]
    _, _, steps, words = told(strip(names, widths, folds))
    maker = follow(words)
    assert maker.pencilled == 2
    assert {face: len(lines) for face, lines in maker.pressed.items()} == {
        "outside": 2,
        "inside": 1,
    }
    # drawn with the outside up, so that the flap lies at the right
    assert maker.pressed["inside"][0].bounds[0] == pytest.approx(80.0)
    # and not back, as it is folded with its inside up
    assert turns_of(steps) == 1 + sum(len(s.sides) - 1 for s in steps if hasattr(s, "sides"))
    (folding,) = [line for line in words if "Fold all 3 creases" in line.text]
    assert folding.details == ("lid / flap",)
    assert "up, but these down, towards the bead" in folding.text


def test_a_half_cut_is_made_on_the_outside_of_its_fold_whatever_face_is_pressed() -> None:
    names, widths = ["flap", "lid", "wall", "floor"], [10.0, 30.0, 20.0, 30.0]
    half = CreaseKind.HALF_CUT
    drawn = strip(
        names, widths, [-QUARTER, QUARTER, QUARTER], kinds=[half, half, CreaseKind.SCORED]
    )
    for face, pressed in (("outside", "outside"), ("inside", "inside")):
        maker = follow(told(drawn, face=face)[3])
        assert {side: len(lines) for side, lines in maker.half_cut.items()} == {
            "inside": 1,
            "outside": 1,
        }
        assert {side: len(lines) for side, lines in maker.pressed.items()} == {pressed: 1}


@given(BOXES)
@settings(max_examples=10, deadline=None)
def test_gluing_and_rolling_follow_the_joints(recipe: Recipe) -> None:
    pattern, _, steps, words = told(draw(recipe))
    glued = [(s.tab, s.wall) for s in steps if isinstance(s, GlueCorner)]
    assert glued == [(j.panel, j.onto) for j in pattern.corner_joints]
    rolled: list[str] = []
    for step in steps:
        if isinstance(step, RollSide):
            # what a side comes to lie over must have been rolled before it
            assert all(under in rolled for under in step.over)
            rolled += step.panels
    assert {lap.over for lap in pattern.laps} <= set(rolled)
    assert {j.panel for j in pattern.roll_joints} == {p for p in rolled if p.endswith("flap")}
    text = " ".join(one.text for one in words)
    assert all(f"the {joint.panel}" in text for joint in pattern.roll_joints)


@pytest.mark.parametrize("face", [Face.INSIDE, Face.OUTSIDE])
@pytest.mark.parametrize("fence", Fence)
def test_quarter_turns_bring_each_edge_to_the_fence(fence: Fence, face: Face) -> None:
    over = face is Face.OUTSIDE
    for other in Fence:
        turned = Board(40.0, 70.0)
        if over:
            turned.flip()
        while turned.at_fence() != fence.value:
            turned.rotate(1)
        turned.rotate(quarter_turns(fence, other, over=over))
        assert turned.at_fence() == other.value


@given(BOXES)
@settings(max_examples=5, deadline=None)
def test_a_box_takes_three_turns(recipe: Recipe) -> None:
    # four edges to the fence; cuts are found by the scores, however the sheet lies
    _, _, steps, words = told(draw(recipe))
    assert turns_of(steps) == 3
    assert follow(words).turns == 3


def test_few_steps_make_a_box() -> None:
    """A framed base and its lid in fourteen steps, a tray and its lid in twelve, of
    which one is to put the contents in and one to put the lid on."""
    lid = tray(depth=15.875)
    for base, most in ((shadow_box(tabs=Axis.WIDTH), 14), (tray(), 12)):
        count = sum(len(told(draw(part), Unit.IN)[3]) for part in (base, lid))
        assert count + 2 <= most


@pytest.mark.parametrize("unit", [Unit.MM, Unit.IN])
@pytest.mark.parametrize("name", SHIPPED)
def test_the_words_of_every_shipped_part_make_it(name: str, unit: Unit) -> None:
    """Trays, frames, double walls, corners without a cut, lids in one piece, collars, sleeves, mats
    and strips; what is cut out of a panel has steps of its own. Cartons are held above."""
    design = read_design(ROOT / "models" / f"{name}.toml")
    for part in assemble(design).parts:
        pattern, _, _, words = told(part.pattern, unit)
        assert parted(follow(words), pattern, reach_mm(unit)), part.recipe.part


@pytest.mark.parametrize("unit", [Unit.MM, Unit.IN])
@pytest.mark.parametrize("face", FACES)
def test_scores_end_at_what_is_there_when_they_are_made(face: str, unit: Unit) -> None:
    """Brims that are folded the other way are scored last, on the other face: till then their
    scores cannot be counted. The maker counts none that is not made."""
    pattern, plan, _, words = told(brim_pattern((60.0, 90.0), 25.0, 10.0, MITRED), unit, face)
    maker = follow(words)
    assert parted(maker, pattern, reach_mm(unit))
    drawn = shapely.union_all([
        shapely.LineString([
            plan.sheet.spot(line.fence, line.at_mm, along)
            for along in (line.start_mm, line.stop_mm)
        ])
        for line in plan.scores
    ])  # fmt: skip
    made = shapely.union_all(maker.scored)
    assert drawn.difference(made.buffer(reach_mm(unit), cap_style="square")).is_empty


def test_such_ends_are_told_by_lengths_from_an_edge() -> None:
    """A foot is 10 + 25 mm from each edge; what lies beyond the brims at its ends is cut away."""
    words = told(brim_pattern((60.0, 90.0), 25.0, 10.0, MITRED))[3]
    first, second = words[1:3]
    assert first.details[0].endswith(
        "at 35 mm (1 3/8 in), from a line 35 mm (1 3/8 in) from the bottom edge to a line "
        "35 mm (1 3/8 in) from the top edge"
    )
    assert " score" not in " ".join(first.details[:2])
    assert "from edge to edge, at 10 mm" in second.text
