"""Folding by itself: closing a roll, what cannot be folded, and self-fit with its cure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from fitcheck.errors import ModelError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.closure import close_roll, least_departure
from fitcheck.folding.fold import fold
from fitcheck.folding.kinematics import heights_of, panel_pose
from fitcheck.folding.pose import apply
from fitcheck.pattern.sheet import Fence, Rule
from fitcheck.pattern.styles import draw
from tests.boxes import paper, shadow_box, tray


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
    outline = layout.outlines["back flap"]
    # the wall's inside face: a sharp crease's stands t - a inside its score
    face = layout.folds["back wall"].origin[1] - recipe.bite_mm

    def ends(departure: np.ndarray) -> np.ndarray:
        angles = part.folded.angles | dict(zip(names, np.pi / 2 + departure, strict=True))
        pose = panel_pose(layout, "back flap", angles)
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


def test_slopes_of_heights_are_those_of_central_differences() -> None:
    """Each crease of a leaning roll moved to both sides, its panels carried anew."""
    layout = make_part(shadow_box(stock=paper(0.33, 0.25))).folded.layout
    names = ["back wall", "back frame", "back inner wall", "back flap"]
    angles = {line.child: line.angle_rad for line in layout.pattern.creases}
    angles |= dict(zip(names, (1.45, 1.62, 1.51, 1.70), strict=True))
    points = np.array([[3.0, 90.0, 0.0], [-7.0, 97.0, 0.2]])
    floor = layout.pattern.panels[0].name
    heights, slopes = heights_of(layout, "back flap", points, angles, floor, names[1:])

    def carried(trial: dict[str, float]) -> np.ndarray:
        return apply(panel_pose(layout, "back flap", trial), points)[:, 2]

    assert heights == pytest.approx(carried(angles), abs=1e-12)
    for column, name in enumerate(names[1:]):
        ends = [carried(angles | {name: angles[name] + step}) for step in (1e-5, -1e-5)]
        assert slopes[:, column] == pytest.approx((ends[0] - ends[1]) / 2e-5, abs=1e-6)


def test_least_departure_of_a_plane() -> None:
    """x + 2 y = 5 is nearest to the origin at (1, 2)."""
    slope = np.array([[1.0, 2.0]])
    for start in ([0.0, 0.0], [7.0, -1.0], [0.5, 0.5]):
        found = least_departure(lambda d: (slope @ d - 5.0, slope), np.array(start), "a plane")
        assert found == pytest.approx([1.0, 2.0], abs=1e-9)


def test_a_roll_that_cannot_close_is_an_error() -> None:
    with pytest.raises(ModelError, match="cannot be closed"):
        make_part(shadow_box(inner_wall=40.0))


def test_a_wall_past_half_a_turn_is_an_error_that_names_the_roll() -> None:
    """A search for a wall's lean may try any angle; a fold goes from 0 to half a turn."""
    recipe = shadow_box()
    layout = make_part(recipe).folded.layout
    angles = {line.child: line.angle_rad for line in layout.pattern.creases} | {"back wall": 3.3}
    joint = next(x for x in layout.pattern.roll_joints if x.flap == "back flap")
    with pytest.raises(ModelError, match="back flap cannot be closed"):
        close_roll(layout, joint, recipe.joint_mm, angles, frozenset(["back wall"]))


@pytest.mark.parametrize("flap", [9.525, 7.0])
@pytest.mark.parametrize("excess", [-0.9, 0.0, 1.3])
def test_a_roll_closes_alike_from_wherever_it_is_sought(flap: float, excess: float) -> None:
    """The least departure is unique: bent creases to begin with lead to the same closed roll."""
    recipe = shadow_box(flap=flap, inner_wall=shadow_box().inner_wall_mm + excess)
    layout = make_part(recipe).folded.layout
    joint = next(x for x in layout.pattern.roll_joints if x.flap == "back flap")
    drawn = {line.child: line.angle_rad for line in layout.pattern.creases} | {"back wall": 1.55}
    held = frozenset(["back wall"])
    want = close_roll(layout, joint, recipe.joint_mm, drawn, held)
    bent = {"back frame": 1.68, "back inner wall": 1.44, "back flap": 1.63}
    for start in (drawn | bent, want, drawn | {"back frame": 3.1}):
        found = close_roll(layout, joint, recipe.joint_mm, start, held)
        assert found == pytest.approx(want, abs=1e-10)


def test_a_wall_swallowed_by_its_bends_is_an_error() -> None:
    with pytest.raises(ModelError, match="taken up by its bends"):
        make_part(tray(60.0, 60.0, 0.2, paper(0.5, 0.2)))


def test_a_longer_sheet_makes_the_far_wall_deeper_and_a_score_error_moves_the_floor() -> None:
    recipe = tray(80.0, 100.0, 20.0)
    pattern = draw(recipe)
    crease = recipe.stock.crease
    plain = fold(pattern, crease, 0.1)
    wider = fold(pattern, crease, 0.1, {Rule(Fence.LEFT, 20.0): 0.5})
    assert wider.layout.outlines["floor"][:, 0].max() == pytest.approx(40.0 - 0.25)
    assert np.ptp(plain.layout.outlines["left wall"][:, 0]) == pytest.approx(20.0)
    assert np.ptp(wider.layout.outlines["left wall"][:, 0]) == pytest.approx(20.5)
    cut = fold(pattern, crease, 0.1, {Rule(Fence.RIGHT, 0.0): 0.5})
    assert np.ptp(cut.layout.outlines["floor"][:, 0]) == pytest.approx(80.5)
    assert np.ptp(cut.layout.outlines["right wall"][:, 0]) == pytest.approx(20.0)


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
