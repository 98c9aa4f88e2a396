"""Corners folded without a cut, and folds about scores that run along no fence.

Closed forms and SciPy's rotations; a square web folded in along its diagonal is a tree of panels,
a bond across and the score of the diagonal, whose two sides have to meet by themselves.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import trimesh
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from fitcheck.drawing.shapes import LineKind
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.fold import Making, fold, fold_all
from fitcheck.folding.parts import FoldedPart
from fitcheck.pattern.bonds import Bond, Face, JointKind
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.laid import laid
from fitcheck.pattern.pattern import Panel, Pattern, Role, flat_area
from fitcheck.pattern.plan import level_share, plan_of
from fitcheck.pattern.sheet import Axis, Corner, Fence, Rule, Sheet
from fitcheck.polygons import polygon_area
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.part_drawing import plan_strokes
from fitcheck.sheet.steps import steps_for
from fitcheck.solids.folded import folded_mesh
from fitcheck.stock.crease import Crease, crease_from_allowance
from fitcheck.stock.tools import Tools
from fitcheck.units import Unit
from tests.bench_maker import follow
from tests.hand_drawn import QUARTER, gusset_tray

T, G = 0.33, 0.1
PAPERS = [crease_from_allowance(0.2, T), Crease(0.0, 0.5, T), Crease(0.1, 0.5, T)]
SIZE = (80.0, 100.0, 21.0)


def rim_outside(part: FoldedPart) -> float:
    """From the outside of one of the pushed walls to that of the other, at their rims."""
    total = 0.0
    for name, way in (("front wall", -1.0), ("back wall", 1.0)):
        outline = part.layout.outline(name)[0]
        rim = outline[np.argmax(way * outline[:, 1])]
        edges = np.array([[*rim, 0.0, 1.0], [*rim, T, 1.0]])
        total += float((way * (edges @ part.plate(name).pose.T)[:, 1]).max())
    return total


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize("outside", [False, True])
def test_three_layers_push_the_wall_out_or_pull_it_in(crease: Crease, outside: bool) -> None:
    """By t + g for a tab and as much again for the layer between; L + 2 a + 2 p over all."""
    _, length, depth = SIZE
    part = fold(gusset_tray(*SIZE, outside=outside), crease, G)
    push = (-1.0 if outside else 1.0) * 2.0 * (T + G)
    a = crease.growth(QUARTER)
    assert rim_outside(part) == pytest.approx(length + 2.0 * (a + push), abs=1e-9)
    # the lean that does it, by a bracketed root: the wall's outside face turns about the bend's
    # axis, r + t inside of it and half a bend inside of the score
    r, per_rad = crease.radius_mm, crease.radius_mm + crease.neutral * T

    def reach(foot: float) -> float:
        half = 0.5 * foot * per_rad
        along = depth - half
        edge = (r + T) * math.sin(foot) + along * math.cos(foot) - half
        return edge + max(0.0, -T * math.sin(foot))

    want = brentq(lambda foot: reach(foot) - a - push, 1.3, 1.8, xtol=1e-13)
    assert part.angles["front wall"] == pytest.approx(want, abs=1e-9)
    assert part.angles["left wall"] == QUARTER
    assert self_fit(part) == ()


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize("outside", [False, True])
def test_the_sides_of_the_diagonal_meet_at_the_rim_by_themselves(
    crease: Crease, outside: bool
) -> None:
    """Nothing in the tree of panels joins them: at the rim they end a joint apart and in line.

    The wall that is pushed leans, so they are out of line by what a wall is lowered by its lean.
    """
    part = fold(gusset_tray(*SIZE, outside=outside), crease, G)
    pattern = part.pattern
    middle = np.array([0.5 * pattern.sheet.width_mm, 0.5 * pattern.sheet.length_mm])
    lean = abs(part.angles["front wall"] - QUARTER)
    height = T if outside else 0.0
    for web in pattern.webs:
        x, y = np.array(pattern.sheet.place(web.stop, {})) - middle
        one, other = (
            part.plate(name).pose @ np.array([x, y, height, 1.0])
            for name in (web.parent, web.child)
        )
        along, across, up = np.abs(one - other)[:3]
        assert across == pytest.approx(G, abs=2e-3)
        assert along < 1e-9
        assert up < SIZE[2] * (1.0 - math.cos(lean)) + 2.0 * T * math.sin(lean)


@pytest.mark.parametrize("crease", PAPERS[1:])
@pytest.mark.parametrize("outside", [False, True])
def test_a_folded_web_is_as_much_paper_as_it_is_flat(crease: Crease, outside: bool) -> None:
    """k = 1/2: the diagonal's bend takes from both triangles what it is itself.

    But for its tip: the corner of the strip that it takes up, pi (g + t) / 4 on either side, where
    no wall leans (give = 0).
    """
    pattern = gusset_tray(*SIZE, outside=outside)
    part = fold(pattern, crease, G, give=0.0)
    tips = 4.0 * (math.pi * (G + T) / 4.0) ** 2 * T
    assert flat_area(pattern) == pytest.approx((80.0 + 42.0) * (100.0 + 42.0), rel=1e-12)
    assert part.volume_mm3 == pytest.approx(flat_area(pattern) * T - tips, rel=1e-12)


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize("outside", [False, True])
def test_no_bend_of_a_diagonal_stands_out_over_the_rim(crease: Crease, outside: bool) -> None:
    """Points of its true round, at all angles and radii, lie no higher than the plates beside it.

    Each plate's rim is worked out from its corners on the sheet, as the sheet has them.
    """
    part = fold(gusset_tray(*SIZE, outside=outside), crease, G)
    middle = np.array([0.5 * part.pattern.sheet.width_mm, 0.5 * part.pattern.sheet.length_mm])
    webs = {web.name: web for web in part.pattern.webs}
    bends = [bend for bend in part.bends if bend.name in webs]
    assert len(bends) >= 4
    for bend in bends:
        web = webs[bend.name]
        corners = {
            name: np.array([part.pattern.sheet.place(c, {}) for c in panel.corners]) - middle
            for name in (web.parent, web.child)
            for panel in part.pattern.panels
            if panel.name == name
        }
        rim = max(
            float((np.array([[*at, z, 1.0] for at in spots]) @ part.plate(name).pose.T)[:, 2].max())
            for name, spots in corners.items()
            for z in (0.0, T)
        )
        for share in np.linspace(0.0, 1.0, 41):
            angle = bend.start_rad + share * (bend.stop_rad - bend.start_rad)
            ends = (1.0 - share) * np.array(bend.ends_start) + share * np.array(bend.ends_stop)
            for radius in (bend.radius_mm, bend.outer_mm):
                for along in ends:
                    own = radius * math.sin(angle), along, -radius * math.cos(angle), 1.0
                    assert (bend.pose @ np.array(own))[2] <= rim + 1e-9


@pytest.mark.parametrize("outside", [False, True])
def test_the_folded_tray_is_one_printable_solid(outside: bool) -> None:
    mesh = folded_mesh(fold(gusset_tray(*SIZE, outside=outside), PAPERS[0], G))
    seen = trimesh.Trimesh(mesh.vertices, mesh.faces)
    assert seen.is_watertight
    assert seen.is_winding_consistent
    assert seen.body_count == 1


def test_webs_of_many_boxes_are_those_of_each_alone() -> None:
    pattern = gusset_tray(*SIZE)
    foot = pattern.crease_to("left wall").start.x
    makings = [Making(crease, 0.05 * (k + 1), {foot: 0.2 * k}) for k, crease in enumerate(PAPERS)]
    together = fold_all(pattern, makings)
    for box, making in enumerate(makings):
        alone = fold_all(pattern, [making]).part(0)
        assert together.part(box).angles == alone.angles
        assert together.part(box).volume_mm3 == alone.volume_mm3


def test_the_pattern_says_what_each_bond_makes() -> None:
    kinds = {joint.bond.panel: joint.kind for joint in gusset_tray(*SIZE).joints}
    assert kinds["front wall's left web"] is JointKind.HEM
    assert kinds["left wall's front web"] is JointKind.CORNER


def test_the_diagonals_are_scored_and_nothing_is_cut() -> None:
    """Whole sheet, four scores across and four from corner to corner of the squares."""
    pattern = gusset_tray(*SIZE)
    plan = plan_of(pattern)
    assert plan.cuts == plan.slant_cuts == ()
    assert [(s.fence, s.at_mm, s.start_mm, s.stop_mm) for s in plan.scores] == [
        (Fence.LEFT, 21.0, 0.0, 142.0),
        (Fence.RIGHT, 21.0, 0.0, 142.0),
        (Fence.TOP, 21.0, 0.0, 122.0),
        (Fence.BOTTOM, 21.0, 0.0, 122.0),
    ]
    assert {(s.start_mm, s.stop_mm) for s in plan.slant_scores} == {
        ((0.0, 0.0), (21.0, 21.0)),
        ((0.0, 142.0), (21.0, 121.0)),
        ((101.0, 21.0), (122.0, 0.0)),
        ((101.0, 121.0), (122.0, 142.0)),
    }
    kinds = [stroke.kind for stroke in plan_strokes(plan)]
    assert kinds.count(LineKind.SCORE) == 4 and kinds.count(LineKind.SCORE_OVER) == 4


def test_slanted_scores_are_told_before_anything_is_cut() -> None:
    """They fold the other way than the walls, so that they are pressed on the inside."""
    pattern = laid(gusset_tray(*SIZE), "outside")
    tools = Tools("metric board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
    steps = steps_for(pattern, plan_of(pattern), "card", Axis.LENGTH, tools, Unit.MM)
    told = instructions_for(steps, Unit.MM)
    maker = follow(told)
    squares = [((0, 0), (21, 21)), ((122, 0), (101, 21)), ((0, 142), (21, 121))]
    squares.append(((122, 142), (101, 121)))
    made = shapely.union_all(maker.slanted["inside"])
    assert made.equals(shapely.union_all([shapely.LineString(ends) for ends in squares]))
    assert list(maker.slanted) == ["inside"] and not maker.cuts


def slanted_leaf(angle: float, corner: float = 30.0) -> Pattern:
    """A square whose corner is folded over along a score at a slant, from (x, 0) to (40, y)."""
    left, right = Rule(Fence.LEFT, 0.0), Rule(Fence.LEFT, 40.0)
    low, high = Rule(Fence.BOTTOM, 0.0), Rule(Fence.TOP, 0.0)
    foot, side = (
        Corner(Rule(Fence.LEFT, 40.0 - corner), low),
        Corner(right, Rule(Fence.BOTTOM, 22.5)),
    )
    root = (Corner(left, low), foot, side, Corner(right, high), Corner(left, high))
    leaf = (foot, Corner(right, low), side)
    return Pattern(
        "leaf",
        Sheet(40.0, 50.0),
        (Panel("root", Role.FLOOR, root), Panel("leaf", Role.WALL, leaf)),
        (CreaseLine("root", "leaf", foot, side, angle),),
    )


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize("angle", [0.4, QUARTER, math.pi, -0.8, -math.pi])
@pytest.mark.parametrize("corner", [30.0, 22.5])
def test_a_fold_at_a_slant_is_a_turn_about_the_bends_axis(
    crease: Crease, angle: float, corner: float
) -> None:
    """SciPy's rotation about the axis: half a bend inside the score, r from the inner face."""
    part = fold(slanted_leaf(angle, corner), crease, G)
    start, stop = part.pattern.score(part.pattern.creases[0], {}) - np.array([20.0, 25.0])
    along = (stop - start) / np.linalg.norm(stop - start)
    out = np.array([along[1], -along[0]])  # to the right of the score, where the corner is
    half = 0.5 * abs(angle) * (crease.radius_mm + crease.neutral * T)
    up = crease.radius_mm + T if angle > 0.0 else -crease.radius_mm
    axis = np.append(start - half * out, up)
    # towards the inside face: the corner rises
    turn = Rotation.from_rotvec(-angle * np.append(along, 0.0)).inv()
    if (turn.apply(np.append(out, 0.0)))[2] * math.copysign(1.0, angle) < -1e-12:
        turn = turn.inv()
    corner_at = np.array([20.0, -25.0, 0.0])
    flat = corner_at - np.append(2.0 * half * out, 0.0)  # its place beside the bend's own start
    want = axis + turn.apply(flat - axis)
    found = (part.plate("leaf").pose @ np.append(corner_at, 1.0))[:3]
    assert found == pytest.approx(want.tolist(), abs=1e-10)


@pytest.mark.parametrize("corner", [30.0, 22.5])
def test_a_score_at_a_slant_bends_between_the_two_laws(corner: float) -> None:
    """cos2 of its angle to the width of the law across, sin2 of that along (no source)."""
    pattern = slanted_leaf(QUARTER, corner)
    share = corner**2 / (corner**2 + 22.5**2)
    assert level_share(pattern, pattern.creases[0]) == pytest.approx(share, abs=1e-15)
    along, across = Crease(0.0, 0.4, T), Crease(0.2, 0.5, T)
    part = fold(pattern, along, G, level=across)
    (bend,) = {(one.radius_mm, one.thickness_mm) for one in part.bends}
    assert bend == pytest.approx((0.2 * share, T), abs=1e-15)
    flat = part.layout.creases.flat_mm_per_rad[0, 0]
    assert flat == pytest.approx((1.0 - share) * 0.4 * T + share * (0.2 + 0.5 * T), abs=1e-15)


def test_a_score_of_a_slanted_leaf_s_ends_moves_with_its_rules() -> None:
    """An error in the rule at one end turns the score: the leaf is larger by the triangle."""
    pattern = slanted_leaf(QUARTER)
    side = pattern.creases[0].stop.y
    plain, moved = (fold(pattern, PAPERS[1], G, shifts) for shifts in ({}, {side: 1.5}))
    areas = [abs(polygon_area(part.layout.outline("leaf")[0])) for part in (plain, moved)]
    assert areas == pytest.approx([0.5 * 30.0 * 22.5, 0.5 * 30.0 * 24.0], abs=1e-9)


def test_faces_across_a_corner_are_told_apart() -> None:
    """A tab glued outside pulls in by t + g where one glued inside pushes out by it."""
    reach = []
    for side in (Face.INSIDE, Face.OUTSIDE):
        pattern = gusset_tray(*SIZE)
        other = Face.OUTSIDE if side is Face.INSIDE else Face.INSIDE
        tabs = tuple(
            Bond(joint.bond.panel, joint.bond.onto, other, side)
            for joint in pattern.joints
            if joint.kind is JointKind.CORNER
        )
        alone = Pattern("tray", pattern.sheet, pattern.panels, pattern.creases, tabs)
        reach.append(rim_outside(fold(alone, PAPERS[0], G)))
    plain = SIZE[1] + 2.0 * PAPERS[0].growth(QUARTER)
    assert reach == pytest.approx([plain + 2.0 * (T + G), plain - 2.0 * (T + G)], abs=1e-9)
