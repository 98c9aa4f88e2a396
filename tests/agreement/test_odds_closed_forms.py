"""Odds against sums of squares written by hand from the plan's errors, and a normal probability.

The closed forms are derived from the design card's sections 4 and 6: a floor is its sheet less two
scores, a wall grows by the crease allowance, a glued corner by caliper and joint. `uncertainties`
(a general library) gives the linear law a second time.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from uncertainties import ufloat

from fitcheck.design.model import Bands, Design, LidVerdict
from fitcheck.fit.check import check
from fitcheck.folding.measure import measure
from fitcheck.odds.inputs import Source, score_u
from fitcheck.odds.intervals import Chance
from fitcheck.odds.landing import play_name
from fitcheck.odds.propagate import linear_law
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.quantities import LID_PLAY, RIM
from fitcheck.pattern.sheet import Axis, Fence, Rule
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.styles.rolled import RolledSpec
from fitcheck.styles.walled import WalledSpec
from fitcheck.units import Unit
from tests.boxes import paper

BOARD = Tools("board", 5.0, 0.10, 0.25, 0.05, 0.20, 0.10, 0.03)
BASE_DEPTH, LID_DEPTH = 23.0, 15.0
"""Off the grooves, and in one."""
DIGITS = 2e-4
"""Slopes over a whole standard uncertainty of a lean bend by less than this share."""


def stock(name: str, caliper: float, allowance: float) -> Stock:
    """A measured paper whose creases stay sharp whatever the error."""
    return replace(
        paper(caliper, allowance), name=name, caliper_u_mm=0.004, crease_allowance_u_mm=0.004
    )


BASE_STOCK, LID_STOCK = stock("base paper", 0.33, 0.15), stock("lid paper", 0.20, 0.08)


def spec(name: str, style: str, made_of: Stock, size: float, depth: float) -> PartSpec:
    """A part; a shadow box has the frame of the example."""
    framed = style == "shadow-box"
    rolled = {"frame_mm": 10.0, "inner_wall_mm": None, "flap_mm": 8.5} if framed else {}
    return (RolledSpec if framed else WalledSpec)(  # type: ignore[arg-type]
        name=name,
        style=style,
        stock=made_of,
        size_by=SizeBy.FLOOR if name == "base" else SizeBy.OVERSIZE,
        size_mm=(80.0, 110.0) if name == "base" else (size, size),
        depth_mm=depth,
        tabs=Axis.WIDTH if framed else Axis.LENGTH,
        **rolled,
    )


def design(style: str, oversize: float, lid_stock: Stock = LID_STOCK) -> Design:
    """A base of that style under a tray."""
    return Design(
        name="test",
        title="Test box",
        unit=Unit.MM,
        tools=BOARD,
        joint_mm=0.10,
        joint_u_mm=0.03,
        bands=Bands(0.15, 0.20, 1.50),
        want=frozenset({LidVerdict.SNUG, LidVerdict.SLIDES}),
        parts=(
            spec("base", style, BASE_STOCK, 0.0, BASE_DEPTH),
            spec("lid", "tray", lid_stock, oversize, LID_DEPTH),
        ),
        contents=(),
        path=None,
    )


@cache
def prospect(style: str, oversize: float = 2.0) -> Prospect:
    """The limits of a box, taken once for all tests."""
    return take_prospect(check(design(style, oversize)))


def u_of_score(at_mm: float) -> float:
    return score_u(BOARD, Rule(Fence.LEFT, at_mm))


def u_of_floor(depth: float) -> float:
    """A floor is the sheet less the two depths measured from both fences."""
    return math.hypot(BOARD.cut_u_mm, u_of_score(depth), u_of_score(depth))


def by_the_linear_law(found: Prospect, axis: Axis) -> tuple[float, float]:
    forms = found.forms()
    value, gradient = found.outlook.sensitivities(forms, play_name(axis))
    law = linear_law([one.variate for one in forms.inputs], value, gradient)
    return law.value, law.u


def tray_on_tray_by_hand(axis: Axis) -> tuple[float, float]:
    """Across the tabbed walls: L - 2(t - a) less B + 2a; along them the base's rim leans out, too.

    With tabs along the length, the width is across the walls that carry tabs.
    """
    lid, base = LID_STOCK, BASE_STOCK
    value = 2.0 - 2 * (lid.caliper_mm - lid.crease_allowance_mm) - 2 * base.crease_allowance_mm
    squares = [u_of_floor(LID_DEPTH) ** 2, u_of_floor(BASE_DEPTH) ** 2]
    squares += [(2 * lid.caliper_u_mm) ** 2, (2 * lid.crease_allowance_u_mm) ** 2]
    squares += [(2 * base.crease_allowance_u_mm) ** 2]
    if axis is Axis.LENGTH:
        value -= 2 * (base.caliper_mm + 0.10)
        squares += [(2 * base.caliper_u_mm) ** 2, (2 * BOARD.joint_u_mm) ** 2]
    return value, math.sqrt(sum(squares))


@pytest.mark.parametrize("axis", Axis)
def test_tray_on_tray_is_the_sum_of_squares(axis: Axis) -> None:
    value, u = by_the_linear_law(prospect("tray"), axis)
    expected = tray_on_tray_by_hand(axis)
    assert value == pytest.approx(expected[0], abs=1e-6)
    assert u == pytest.approx(expected[1], rel=DIGITS)


def test_a_rim_off_the_table_gains_two_calipers_of_its_lid() -> None:
    """A wall's rim stands H + a over its outside face, and the lid's floor lies a caliper over the
    base's rim: H + a of the base less H' + a' - t' of the lid, and another t' may press.

    A leaning base's rim is higher by up to its caliper times its lean, 0.33 x 0.43 / 23.
    """
    found = prospect("tray")
    forms = found.forms()
    value, gradient = found.outlook.sensitivities(forms, RIM)
    lid, base = LID_STOCK, BASE_STOCK
    off = BASE_DEPTH + base.crease_allowance_mm - LID_DEPTH - lid.crease_allowance_mm
    assert value == pytest.approx(off + 2 * lid.caliper_mm, abs=0.33 * 0.43 / 23.0)
    slopes = {one.name: slope for one, slope in zip(forms.inputs, gradient, strict=True)}
    by_paper = {name: slope for name, slope in slopes.items() if "paper" in name}
    expected = {
        "the caliper of lid paper (lid)": 2.0,
        "the crease allowance of lid paper (lid)": -1.0,
        "the caliper of base paper (base)": 0.0,
        "the crease allowance of base paper (base)": 1.0,
    }
    assert by_paper == pytest.approx(expected, abs=0.05)


def test_a_rim_over_a_frame_stands_higher_by_its_second_crease_and_its_lapped_corner() -> None:
    """H + 2 a is a frame's height, and the frame rolled second lies on the first at the corners:
    t + g more."""
    found = prospect("shadow-box")
    value, _ = found.outlook.sensitivities(found.forms(), RIM)
    lid, base = LID_STOCK, BASE_STOCK
    off = BASE_DEPTH + 2 * base.crease_allowance_mm - LID_DEPTH - lid.crease_allowance_mm
    corner = base.caliper_mm + 0.10
    assert value == pytest.approx(off + corner + 2 * lid.caliper_mm, abs=0.05)


def test_tray_on_shadow_box_is_the_sum_of_squares() -> None:
    """The frame rolls inwards, so outside a shadow box is as a tray: tabs along the width, its
    rim leans out along the width."""
    found = prospect("shadow-box")
    depths = 8.5 + (BASE_DEPTH - 0.33 - 0.10) + 10.0 + BASE_DEPTH
    floor = math.hypot(BOARD.cut_u_mm, u_of_score(depths), u_of_score(depths))
    lid, base = LID_STOCK, BASE_STOCK
    squares = [u_of_floor(LID_DEPTH) ** 2, floor**2]
    squares += [(2 * lid.caliper_u_mm) ** 2, (2 * lid.crease_allowance_u_mm) ** 2]
    squares += [(2 * base.crease_allowance_u_mm) ** 2]
    squares += [(2 * base.caliper_u_mm) ** 2, (2 * BOARD.joint_u_mm) ** 2]
    value, u = by_the_linear_law(found, Axis.WIDTH)
    assert value == pytest.approx(2.0 - 2 * 0.12 - 2 * 0.15 - 2 * 0.43, abs=1e-3)
    assert u == pytest.approx(math.sqrt(sum(squares)), rel=5e-3)


def test_an_outside_library_agrees_on_the_linear_law() -> None:
    lid, base = LID_STOCK, BASE_STOCK
    cut_l, cut_b = ufloat(142.0, BOARD.cut_u_mm), ufloat(156.0, BOARD.cut_u_mm)
    near_l, far_l = (ufloat(LID_DEPTH, u_of_score(LID_DEPTH)) for _ in range(2))
    near_b, far_b = (ufloat(BASE_DEPTH, u_of_score(BASE_DEPTH)) for _ in range(2))
    t = ufloat(lid.caliper_mm, lid.caliper_u_mm)
    a = ufloat(lid.crease_allowance_mm, lid.crease_allowance_u_mm)
    t_b = ufloat(base.caliper_mm, base.caliper_u_mm)
    a_b = ufloat(base.crease_allowance_mm, base.crease_allowance_u_mm)
    joint, board = ufloat(0.10, BOARD.joint_u_mm), ufloat(0.0, BOARD.fence_u_mm)
    lid_floor = cut_l - (near_l + board) - (far_l + board)
    base_floor = cut_b - (near_b + board) - (far_b + board)
    play = lid_floor - 2 * (t - a) - base_floor - 2 * a_b - 2 * (t_b + joint)
    value, u = by_the_linear_law(prospect("tray"), Axis.LENGTH)
    assert value == pytest.approx(play.nominal_value, abs=1e-6)
    assert u == pytest.approx(play.std_dev, rel=DIGITS)


def test_the_boards_own_offset_cancels_where_base_and_lid_share_it() -> None:
    found = prospect("tray")
    forms = found.forms()
    column = [one.source for one in forms.inputs].index(Source.BOARD)
    for axis in Axis:
        _, gradient = found.outlook.sensitivities(forms, play_name(axis))
        assert gradient[column] == pytest.approx(0.0, abs=1e-9)
    made = found.workshop.make({forms.inputs[column].name: 0.5})
    assert measure(made.base).floor_outside_mm[0] == pytest.approx(
        found.check.assembly.base.sizes.floor_outside_mm[0] - 1.0, abs=1e-9
    ), "each of the two scores moves away from its own fence"


def test_odds_of_a_mixed_box_are_a_normal_probability() -> None:
    """Tight along the length only, so its play is normal there: 20 seeds, none beyond 3 errors
    but by rare chance (one in 20 seeds has a chance of 5 %), and none on the whole."""
    found, forms = prospect("tray", 1.9).asked()
    value, u = by_the_linear_law(found, Axis.LENGTH)
    expected = 0.5 * math.erfc((value - 0.20) / (u * math.sqrt(2.0)))
    boxes = 20_000
    row = found.outlook.row(play_name(Axis.LENGTH))
    shares = []
    for seed in range(20):
        play = found.draw(forms, boxes, seed).outcomes[row]
        shares.append(Chance(int(np.sum(play < 0.20)), boxes).share)
    error = math.sqrt(expected * (1.0 - expected) / boxes)
    assert max(abs(share - expected) for share in shares) <= 3.0 * error
    assert abs(np.mean(shares) - expected) <= 3.0 * error / math.sqrt(20)


def test_the_smaller_play_is_the_smaller_one_of_each_box() -> None:
    found, forms = prospect("tray").asked()
    drawn = found.draw(forms, 1_000, 0).outcomes
    plays = [drawn[found.outlook.row(play_name(axis))] for axis in Axis]
    assert np.array_equal(drawn[found.outlook.row(LID_PLAY)], np.minimum(*plays))
