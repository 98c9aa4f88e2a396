"""A crease allowance turns into a bend and back, and the uncalibrated rule is its middle case."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import InputError
from fitcheck.stock.crease import Crease, crease_from_allowance, uncalibrated_allowance
from fitcheck.stock.paper import Stock

RIGHT_ANGLE = math.pi / 2
calipers = st.floats(min_value=0.05, max_value=2.0)
pressed = st.floats(min_value=0.05, max_value=0.599)
too_thick = st.floats(min_value=0.6, max_value=5.0)
shares = st.floats(min_value=0.0, max_value=2.0)


@given(calipers, shares, st.booleans())
def test_the_allowance_comes_back_as_growth(caliper: float, share: float, half_cut: bool) -> None:
    allowance = share * caliper
    crease = crease_from_allowance(allowance, caliper, half_cut=half_cut)
    assert crease.growth(RIGHT_ANGLE) == pytest.approx(allowance, abs=1e-12)
    assert crease.radius_mm >= 0


@given(pressed)
def test_the_uncalibrated_rule_is_no_radius_and_the_middle_line(caliper: float) -> None:
    allowance, u = uncalibrated_allowance(caliper)
    assert allowance == pytest.approx(0.6073 * caliper, abs=5e-5 * caliper)
    assert u == pytest.approx(0.15 * caliper)
    crease = crease_from_allowance(allowance, caliper)
    assert crease.radius_mm == 0
    assert crease.neutral == pytest.approx(0.5, abs=1e-12)


@given(too_thick)
def test_board_too_thick_to_press_bends_in_its_uncut_half(caliper: float) -> None:
    """Cut half through, t/2 stands out whole, and the other half adds 1 - pi/8 of itself, its
    neutral line a quarter of the sheet from the inside face."""
    allowance, u = uncalibrated_allowance(caliper)
    half = caliper / 2
    assert allowance == pytest.approx(half + (1 - math.pi / 8) * half, rel=1e-12)
    assert u == pytest.approx(0.15 * caliper)
    crease = crease_from_allowance(allowance, caliper, half_cut=True)
    assert crease.radius_mm == 0 and crease.skin_mm == half
    assert crease.neutral == pytest.approx(0.25, abs=1e-12)


def test_the_two_branches_meet_where_they_change() -> None:
    """A cut fold is sharp until its neutral line lies in the inside face, all the sheet outside."""
    for edge, cut in (((1 - math.pi / 8) * 0.3, False), (0.3, True)):
        below, above = (
            crease_from_allowance(edge + step, 0.3, half_cut=cut) for step in (-1e-9, 1e-9)
        )
        assert below.neutral == pytest.approx(above.neutral, abs=1e-7)
        assert below.radius_mm == pytest.approx(above.radius_mm, abs=1e-7)
        assert below.radius_mm == 0.0 < above.radius_mm


@pytest.mark.parametrize("allowance", [-0.001, 0.6001, math.nan, math.inf])
def test_an_allowance_outside_two_calipers_is_refused(allowance: float) -> None:
    with pytest.raises(InputError, match=r"crease allowance: read .* 0 to 2 calipers"):
        crease_from_allowance(allowance, 0.3)


@pytest.mark.parametrize("caliper", [0.0, -0.3, math.nan, math.inf])
def test_a_caliper_that_is_no_thickness_is_refused(caliper: float) -> None:
    with pytest.raises(InputError, match="caliper: read"):
        crease_from_allowance(0.0, caliper)


def test_an_unfolded_crease_uses_and_grows_nothing() -> None:
    crease = crease_from_allowance(0.2, 0.33)
    assert crease.flat_length(0) == 0
    assert crease.growth(0) == 0


@pytest.mark.parametrize("angle", [-0.1, math.pi + 0.1, math.nan])
def test_fold_angles_out_of_range_are_refused(angle: float) -> None:
    crease = Crease(radius_mm=0.1, neutral=0.5, caliper_mm=0.3)
    with pytest.raises(ValueError, match="fold"):
        crease.flat_length(angle)
    with pytest.raises(ValueError, match="fold"):
        crease.growth(angle)
    with pytest.raises(ValueError, match="less than pi"):
        crease.growth(math.pi)


def test_a_stock_knows_its_crease() -> None:
    stock = Stock("s", "card", 0.33, 0.01, 0.25, 0.02, True)
    assert stock.crease == crease_from_allowance(0.25, 0.33)
