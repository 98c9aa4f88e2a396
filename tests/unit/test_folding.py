"""Folding by itself: closing a roll, what cannot be folded, and self-fit with its cure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from fitcheck.errors import ModelError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.closure import close_rolls
from fitcheck.folding.fold import Making, fold, fold_all
from fitcheck.folding.kinematics import panel_poses
from fitcheck.folding.lines import Layout
from fitcheck.folding.linkage import chains_of, flap_misses
from fitcheck.pattern.sheet import Fence, Rule
from fitcheck.styles import draw
from tests.boxes import paper, shadow_box, tray


def pose_of(layout: Layout, panel: str, angles: dict[str, float]) -> np.ndarray:
    """A panel's pose in a box of its own, (4, 4)."""
    own = np.array([[angles[line.child] for line in layout.pattern.creases]])
    pose: np.ndarray = panel_poses(layout, own)[0, layout.tree.panel[panel]]
    return pose


@pytest.mark.parametrize(
    ("excess", "flap"),
    [(-0.8, 9.0), (-0.8, 7.5), (-0.2, 9.0), (-0.3, 8.2), (-4.3, 6.0), (-6.0, 5.0)],
)
def test_a_short_inner_wall_closes_where_a_general_optimiser_closes_it(
    excess: float, flap: float
) -> None:
    """Sequential least squares (SciPy): least departure, glued faces met, the tip not in the wall.

    With an inner wall that is too short the foot is drawn under by itself and nothing is pressed.
    """
    recipe = shadow_box(inner_wall=shadow_box().inner_wall_mm + excess, flap=flap)
    part = make_part(recipe)
    names = ["back frame", "back inner wall", "back flap"]
    assert part.folded.angles["back wall"] == np.pi / 2  # held by its glued tabs
    stock = recipe.stock
    layout = part.folded.layout
    outline = layout.outline("back flap")[0]
    # the wall's inside face: a sharp crease's stands t - a inside its score
    face = layout.origin("back wall")[0, 1] - recipe.bite_mm

    def ends(departure: np.ndarray) -> np.ndarray:
        angles = part.folded.angles | dict(zip(names, np.pi / 2 + departure, strict=True))
        pose = pose_of(layout, "back flap", angles)
        near = pose @ np.array([0.0, outline[:, 1].min() + 0.3, 0.0, 1.0])
        far = pose @ np.array([0.0, outline[:, 1].max(), 0.0, 1.0])
        level = stock.caliper_mm + recipe.joint_mm
        return np.array([near[2] - level, far[2] - level, face - far[1]])

    found = minimize(
        lambda d: float(d @ d),
        np.zeros(3),
        jac=lambda d: 2.0 * d,
        constraints=[
            {"type": "eq", "fun": lambda d: ends(d)[:2]},
            {"type": "ineq", "fun": lambda d: ends(d)[2:]},
        ],
        method="SLSQP",
        options={"ftol": 1e-13, "maxiter": 500},
    )
    assert found.success
    ours = np.array([part.folded.angles[name] for name in names]) - np.pi / 2
    assert ours == pytest.approx(found.x, abs=1e-6)


def test_slopes_of_a_flap_s_miss_are_those_of_central_differences() -> None:
    """Each crease of leaning rolls moved to both sides; heights are those of the panels' poses."""
    layout = make_part(shadow_box(stock=paper(0.33, 0.25))).folded.layout
    joints = [x for x in layout.pattern.roll_joints if x.panel in ("back flap", "left flap")]
    rolls = chains_of(layout, joints, np.array([0.1]))
    angles = np.array([[1.45, 1.62, 1.51, 1.70], [1.60, 1.50, 1.66, 1.41]])
    free = [1, 2, 3]
    missed, slopes = flap_misses(rolls, angles, free)
    for row, joint in enumerate(joints):
        names = [line.child for line in layout.pattern.chain(joint.panel)]
        own = {line.child: line.angle_rad for line in layout.pattern.creases}
        pose = pose_of(layout, joint.panel, own | dict(zip(names, angles[row], strict=True)))
        outward, outline = layout.outward(joint.panel)[0], layout.outline(joint.panel)[0]
        far = outline[int(np.argmax(outline @ outward))]
        assert missed[row, 1] == pytest.approx((pose @ [*far, 0.0, 1.0])[2] - 0.33 - 0.1, abs=1e-12)
    for k, column in enumerate(free):
        moved = []
        for step in (1e-5, -1e-5):
            trial = angles.copy()
            trial[:, column] += step
            moved.append(flap_misses(rolls, trial, free)[0])
        assert slopes[:, :, k] == pytest.approx((moved[0] - moved[1]) / 2e-5, abs=1e-6)


def test_a_roll_that_cannot_close_is_an_error() -> None:
    with pytest.raises(ModelError, match=r"the roll that ends in the .* flap cannot be closed"):
        make_part(shadow_box(inner_wall=40.0))


def test_a_wall_past_half_a_turn_closes_no_roll_and_harms_no_other() -> None:
    """A search for a wall's lean may try any angle; a fold goes from 0 to half a turn."""
    recipe = shadow_box()
    layout = make_part(recipe).folded.layout
    joints = [x for x in layout.pattern.roll_joints if x.panel in ("back flap", "front flap")]
    rolls = chains_of(layout, joints, np.array([recipe.joint_mm]))
    start = rolls.targets.copy()
    start[0, 0] = 3.3
    found = close_rolls(rolls, start, [0])
    assert found.ok.tolist() == [False, True]
    alone = close_rolls(rolls.take(np.array([1])), start[1:], [0])
    assert np.array_equal(found.angles[1:], alone.angles)


@pytest.mark.parametrize("flap", [9.525, 7.0])
@pytest.mark.parametrize("excess", [-0.9, 0.0, 1.3])
def test_a_roll_closes_alike_from_wherever_it_is_sought(flap: float, excess: float) -> None:
    """The least departure is unique: bent creases to begin with lead to the same closed roll."""
    recipe = shadow_box(flap=flap, inner_wall=shadow_box().inner_wall_mm + excess)
    layout = make_part(recipe).folded.layout
    (joint,) = [x for x in layout.pattern.roll_joints if x.panel == "back flap"]
    one = chains_of(layout, [joint], np.array([recipe.joint_mm]))
    rolls = one.take(np.zeros(3, dtype=np.intp))
    drawn = np.array([1.55, np.pi / 2, np.pi / 2, np.pi / 2])
    want = close_rolls(one, drawn[None], [0]).angles
    starts = np.array([[1.55, 1.68, 1.44, 1.63], want[0], [1.55, 3.1, np.pi / 2, np.pi / 2]])
    found = close_rolls(rolls, starts, [0])
    assert found.ok.all()
    assert found.angles == pytest.approx(np.tile(want, (3, 1)), abs=1e-10)


def test_boxes_folded_together_are_those_folded_by_themselves() -> None:
    """One that cannot be folded stands among them: it is named and moves nothing of the others."""
    recipe = shadow_box()
    pattern = draw(recipe)
    score, rng = pattern.crease_to("left wall").start.x, np.random.default_rng(7)
    makings = [
        Making(paper(t, a).crease, g, {score: off, Rule(Fence.TOP, 0.0): -off})
        for t, a, g, off in zip(
            rng.uniform(0.25, 0.4, 8),
            rng.uniform(0.05, 0.25, 8),
            rng.uniform(0.0, 0.2, 8),
            rng.normal(0.0, 0.3, 8),
            strict=True,
        )
    ]
    makings[3] = makings[3]._replace(shifts={score: -40.0})
    together = fold_all(pattern, makings)
    assert list(together.problems) == [3]
    with pytest.raises(ModelError):
        together.part(3)
    for box, making in enumerate(makings):
        if box == 3:
            continue
        alone, among = fold_all(pattern, [making]).part(0), together.part(box)
        assert alone.angles == among.angles
        assert alone.bends[5].ends_start == among.bends[5].ends_start
        for one, other in zip(alone.pieces, among.pieces, strict=True):
            assert one.name == other.name
            assert np.array_equal(one.vertices, other.vertices)
            assert np.array_equal(one.normals, other.normals)


def test_a_wall_swallowed_by_its_bends_is_an_error() -> None:
    with pytest.raises(ModelError, match="taken up by its bends"):
        make_part(tray(60.0, 60.0, 0.2, paper(0.5, 0.2)))


def test_a_longer_sheet_makes_the_far_wall_deeper_and_a_score_error_moves_the_floor() -> None:
    recipe = tray(80.0, 100.0, 20.0)
    pattern = draw(recipe)
    crease = recipe.stock.crease
    plain = fold(pattern, crease, 0.1)
    wider = fold(pattern, crease, 0.1, {Rule(Fence.LEFT, 20.0): 0.5})
    assert wider.layout.outline("floor")[0, :, 0].max() == pytest.approx(40.0 - 0.25)
    assert np.ptp(plain.layout.outline("left wall")[0, :, 0]) == pytest.approx(20.0)
    assert np.ptp(wider.layout.outline("left wall")[0, :, 0]) == pytest.approx(20.5)
    cut = fold(pattern, crease, 0.1, {Rule(Fence.RIGHT, 0.0): 0.5})
    assert np.ptp(cut.layout.outline("floor")[0, :, 0]) == pytest.approx(80.5)
    assert np.ptp(cut.layout.outline("right wall")[0, :, 0]) == pytest.approx(20.0)


def test_good_parts_fit_themselves() -> None:
    for recipe in (tray(), shadow_box(), tray(stock=paper(0.35)), shadow_box(stock=paper(0.35))):
        assert self_fit(make_part(recipe).folded) == ()


def test_a_flap_as_wide_as_its_frame_is_pressed_home_and_sets_the_inner_wall() -> None:
    """Scored at flap, inner wall, frame, wall with flap = frame (common practice, no source).

    Arithmetic: under upright walls there is room for w - (t - a), so f = w is t - a too long, and
    its foot stands in by as much; cut by that it stands upright and nothing presses.
    """
    wide = shadow_box(flap=9.525)
    part = make_part(wide)
    assert self_fit(part.folded) == ()
    roll = next(r for r in part.folded.rolls if r.wall == "back wall")
    assert roll.tip_gap_mm == pytest.approx(0.0, abs=1e-9)
    assert roll.trim_mm == pytest.approx(wide.bite_mm, abs=1e-9)
    assert roll.foot_mm == pytest.approx(roll.top_mm + wide.bite_mm, abs=0.01)
    cured = make_part(replace(wide, flap_mm=wide.flap_mm - roll.trim_mm)).folded
    again = next(r for r in cured.rolls if r.wall == "back wall")
    assert again.stands_in_mm == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("excess", [0.1, 0.5, 1.0])
def test_a_taller_inner_wall_tilts_the_frame_and_presses_not(excess: float) -> None:
    """The lapping frame lies on the other and on what it carries: nobody cuts 5.8 mm off one."""
    part = make_part(shadow_box(inner_wall=shadow_box().inner_wall_mm + excess))
    assert self_fit(part.folded) == ()
    roll = next(r for r in part.folded.rolls if r.wall == "back wall")
    assert roll.rises_mm == pytest.approx(excess, abs=0.06)


@pytest.mark.parametrize("excess", [-0.6, 0.4, 1.0])
def test_a_frame_that_is_not_level_does_not_swing_the_glued_walls(excess: float) -> None:
    level = shadow_box()
    tilted = shadow_box(inner_wall=level.inner_wall_mm + excess)
    before, after = (make_part(recipe).sizes.outside_mm for recipe in (level, tilted))
    assert after == pytest.approx(before, abs=2e-3)


def test_tabs_of_a_narrow_tall_tray_have_room_beside_each_other() -> None:
    assert self_fit(make_part(tray(20.0, 20.0, 40.0)).folded) == ()
