"""The plain rooms that stand for a folded base: each holds the one before it."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fitcheck.errors import ModelError
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.part import Recipe
from tests.boxes import paper, shadow_boxes, tray, trays
from tests.unit.test_contents import cavity


@settings(max_examples=25, deadline=None)
@given(recipe=st.one_of(trays(), shadow_boxes()))
def test_each_room_holds_the_one_before_it(recipe: Recipe) -> None:
    """And at the rim the walls stand at W - 2 (t - a) and twice the push of the glued corners."""
    try:
        room = cavity(recipe)
    except ModelError:
        assume(False)
    for side in ("width_mm", "length_mm"):
        clear, between, widest = (getattr(r, side) for r in (room.room, room.between, room.widest))
        assert clear <= between + 1e-9 and between <= widest + 1e-9
    if recipe.style == "tray":
        stock = recipe.stock
        push = recipe.joint_mm + stock.caliper_mm - recipe.tab_setback_mm
        bite = 2.0 * (stock.caliper_mm - stock.crease_allowance_mm)
        sides = recipe.width_mm, recipe.length_mm
        # the walls that carry the tabs run along `tabs`; those across it are pushed apart
        pushed = recipe.tabs
        for axis, side, widest in zip(
            Axis, sides, (room.widest.width_mm, room.widest.length_mm), strict=True
        ):
            out = max(0.0, 2.0 * push) if axis is pushed else 0.0
            assert widest == pytest.approx(side - bite + out, abs=0.06)


@pytest.mark.parametrize(
    ("width", "length", "tabs"),
    [
        (63.0, 97.0, Axis.LENGTH),
        (63.0, 97.0, Axis.WIDTH),
        (97.0, 63.0, Axis.LENGTH),
        (97.0, 63.0, Axis.WIDTH),
    ],
)
def test_the_widest_room_is_that_of_the_rim(width: float, length: float, tabs: Axis) -> None:
    """Each wall stands in by t - a; the glued corners push a pair out at the rim by t + g each,
    those that the walls with tabs run into."""
    found = cavity(tray(width, length, 18.0, paper(0.31, 0.17), tabs=tabs))
    foot = {Axis.WIDTH: width - 2 * 0.14, Axis.LENGTH: length - 2 * 0.14}
    widest = {**foot, tabs: foot[tabs] + 2 * (0.31 + 0.1)}
    assert found.widest.width_mm == pytest.approx(widest[Axis.WIDTH], abs=2e-3)
    assert found.widest.length_mm == pytest.approx(widest[Axis.LENGTH], abs=2e-3)
    # half a millimetre over the floor, where the probe stands
    lean = {**foot, tabs: foot[tabs] + 2 * (0.31 + 0.1) * 0.5 / 18.0}
    assert found.between.width_mm == pytest.approx(lean[Axis.WIDTH], abs=2e-2)
    assert found.between.length_mm == pytest.approx(lean[Axis.LENGTH], abs=2e-2)
