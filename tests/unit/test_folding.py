"""Folding by itself: closing a roll, what cannot be folded, and self-fit with its cure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import NonlinearConstraint, minimize

from fitcheck.errors import ModelError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.closure import least_departure
from fitcheck.folding.fold import fold
from fitcheck.folding.kinematics import panel_pose
from fitcheck.pattern.sheet import Fence, Rule
from fitcheck.pattern.styles import draw
from tests.boxes import paper, shadow_box, tray


@pytest.mark.parametrize("excess", [-0.8, -0.2, 0.4, 0.9])
def test_the_roll_closes_where_a_general_optimiser_closes_it(excess: float) -> None:
    """A trust-region method (SciPy) on the same condition: another route to the least departure."""
    recipe = shadow_box(inner_wall=shadow_box().inner_wall_mm + excess)
    part = make_part(recipe)
    names = ["back frame", "back inner wall", "back flap"]
    assert part.folded.angles["back wall"] == np.pi / 2  # held by its glued tabs
    stock = recipe.stock

    def miss(departure: np.ndarray) -> np.ndarray:
        angles = part.folded.angles | dict(zip(names, np.pi / 2 + departure, strict=True))
        pose = panel_pose(part.folded.layout, "back flap", angles)
        flap = part.folded.layout.outlines["back flap"]
        near = pose @ np.array([0.0, flap[:, 1].min() + 0.3, 0.0, 1.0])
        far = pose @ np.array([0.0, flap[:, 1].max(), 0.0, 1.0])
        level = stock.caliper_mm + recipe.joint_mm
        return np.array([near[2] - level, far[2] - level])

    found = minimize(
        lambda d: float(d @ d),
        np.zeros(3),
        jac=lambda d: 2.0 * d,
        hess=lambda d: 2.0 * np.eye(3),
        constraints=NonlinearConstraint(miss, 0.0, 0.0, jac="3-point"),
        method="trust-constr",
        options={"gtol": 1e-10, "xtol": 1e-14, "maxiter": 500},
    )
    assert found.success
    ours = np.array([part.folded.angles[name] for name in names]) - np.pi / 2
    assert ours == pytest.approx(found.x, abs=1e-6)


def test_least_departure_of_a_plane() -> None:
    """x + 2 y = 5 is nearest to the origin at (1, 2)."""
    found = least_departure(lambda d: np.array([d[0] + 2 * d[1] - 5.0]), 2, "a plane")
    assert found == pytest.approx([1.0, 2.0], abs=1e-9)


def test_a_roll_that_cannot_close_is_an_error() -> None:
    with pytest.raises(ModelError, match="cannot be closed"):
        make_part(shadow_box(inner_wall=40.0))


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


def test_a_flap_that_is_too_long_presses_and_the_trim_cures_it() -> None:
    """The flap clears when f <= w - (t - a)."""
    good = shadow_box()
    long = replace(good, flap_mm=good.frame_mm - good.bite_mm + 1.0)
    found = self_fit(make_part(long).folded)
    flaps = [p for p in found if any("flap" in piece for piece in p.pieces)]
    assert flaps
    trims = {p.trim.panel: p.trim.by_mm for p in flaps if p.trim is not None}
    assert trims["back flap"] == pytest.approx(1.0, abs=0.02)
    cured = replace(long, flap_mm=long.flap_mm - max(trims.values()))
    assert not [
        p for p in self_fit(make_part(cured).folded) if any("flap" in piece for piece in p.pieces)
    ]


@pytest.mark.parametrize("excess", [-0.6, 0.4, 1.0])
def test_a_frame_that_is_not_level_does_not_swing_the_glued_walls(excess: float) -> None:
    level = shadow_box()
    tilted = shadow_box(inner_wall=level.inner_wall_mm + excess)
    before, after = (make_part(recipe).sizes.outside_mm for recipe in (level, tilted))
    assert after == pytest.approx(before, abs=2e-3)


def test_tabs_of_a_narrow_tall_tray_have_room_beside_each_other() -> None:
    assert self_fit(make_part(tray(20.0, 20.0, 40.0)).folded) == ()
