"""Odds of several contents against arithmetic on rows, and against discs packed by an optimiser.

Boxes here are cut without error unless a test says otherwise, so that all that varies is what goes
in; items are invented.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import norm

from fitcheck import kinds
from fitcheck.design.model import Content, Design, Item, Lay, Vary
from fitcheck.fit.check import Check, check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.folding.pose import Array
from fitcheck.kinds.kind import Kind
from fitcheck.odds.odds import odds_of
from fitcheck.odds.proof import fold_again
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.quantities import content_slack
from fitcheck.odds.variates import draw_values
from fitcheck.styles.part import SizeBy
from tests.agreement.test_odds_closed_forms import BASE_STOCK, LID_STOCK, design

BOXES = 40_000
EXACT_PAPER = {"caliper_u_mm": 0.0, "crease_allowance_u_mm": 0.0}


def thing(name: str, kind: Kind, size: Sequence[float], u: Sequence[float]) -> Item:
    return Item(
        name=name,
        kind=kind,
        size_mm=tuple(size),
        corner_radius_mm=0.0,
        mesh_path=None,
        size_u_mm=tuple(u),
        size_range_mm=None,
        source="invented for tests",
        hazards=frozenset(),
    )


TRUFFLE = thing("truffle", kinds.CYLINDER, (28.0, 22.0), (0.4, 1.2))
BALL = thing("praline ball", kinds.SPHERE, (28.0,), (0.4,))
COOKIE = thing("cookie", kinds.CYLINDER, (50.0, 12.0), (0.5, 0.8))
SWEET = thing("sweet", kinds.BLOCK, (20.0, 30.0, 12.0), (0.35, 0.4, 0.3))
SLATE = thing("slate", kinds.BLOCK, (40.0, 24.0, 9.0), (0.3, 0.25, 0.2))


def box(
    inside: tuple[float, float],
    depth: float,
    contents: Sequence[Content],
    *,
    lidded: bool = False,
    exact: bool = True,
) -> Design:
    """A tray of that inside, made without any error if `exact`, with a lid if asked."""
    one = design("tray", 2.0)
    assert one.lid is not None
    base = replace(one.base, size_by=SizeBy.INSIDE, size_mm=inside, depth_mm=depth)
    one = replace(one, contents=(*contents,)).with_parts(
        base, replace(one.lid, depth_mm=depth - 3.0)
    )
    if exact:
        tools = replace(
            one.tools, score_u_on_grid_mm=0.0, score_u_off_grid_mm=0.0, fence_u_mm=0.0, cut_u_mm=0.0
        )
        lid = replace(one.lid, stock=replace(LID_STOCK, **EXACT_PAPER)) if one.lid else None
        base = replace(one.base, stock=replace(BASE_STOCK, **EXACT_PAPER))
        one = replace(one, tools=tools, joint_u_mm=0.0).with_parts(base, lid)
    return one if lidded else replace(one, parts=(one.base,))


def of(item: Item, count: int, vary: Vary = Vary.EACH, lay: Lay = Lay.FLAT) -> Content:
    return Content(item, count, lay, vary)


def share(found: Check, boxes: int = BOXES) -> float:
    assert all(fit.verdict is ContentVerdict.FITS for fit in found.contents)
    return odds_of(found, boxes, 3, folded_again=0).contents[0].fits.share


def drawn(
    found: Check, boxes: int, seed: int = 5
) -> tuple[Array, dict[tuple[int, int, int], Array]]:
    """The least room of the first line in drawn boxes, (m,), and each piece's sizes in them, (m,),
    by line, piece and side."""
    prospect, forms = take_prospect(found).asked()
    off = np.empty((len(forms.inputs), boxes))
    draw_values(
        [one.variate for one in forms.inputs],
        np.random.default_rng(seed).spawn(len(forms.inputs)),
        off,
    )
    room = prospect.outlook.evaluate(forms, off)[prospect.outlook.row(content_slack(0))]
    sizes = {
        (line, piece, one.side): found.design.contents[line].item.size_mm[one.side] + row
        for one, row in zip(forms.inputs, off, strict=True)
        for line, piece in one.pieces
    }
    return room, sizes


@pytest.mark.parametrize("vary", Vary)
def test_a_stack_is_a_sum_of_heights(vary: Vary) -> None:
    """Four normal heights under a lid: their sum is off by 2 u, or by 4 u where all are alike."""
    found = check(box((60.0, 64.0), 50.0, [of(COOKIE, 4, vary)], lidded=True))
    slack = found.contents[0].slack
    assert slack is not None and slack.height_mm == pytest.approx(1.82)
    u = 0.8 * (2.0 if vary is Vary.EACH else 4.0)
    expected = norm.cdf(slack.height_mm / u)
    assert share(found) == pytest.approx(expected, abs=4.0 * math.sqrt(0.25 / BOXES))


def rows_of(found: Check) -> list[list[int]]:
    """The pieces of a grid, row by row, read from where they were placed."""
    places = found.contents[0].placements
    ys = sorted({round(place.y_mm, 3) for place in places})
    rows = [[i for i, p in enumerate(places) if round(p.y_mm, 3) == y] for y in ys]
    return [sorted(row, key=lambda i: places[i].x_mm) for row in rows]


@pytest.mark.parametrize("vary", Vary)
def test_sweets_in_rows_are_sums_of_their_sizes(vary: Vary) -> None:
    """Twelve in a tray. They go in if all rows are short enough and the broadest of each row go
    in behind each other, or the same by columns; they do not if a row or a column is too long."""
    found = check(box((61.2, 121.0), 15.0, [of(SWEET, 12, vary)]))
    rows = rows_of(found)
    assert [len(row) for row in rows] == [3, 3, 3, 3]
    room, sizes = drawn(found, 4_000)
    wide, long = (
        np.array([[sizes[0, piece, side] for piece in row] for row in rows]) for side in (0, 1)
    )
    across, along = 61.2 - wide.sum(axis=1), 121.0 - long.sum(axis=0)
    # a glued wall leans out: between its tabs its foot leaves some 3 micrometres on each side
    lean = 0.008
    by_rows = np.minimum(across.min(axis=0), 121.0 - long.max(axis=1).sum(axis=0))
    by_columns = np.minimum(along.min(axis=0), 61.2 - wide.max(axis=0).sum(axis=0))
    surely = np.maximum(by_rows, by_columns) >= 0.0
    maybe = (across.min(axis=0) >= -lean) & (along.min(axis=0) >= -lean)
    fits = room >= 0.0
    assert 0.1 < fits.mean() < 0.97
    assert np.all(fits[surely]) and not np.any(fits[~maybe])


def test_pieces_by_themselves_are_better_odds_than_pieces_all_alike() -> None:
    """Twelve sweets, by rows of normal sizes alone: others make good for one."""
    each, together = (
        share(check(box((61.5, 121.8), 15.0, [of(SWEET, 12, vary)]))) for vary in Vary
    )
    rng = np.random.default_rng(1)
    wide = 20.0 + 0.35 * rng.standard_normal((4, 3, 200_000))
    long = 30.0 + 0.40 * rng.standard_normal((4, 3, 200_000))
    rows = (wide.sum(axis=1) <= 61.5).all(axis=0) & (long.max(axis=1).sum(axis=0) <= 121.8)
    columns = (long.sum(axis=0) <= 121.8).all(axis=0) & (wide.max(axis=0).sum(axis=0) <= 61.5)
    loose = (wide.sum(axis=1) <= 61.5).all(axis=0) & (long.sum(axis=0) <= 121.8).all(axis=0)
    assert (rows | columns).mean() - 0.01 <= each <= loose.mean() + 0.01
    alike = norm.cdf(1.5 / 3.0 / 0.35) * norm.cdf(1.8 / 4.0 / 0.40)
    assert together == pytest.approx(alike, abs=0.01)


def growth_by_optimiser(discs: Array, room: tuple[float, float], starts: Sequence[Array]) -> float:
    """By how much all discs (n,) could grow between the walls of a room: sequential quadratic
    programming (SciPy) on the true distances, the best of some starts (n, 2)."""
    count = len(discs)
    first, second = np.triu_indices(count, 1)
    touch = 0.5 * (discs[first] + discs[second])

    def spare(v: Array) -> Array:
        at, growth = v[:-1].reshape(-1, 2), v[-1]
        apart = np.hypot(*(at[first] - at[second]).T) - touch - growth
        low = (at - 0.5 * (discs + growth)[:, None]).ravel()
        high = (np.array(room) - at - 0.5 * (discs + growth)[:, None]).ravel()
        return np.concatenate([apart, low, high])

    best = -np.inf
    for start in starts:
        found = minimize(
            lambda v: -v[-1],
            np.append(start.ravel(), -1.0),
            jac=lambda v: np.append(np.zeros(2 * count), -1.0),
            constraints={"type": "ineq", "fun": spare},
            method="SLSQP",
            options={"maxiter": 200, "ftol": 1e-10},
        )
        best = max(best, float(found.x[-1] + 2.0 * min(0.0, spare(found.x).min())))
    return best


@cache
def nestling(which: str) -> Check:
    """Eight round things in staggered rows, tight, or three cookies in a triangle; no lid."""
    cases = {
        "truffles": ((87.0, 76.4), 30.0, of(TRUFFLE, 8)),
        "balls": ((87.0, 76.4), 30.0, of(BALL, 8)),
        "cookies": ((100.8, 93.8), 18.0, of(COOKIE, 3)),
    }
    inside, depth, content = cases[which]
    found = check(box(inside, depth, [content]))
    assert "stagger" in found.contents[0].reason
    return found


@pytest.mark.parametrize("which", ["truffles", "balls", "cookies"])
def test_nestled_discs_fit_where_an_optimiser_finds_places(which: str) -> None:
    found = nestling(which)
    boxes = 120
    room, sizes = drawn(found, boxes)
    count = found.contents[0].content.count
    discs = np.array([sizes[0, piece, 0] for piece in range(count)])
    inside = found.design.base.size_mm
    spots = np.array([(p.x_mm, p.y_mm) for p in found.contents[0].placements])
    rng = np.random.default_rng(2)
    starts = [spots, *(spots + rng.normal(0.0, 1.0, spots.shape) for _ in range(2))]
    truth = np.array([growth_by_optimiser(column, inside, starts) for column in discs.T])
    fits = room >= 0.0
    assert 0.15 < fits.mean() < 0.9, "tight enough to tell"
    assert np.all(truth[fits] >= -1e-3), "never yes to what does not fit"
    assert np.mean(fits == (truth >= 0.0)) >= 0.97, "seldom no to what does"


def test_truffles_that_fit_with_room_fit_in_nearly_all_boxes() -> None:
    """Eight truffles of 28 x 22 in 87 x 81: rows of 28 staggered need 28 + 2 sqrt(28^2 - 14.75^2) =
    75.6 of the 81 mm, and 84 of the 87 where three stand side by side (a maker's errors are a few
    tenths of a millimetre); their height is no matter of the plan."""
    plain = box((87.0, 81.0), 26.0, [of(TRUFFLE, 8)], exact=False)
    lidded = box((87.0, 81.0), 29.0, [of(TRUFFLE, 8)], exact=False, lidded=True)
    for one in (plain, lidded):
        found = odds_of(check(one), 10_000, 0, folded_again=0)
        assert found.contents[0].fits.share > 0.985
    taller = replace(TRUFFLE, size_u_mm=(0.4, 3.0))
    tall = odds_of(
        check(box((87.0, 81.0), 26.0, [of(taller, 8)], exact=False)), 10_000, 0, folded_again=0
    )
    assert tall.contents[0].fits.share > 0.985


def scenes() -> dict[str, Design]:
    """Ordinary boxes, made with ordinary errors, tight enough that some fail."""
    return {
        "sweets under a lid": box((61.4, 121.4), 14.6, [of(SWEET, 12)], lidded=True, exact=False),
        "truffles": box((86.4, 76.6), 30.0, [of(TRUFFLE, 8)], exact=False),
        "cookies": box((101.2, 94.2), 20.0, [of(COOKIE, 3)], exact=False),
        "slates and sweets": box(
            (40.7, 60.8),
            21.8,
            [of(SLATE, 2), of(SWEET, 4, Vary.TOGETHER, Lay.ANY)],
            lidded=True,
            exact=False,
        ),
        "piled cookies": box((52.0, 103.0), 37.0, [of(COOKIE, 6)], lidded=True, exact=False),
    }


def again(prospect: Prospect, count: int = 20) -> tuple[int | None, float]:
    """In how many of some boxes folded anew contents fit as drawn; and the share that does."""
    asked, forms = prospect.asked()
    samples = asked.draw(forms, 4_000, 0)
    found = fold_again(
        asked.check,
        asked.workshop,
        asked.outlook,
        forms,
        samples.spreads,
        count,
        np.random.default_rng(9),
    )
    assert found.unfoldable == 0
    room = samples.outcomes[asked.outlook.row(content_slack(0))]
    return found.contents_alike, float(np.mean(room >= 0.0))


@pytest.mark.parametrize("scene", scenes())
def test_contents_put_into_folded_boxes_fit_as_drawn(scene: str) -> None:
    alike, odds = again(take_prospect(check(scenes()[scene])))
    assert 0.05 < odds < 0.97, "a box that always or never fits would show nothing"
    assert alike is not None and alike >= 19


def test_the_proof_does_not_believe_the_odds() -> None:
    """Walls that stand 3 mm further out in the odds than in the box are found out."""
    prospect = take_prospect(check(scenes()["truffles"]))
    several = prospect.outlook.arranged
    assert several is not None
    further = [3.0 * (family in several.families) for family, _ in prospect.limits.keys]
    limits = replace(prospect.limits, values=prospect.limits.values + further)
    wrong = replace(prospect, limits=limits)
    alike, odds = again(wrong, 40)
    assert odds > 0.99
    assert alike is not None and alike < 36
