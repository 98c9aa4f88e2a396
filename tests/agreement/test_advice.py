"""The change that is advised does what it promises: by a normal probability, and drawn afresh.

The closed forms are those of `test_odds_closed_forms`: a tray on a tray has two plays that are sums
of its errors, so the share of right boxes is a bivariate normal probability (SciPy's integral).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from fitcheck import kinds
from fitcheck.design.model import Content, Design, Item, Lay
from fitcheck.fit.check import check
from fitcheck.odds.advice import advise
from fitcheck.odds.change_words import change_words
from fitcheck.odds.intervals import surely_more
from fitcheck.odds.odds import hands_for, odds_of
from fitcheck.odds.prospect import good_chance, take_prospect
from fitcheck.odds.result import Advice
from fitcheck.odds.suggest import suggest
from fitcheck.styles.part import SizeBy
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import (
    BASE_STOCK,
    BOARD,
    LID_STOCK,
    design,
    u_of_floor,
)

BOXES = 20_000
TIGHT, LOOSE, SHIFTY = 0.0, 1.50, 3.00


def right_by_hand(one: Design, cut_share: float = 1.0) -> float:
    """The share of trays on trays whose smaller play is from 0 to 1.5 mm, the larger below 3.

    `cut_share` makes the cuts' errors smaller or larger.
    """
    assert one.lid is not None
    board = replace(one.tools, cut_u_mm=one.tools.cut_u_mm * cut_share)
    lid, base = LID_STOCK, BASE_STOCK
    over = np.array(one.lid.size_mm)
    means = over - 2 * (lid.caliper_mm - lid.crease_allowance_mm) - 2 * base.crease_allowance_mm
    means[1] -= 2 * (base.caliper_mm + one.joint_mm)
    shared = (2 * lid.caliper_u_mm) ** 2
    shared += (2 * lid.crease_allowance_u_mm) ** 2 + (2 * base.crease_allowance_u_mm) ** 2
    own = 0.0
    for depth in (one.lid.depth_mm, one.base.depth_mm):
        scores = u_of_floor(depth) ** 2 - BOARD.cut_u_mm**2
        own += scores + board.cut_u_mm**2
    pushed = (2 * base.caliper_u_mm) ** 2 + (2 * one.joint_u_mm) ** 2
    covariance = [[own + shared, shared], [shared, own + shared + pushed]]
    law = multivariate_normal(cov=covariance)

    def both_between(low: float, high: float) -> float:
        a, b = low - means, high - means
        return float(law.cdf(b) - law.cdf([a[0], b[1]]) - law.cdf([b[0], a[1]]) + law.cdf(a))

    return both_between(TIGHT, SHIFTY) - both_between(LOOSE, SHIFTY)


def advised(one: Design, boxes: int = BOXES) -> Advice | None:
    prospect = take_prospect(check(one))
    return advise(prospect, hands_for(prospect, boxes, 0))


@pytest.mark.parametrize("oversize", [0.5, 1.0, 1.7, 3.5])
def test_the_promise_is_a_normal_probability(oversize: float) -> None:
    """Before and after, for lids that bind, go on by chance, and are loose."""
    found = advised(design("tray", oversize))
    assert found is not None and found.design is not None
    for chance, one in ((found.before, design("tray", oversize)), (found.after, found.design)):
        by_hand = right_by_hand(one)
        error = math.sqrt(by_hand * (1.0 - by_hand) / BOXES)
        assert abs(chance.share - by_hand) < 4.0 * error + 1e-3
    assert check(found.design).fits


def test_no_other_lid_helps_more() -> None:
    """All lids on half millimetres and all depths in grooves tried by the closed form."""
    one = design("tray", 0.9)
    found = advised(one)
    assert found is not None and one.lid is not None
    halves = [0.9, *(0.5 * n for n in range(1, 9))]
    sizes = [replace(one.lid, size_mm=(wide, long)) for wide in halves for long in halves]
    sizes = [lid for lid in sizes if len({*lid.size_mm}) == 1 or 0.9 in lid.size_mm]
    depths = [replace(one.lid, depth_mm=5.0 * n) for n in (2, 4)]
    others = [one.with_parts(lid) for lid in (*sizes, *depths)]
    others += [one.with_parts(replace(one.base, depth_mm=d)) for d in (20.0, 25.0)]
    assert found.after.share > max(right_by_hand(other) for other in others) - 0.01


def test_boxes_of_the_changed_design_drawn_afresh_keep_the_promise() -> None:
    """A framed box of off-square sizes: its own gradients and another seed."""
    one = design("shadow-box", 1.2)
    assert one.lid is not None
    one = one.with_parts(replace(one.lid, size_mm=(1.2, 0.9)))
    found = advised(one)
    assert found is not None and found.design is not None
    for chance, made in ((found.before, one), (found.after, found.design)):
        prospect, forms = take_prospect(check(made)).asked()
        anew = good_chance(prospect, prospect.draw(forms, BOXES, seed=77))
        assert abs(anew.share - chance.share) < 4.0 * (anew.error + chance.error)
    assert found.after.share > found.before.share + 0.2


def test_cures_that_make_it_worse_are_not_given() -> None:
    """A lid that is drawn too small goes on by luck only: surer cuts leave less of it."""
    one = design("tray", 0.7)
    assert right_by_hand(one, 0.5) < right_by_hand(one) - 0.01, "by the closed form"
    odds = odds_of(check(one), BOXES, folded_again=0)
    assert [gain.what for gain in odds.gains if "cut" in gain.what] == []
    assert all(gain.after.hits > gain.before.hits for gain in odds.gains)
    wide = odds_of(check(design("tray", 1.9)), BOXES, folded_again=0)
    told = {gain.what: gain for gain in wide.gains}
    assert "cut the lid's sheet twice as exactly" in told


def test_more_than_chance_explains() -> None:
    """Paired counts: 12 won and 4 lost of 100 is 8 against 2 sqrt(16), not yet more."""
    before = np.arange(100) < 50
    after = before.copy()
    after[50:62] = True
    after[:4] = False
    assert not surely_more(before, after)
    after[62] = True
    assert surely_more(before, after)


def test_nothing_is_advised_where_nothing_helps() -> None:
    exact = replace(
        BOARD, score_u_on_grid_mm=0.02, score_u_off_grid_mm=0.02, cut_u_mm=0.02, fence_u_mm=0.01
    )
    assert advised(replace(design("tray", 2.0), tools=exact), 2_000) is None


def test_a_lid_that_drops_into_its_base_is_advised_wider() -> None:
    one = design("tray", -3.0)
    lid = check(one).lid
    assert lid is not None and lid.falls_in
    found = advised(one, 4_000)
    assert found is not None and found.design is not None
    assert found.before.hits == 0
    assert found.after.share == pytest.approx(right_by_hand(found.design), abs=0.03)
    assert found.change.startswith("make the lid ") and found.change.endswith("instead of -3 mm")


INCH = 25.4


@pytest.mark.parametrize(
    ("unit", "oversize"),
    [(Unit.MM, mm) for mm in (-12.0, -5.0, -1.0, -0.5, 0.0)]
    + [(Unit.IN, INCH * share) for share in (-1 / 2, -1 / 16, 0.0, 1 / 64)],
)
def test_a_lid_that_is_much_too_small_is_made_as_wide_as_goes_best(
    unit: Unit, oversize: float
) -> None:
    """As wide as no lid on whole steps beats by the closed form, and said to be made so."""
    step = 0.5 if unit is Unit.MM else INCH / 32
    one = replace(design("tray", oversize), unit=unit)
    assert one.lid is not None
    lids = [
        replace(one.lid, size_mm=(wide * step, long * step))
        for wide in range(9)
        for long in range(9)
    ]
    best = max(right_by_hand(one.with_parts(lid)) for lid in lids)
    found = advised(one)
    assert found is not None and found.design is not None
    assert found.before.share < 0.05 < best - 0.5
    assert found.after.share == pytest.approx(right_by_hand(found.design), abs=0.015)
    assert found.after.share > best - 0.03
    assert found.design.lid is not None
    steps = np.array(found.design.lid.size_mm) / step
    np.testing.assert_allclose(steps, np.round(steps), atol=1e-6, err_msg="it can be cut")
    assert found.change.startswith("make the lid ") and "twice as exactly" not in found.change


def test_tools_without_errors_are_folded_through() -> None:
    exact = replace(
        BOARD, score_u_on_grid_mm=0.0, score_u_off_grid_mm=0.0, cut_u_mm=0.0, fence_u_mm=0.0
    )
    found = advised(replace(design("tray", 0.5), tools=exact), 500)
    assert found is not None and found.design is not None
    assert found.after.share > 0.99 and check(found.design).fits


def slate(height: float) -> Item:
    return Item(
        name="slate",
        kind=kinds.BLOCK,
        size_mm=(79.0, 70.0, height),
        corner_radius_mm=0.0,
        mesh_path=None,
        size_u_mm=(0.3, 0.3, 0.3),
        size_range_mm=None,
        source="invented for tests",
        hazards=frozenset(),
    )


def test_contents_that_are_too_tall_want_a_deeper_base() -> None:
    """23 - 0.18 mm of room below the lid for 23 mm of slate: half of them are too tall."""
    one = replace(design("tray", 2.0), contents=(Content(slate(22.7), 1, Lay.FLAT),))
    found = advised(one, 4_000)
    assert found is not None and found.design is not None
    assert found.design.base.depth_mm > one.base.depth_mm
    assert found.change.startswith("make the base ")
    assert found.after.share > found.before.share + 0.1


@pytest.mark.parametrize("height", [27.0, 34.0, 46.0])
def test_contents_far_too_tall_are_let_in_by_the_base_that_they_need(height: float) -> None:
    """A tray under a tray leaves as much height as its depth, less a hair: the next groove does."""
    one = replace(design("tray", 2.0), contents=(Content(slate(height), 1, Lay.FLAT),))
    deep = 5.0 * math.ceil((height + 0.5) / 5.0)
    by_hand = right_by_hand(one.with_parts(replace(one.base, depth_mm=deep)))
    found = advised(one, 4_000)
    assert found is not None and found.design is not None and found.before.hits == 0
    assert height < found.design.base.depth_mm <= deep
    assert found.after.share > by_hand - 0.03
    ranked = suggest(one, 4_000).ranked
    assert ranked and ranked[0].good.share > by_hand - 0.03
    assert all(option.design.base.depth_mm <= deep + 5.0 for option in ranked)


@pytest.mark.parametrize("depth", [27.0, 30.0, 40.0])
def test_a_lid_that_is_too_deep_is_made_shallower_or_its_base_deeper(depth: float) -> None:
    """Its rim is off the table where its walls reach down less than the base is high."""
    one = design("tray", 2.0)
    assert one.lid is not None
    one = one.with_parts(replace(one.lid, depth_mm=depth))
    by_hand = right_by_hand(design("tray", 2.0))
    found = advised(one, 4_000)
    assert found is not None and found.design is not None and found.design.lid is not None
    assert found.before.hits == 0 and found.after.share > by_hand - 0.03
    assert found.design.lid.depth_mm < found.design.base.depth_mm + 0.5
    ranked = suggest(one, 4_000).ranked
    assert ranked and ranked[0].good.share > by_hand - 0.03
    low = [option.design.lid.depth_mm for option in ranked if option.design.lid is not None]
    assert min(low) <= one.base.depth_mm, "a shallower lid, which is less paper"


def test_a_lid_from_the_bases_sheet_moves_its_scores_and_no_more() -> None:
    """Score to score it is larger by twice what its scores are moved, and as much shallower."""
    one = design("tray", 0.0)
    assert one.lid is not None
    lid = replace(one.lid, size_by=SizeBy.SAME_SHEET, size_mm=(0.5, 0.5))
    one = one.with_parts(lid)
    assert one.lid is not None and one.lid.depth_mm == 22.5
    found = advised(one)
    assert found is not None and found.design is not None and found.design.lid is not None
    assert found.change == (
        "move the lid's scores 1 mm nearer the edge than the base's instead of 0.5 mm"
    )
    assert found.design.lid.depth_mm == 22.0
    same = design("tray", 2.0)
    assert same.lid is not None
    by_hand = right_by_hand(same.with_parts(replace(same.lid, depth_mm=22.0)))
    assert found.after.share == pytest.approx(by_hand, abs=0.015)


def inches(one: Design, size: tuple[float, float]) -> Design:
    assert one.lid is not None
    lid = replace(one.lid, size_mm=size)
    board = replace(BOARD, grid_mm=INCH / 8)
    return replace(one, unit=Unit.IN, tools=board).with_parts(lid)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            (INCH / 16, INCH / 16),
            (INCH * 3 / 32, INCH * 3 / 32),
            "make the lid 3/32 in wider and longer than the base instead of 1/16 in",
        ),
        (
            (INCH / 16, INCH / 32),
            (INCH * 3 / 32, INCH / 16),
            "make the lid 3/32 in wider and 1/16 in longer than the base instead of 1/16 in and "
            "1/32 in",
        ),
        (
            (INCH / 16, INCH / 16),
            (INCH * 3 / 32, INCH / 16),
            "make the lid 3/32 in wider than the base instead of 1/16 in",
        ),
        (
            (INCH / 16, INCH / 16),
            (INCH / 16, INCH / 8),
            "make the lid 1/8 in longer than the base instead of 1/16 in",
        ),
        (
            (1.0, 1.0),
            (INCH / 16, INCH / 16),
            "make the lid 1/16 in wider and longer than the base instead of 1 mm",
        ),
    ],
)
def test_a_lid_in_words(old: tuple[float, float], new: tuple[float, float], said: str) -> None:
    one = design("tray", 1.0)
    assert change_words(inches(one, old), inches(one, new)) == said


def test_depths_and_rolls_in_words() -> None:
    one = design("shadow-box", 2.0)
    assert one.lid is not None
    deeper = one.with_parts(replace(one.lid, depth_mm=17.5))
    assert change_words(one, deeper) == "make the lid 17.5 mm deep instead of 15 mm"
    back = (
        "make the lid 15 mm deep instead of 17.5 mm, so that its scores lie in the board's grooves"
    )
    assert change_words(deeper, one) == back
    deep = one.with_parts(replace(one.base, depth_mm=25.0))
    rolled = deep.with_parts(replace(deep.base, inner_wall_mm=25.0, flap_mm=10.0))
    assert change_words(deep, rolled) == (
        "make the base's inner wall 25 mm and its flap 10 mm, so that its scores lie in the "
        "board's grooves"
    )
    wider = one.with_parts(replace(one.base, size_mm=(80.5, 110.5)))
    assert change_words(one, wider) == (
        "make the base's floor 80.5 mm x 110.5 mm instead of 80 mm x 110 mm"
    )


def test_sizes_between_steps_are_brought_onto_them() -> None:
    one = design("tray", 0.73)
    assert one.lid is not None
    one = one.with_parts(replace(one.lid, size_mm=(0.73, 3.21)))
    found = advised(one)
    assert found is not None and found.design is not None and found.design.lid is not None
    for now, was in zip(found.design.lid.size_mm, one.lid.size_mm, strict=True):
        own = now / 0.5
        assert now == was or abs(own - round(own)) < 1e-6
