"""Boxes made with measured tools against closed forms written by hand, for a lopsided tray.

A floor is its sheet less two scores. A trimmer that cuts c too large gives a floor c larger; a
board whose scores lie s(d) too far from the fence at a depth d gives one 2 s(d) smaller.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from uncertainties import ufloat

from fitcheck.fit.check import check
from fitcheck.odds.assumed import with_assumed_hand
from fitcheck.odds.inputs import Source
from fitcheck.odds.odds import odds_of
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.quantities import play_name
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import SeenBoard, Stock
from fitcheck.stock.tools import Habits, Tools
from tests.agreement.test_odds_closed_forms import (
    BASE_DEPTH,
    BASE_STOCK,
    BOARD,
    DIGITS,
    LID_DEPTH,
    LID_STOCK,
    by_the_linear_law,
    design,
    u_of_floor,
)

HABITS = Habits(
    cut_mm=-0.18,
    cut_u_mm=0.05,
    fence_mm=0.11,
    between_mm=0.07,
    between_u_mm=0.06,
    scale=0.004,
    scale_u=0.0008,
    scale_from_mm=85.0,
)
MEASURED = replace(BOARD, habits=HABITS)


def measured(tools: Tools = MEASURED, oversize: float = 2.0) -> Prospect:
    return take_prospect(check(replace(design("tray", oversize), tools=tools)))


def too_far(at_mm: float, *, groove: bool) -> float:
    """Of a score, by hand."""
    return 0.11 + 0.004 * (at_mm - 85.0) + (0.0 if groove else 0.07)


def test_a_floor_is_what_the_tools_make_of_it() -> None:
    base, lid = measured().check.assembly.parts
    off = -0.18 - 2 * too_far(BASE_DEPTH, groove=False)
    wide, long = base.sizes.floor_outside_mm[:2]
    # along the length the glued walls lean, which adds some micrometres
    assert (wide, long) == pytest.approx((80.30 + off, 110.30 + off), abs=6e-3)
    off = -0.18 - 2 * too_far(LID_DEPTH, groove=True)
    wide, long = lid.sizes.floor_outside_mm[:2]
    assert (wide, long) == pytest.approx((82.16 + off, 112.16 + off), abs=6e-3)


@pytest.mark.parametrize("axis", Axis)
def test_the_play_and_what_measuring_leaves_open(axis: Axis) -> None:
    """`uncertainties`, a general library, carries the errors that both parts share."""
    c = ufloat(-0.18, HABITS.cut_u_mm)
    fence, scale = ufloat(0.11, BOARD.fence_u_mm), ufloat(0.004, HABITS.scale_u)
    between = ufloat(0.07, HABITS.between_u_mm)
    lid_own, base_own = ufloat(0.0, u_of_floor(LID_DEPTH)), ufloat(0.0, u_of_floor(BASE_DEPTH))
    t = ufloat(LID_STOCK.caliper_mm, LID_STOCK.caliper_u_mm)
    a = ufloat(LID_STOCK.crease_allowance_mm, LID_STOCK.crease_allowance_u_mm)
    t_b = ufloat(BASE_STOCK.caliper_mm, BASE_STOCK.caliper_u_mm)
    a_b = ufloat(BASE_STOCK.crease_allowance_mm, BASE_STOCK.crease_allowance_u_mm)
    joint = ufloat(0.10, BOARD.joint_u_mm)
    lid = 2.0 + c + lid_own - 2 * (fence + scale * (LID_DEPTH - 85.0))
    base = c + base_own - 2 * (fence + scale * (BASE_DEPTH - 85.0) + between)
    play = lid - 2 * (t - a) - base - 2 * a_b
    if axis is Axis.LENGTH:
        play -= 2 * (t_b + joint)
    value, u = by_the_linear_law(measured(), axis)
    assert value == pytest.approx(play.nominal_value, abs=1e-5)
    assert u == pytest.approx(play.std_dev, rel=DIGITS)


def test_what_nobody_measured_is_no_input() -> None:
    plain = take_prospect(check(design("tray", 2.0)))
    sources = {one.source for one in plain.workshop.inputs}
    assert not sources & {Source.SCALE, Source.BETWEEN, Source.TRIMMER}
    assert {Source.SCALE, Source.BETWEEN, Source.TRIMMER} <= {
        one.source for one in measured().workshop.inputs
    }


def test_boxes_folded_anew_agree_with_the_limits() -> None:
    found = odds_of(measured().check, 2000, folded_again=20)
    assert found.agreement.verdicts_alike == found.agreement.boxes == 20
    assert found.agreement.trusted


def test_what_measuring_was_worth_is_a_normal_probability() -> None:
    """Half the scatter, no habit: the share of boxes that are not too tight, by the error function.

    A box is right here where its play along the length, the smaller one, is above nothing.
    """
    sure = replace(
        BOARD,
        cut_u_mm=0.05,
        score_u_on_grid_mm=0.03,
        score_u_off_grid_mm=0.05,
        assumed=BOARD,
        records=("r.csv",),
    )
    found = measured(sure, 1.55)
    assumed = with_assumed_hand(found.check, 20_000)
    assert assumed is not None
    odds = odds_of(found.check, 20_000, folded_again=0)
    for tools, share in ((sure, odds.good.share), (BOARD, assumed.share)):
        value, u = by_the_linear_law(measured(tools, 1.55), Axis.LENGTH)
        expected = 0.5 * math.erfc(-value / (u * math.sqrt(2.0)))
        assert share == pytest.approx(expected, abs=0.012)
    assert with_assumed_hand(check(design("tray", 2.0)), 100) is None


def test_the_board_s_scale_from_papers_coupons_goes_into_the_fold() -> None:
    """W + 2 a less 2 b d: scores d from their fences lie b d too far.

    Each coupon's 0.006 +- 0.0015 and -0.010 +- 0.002 holds the belief 0 +- 0.003 already, which
    counts once: by inverse variance the weights add up less one of it.
    """
    seen = SeenBoard("board", 0.006, 0.0015)
    plain = design("tray", 2.0, replace(LID_STOCK, board=replace(seen, scale=-0.01, scale_u=0.002)))
    told = plain.with_parts(replace(plain.base, stock=replace(BASE_STOCK, board=seen)), plain.lid)
    weight = 1 / 0.0015**2 + 1 / 0.002**2 - 1 / 0.003**2
    b, b_u = (0.006 / 0.0015**2 - 0.010 / 0.002**2) / weight, weight**-0.5
    found = take_prospect(check(told))
    base, lid = found.check.assembly.parts
    assert base.sizes.floor_outside_mm[0] == pytest.approx(80.30 - 2 * b * BASE_DEPTH, abs=1e-6)
    assert lid.sizes.floor_outside_mm[0] == pytest.approx(82.16 - 2 * b * LID_DEPTH, abs=1e-6)
    (scale,) = [one for one in found.workshop.inputs if one.source is Source.SCALE]
    assert scale.variate.u == pytest.approx(b_u)
    value, u = by_the_linear_law(found, Axis.WIDTH)
    before = by_the_linear_law(measured(BOARD), Axis.WIDTH)
    assert value - before[0] == pytest.approx(2 * b * (BASE_DEPTH - LID_DEPTH), abs=1e-6)
    apart = 2 * b_u * (BASE_DEPTH - LID_DEPTH)
    assert u == pytest.approx(math.hypot(before[1], apart), rel=DIGITS)


WIDTHS = {"base paper": (25.0, 50.0, 75.0), "lid paper": (40.0, 90.0, 110.0)}
"""Of each coupon's folds: a width n is read as n (1 + b) + 2 a, give or take READ_U_MM."""
READ = {"base paper": (25.37, 50.21, 75.16), "lid paper": (40.20, 90.33, 110.48)}
READ_U_MM = 0.06


def by_least_squares(*papers: str) -> tuple[np.ndarray, np.ndarray]:
    """Allowances of papers and their board's scale from their folds, with covariance.

    The scale is believed to be 0 +- 0.003 beforehand (normal equations of any textbook).
    """
    rows = [
        [*(2.0 if own == paper else 0.0 for own in papers), n]
        for paper in papers
        for n in WIDTHS[paper]
    ]
    found = [w - n for paper in papers for w, n in zip(READ[paper], WIDTHS[paper], strict=True)]
    design_matrix = np.array([*rows, [*(0.0 for _ in papers), 1.0]])
    weights = np.array([READ_U_MM**-2] * len(rows) + [0.003**-2])
    covariance = np.linalg.inv(design_matrix.T @ (weights[:, None] * design_matrix))
    return covariance @ design_matrix.T @ (weights * np.array([*found, 0.0])), covariance


def on_its_own(stock: Stock) -> Stock:
    """A paper with what its own coupon says, as if there were no other one."""
    (a, b), covariance = by_least_squares(stock.name)
    a_u, b_u = np.sqrt(np.diag(covariance))
    by = covariance[0, 1] / covariance[1, 1]
    board = SeenBoard("board", b, b_u, allowance_by_scale_mm=by)
    return replace(
        stock, crease_allowance_mm=a, crease_allowance_u_mm=a_u, board=board, calibrated=True
    )


OURS = replace(BOARD, name="our board", assumed=BOARD)
"""The same board, measured under a name of its own after the papers' coupons were scored on it."""


@pytest.mark.parametrize("tools", [BOARD, OURS], ids=["board", "own name"])
@pytest.mark.parametrize("base_depth", [BASE_DEPTH, 60.0])
def test_two_coupons_of_one_board_are_one_fit_of_all_their_folds(
    base_depth: float, tools: Tools
) -> None:
    """Each paper fitted alone, then put together, is all of them fitted at once by numpy."""
    (a_b, a_l, b), covariance = by_least_squares(*WIDTHS)
    base, lid = on_its_own(BASE_STOCK), on_its_own(LID_STOCK)
    assert base.board is not None and lid.board is not None
    assert abs(base.board.scale - lid.board.scale) > 0.001
    plain = design("tray", 2.0, lid)
    deep = replace(plain.base, stock=base, depth_mm=base_depth)
    plain = replace(plain, tools=tools)
    found = take_prospect(check(plain.with_parts(deep, plain.lid)))
    value, u = by_the_linear_law(found, Axis.WIDTH)
    t, t_u = LID_STOCK.caliper_mm, LID_STOCK.caliper_u_mm
    by_scale = 2 * (base_depth - LID_DEPTH)
    by = np.array([-2.0, 2.0, by_scale])
    floors = [u_of_floor(LID_DEPTH), u_of_floor(base_depth)]
    assert value == pytest.approx(2.0 - 2 * t + by @ [a_b, a_l, b], abs=2e-6)
    others = math.hypot(*floors, 2 * t_u)
    assert u == pytest.approx(math.sqrt(others**2 + by @ covariance @ by), rel=DIGITS)


def test_a_scale_moves_a_deep_box_by_many_times_its_share() -> None:
    """Walls 60 mm deep under a lid of 15 mm: a share b of scale is 2 (60 - 15) b of play.

    A share moves a fit by many times itself, which is no other pair of walls that meets.
    """
    tools = replace(BOARD, habits=Habits(scale=0.004, scale_u=0.003))
    plain = design("tray", 2.0)
    deep = plain.with_parts(replace(plain.base, depth_mm=60.0), plain.lid)
    found = take_prospect(check(replace(deep, tools=tools)))
    forms = found.forms()
    _, gradient = found.outlook.sensitivities(forms, play_name(Axis.WIDTH))
    (scale,) = [n for n, one in enumerate(forms.inputs) if one.source is Source.SCALE]
    assert gradient[scale] == pytest.approx(2 * (60.0 - LID_DEPTH), rel=1e-6)
    odds = odds_of(found.check, 2000, folded_again=20)
    assert odds.agreement.trusted
    assert not [one for one in odds.findings if one.code == "odds-not-confirmed"]


@pytest.mark.parametrize(
    "board", [SeenBoard("another", 0.006, 0.001), SeenBoard("board", 0.006, 0.003)]
)
def test_another_board_or_a_coupon_that_told_nothing_changes_nothing(board: SeenBoard) -> None:
    plain = design("tray", 2.0)
    other = plain.with_parts(replace(plain.base, stock=replace(BASE_STOCK, board=board)))
    assert check(other).assembly.base.sizes == check(plain).assembly.base.sizes
    inputs = take_prospect(check(other)).workshop.inputs
    assert not [one for one in inputs if one.source is Source.SCALE]


def test_a_measured_hand_and_a_paper_s_coupon_tell_one_scale() -> None:
    """0.004 +- 0.0008 by the hand's own readings, 0.002 +- 0.0006 after a coupon fitted with them.

    The coupon's holds the hand's already, so both together say the very same; and where it adds
    nothing, all stays as it was measured.
    """
    told = SeenBoard("board", 0.002, 0.0006, believed=(0.004, 0.0008))
    plain = replace(design("tray", 2.0), tools=MEASURED)
    other = plain.with_parts(replace(plain.base, stock=replace(BASE_STOCK, board=told)), plain.lid)
    tools = check(other).assembly.tools
    assert (tools.habits.scale, tools.habits.scale_u) == pytest.approx((0.002, 0.0006))
    assert replace(tools.habits, scale=0.004, scale_u=0.0008) == HABITS
    silent = replace(told, scale=0.004, scale_u=0.0008)
    other = plain.with_parts(
        replace(plain.base, stock=replace(BASE_STOCK, board=silent)), plain.lid
    )
    habits = check(other).assembly.tools.habits
    assert (habits.scale, habits.scale_u) == pytest.approx((0.004, 0.0008))
