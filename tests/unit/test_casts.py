"""Casts worked out together against the half spaces of each pair, one by one (another route)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from fitcheck.fit.assembly import make_part
from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.contact import difference_body
from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.lid import lid_pieces
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.prisms import prism
from fitcheck.pattern.sheet import Axis
from tests.boxes import paper, shadow_box, tray
from tests.unit.test_slide import _random_prism

UP = np.array([0.0, 0.0, 1.0])
SAME_MM = 1e-9


def one_by_one(
    outers: list[ConvexPiece],
    inners: list[ConvexPiece],
    path: np.ndarray | None,
    start: np.ndarray,
    direction: np.ndarray,
) -> np.ndarray:
    found = [
        difference_body(outer, inner, path).along(start, direction) or (np.nan, np.nan)
        for outer, inner in zip(outers, inners, strict=True)
    ]
    return np.array(found).T


def rounded(rng: np.random.Generator, floor: float) -> ConvexPiece:
    """An upright prism over many corners on an ellipse, unevenly spread."""
    at = np.sort(rng.uniform(0.0, 2.0 * np.pi, int(rng.integers(5, 120))))
    size = rng.uniform(0.5, 4.0, 2)
    outline = np.column_stack([np.cos(at), np.sin(at)]) * size + rng.uniform(-1.0, 1.0, 2)
    return prism("body", frozenset(), outline, floor, floor + float(rng.uniform(0.1, 3.0)))


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 10**6))
def test_leaning_pieces_are_cast_as_their_half_spaces_say(seed: int) -> None:
    rng = np.random.default_rng(seed)
    outers, inners = ([_random_prism(rng) for _ in range(12)] for _ in range(2))
    start = rng.uniform(-2.0, 2.0, 3)
    for path in (None, np.array([0.0, 0.0, float(rng.uniform(-6, 6))]), rng.uniform(-4, 4, 3)):
        for direction in (*DIRECTIONS.values(), UP):
            got = np.array(casts(PiecePairs.of(outers, inners), path, start, direction))
            want = one_by_one(outers, inners, path, start, direction)
            assert got == pytest.approx(want, abs=SAME_MM, nan_ok=True)


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 10**6))
def test_past_an_upright_piece_the_plan_says_the_same(seed: int) -> None:
    """The path ends in the middle of some of the leaning pieces, so that they are cut."""
    rng = np.random.default_rng(seed)
    body = rounded(rng, float(rng.uniform(-2.0, 2.0)))
    assert Pieces.joined([[body]]).uprights(np.zeros(1, dtype=np.intp)).all()
    outers = [_random_prism(rng) for _ in range(20)]
    path = np.array([0.0, 0.0, float(rng.uniform(-8, 8))])
    start = rng.uniform(-2.0, 2.0, 3)
    for direction in DIRECTIONS.values():
        got = np.array(casts(PiecePairs.of(outers, [body] * len(outers)), path, start, direction))
        want = one_by_one(outers, [body] * len(outers), path, start, direction)
        assert got == pytest.approx(want, abs=SAME_MM, nan_ok=True)


def test_a_cast_is_the_optimum_of_a_linear_programme() -> None:
    """Farthest x for which a point of each piece and one of the path agree: scipy's optimiser."""
    rng = np.random.default_rng(5)
    path = np.array([0.0, 0.0, -7.0])
    body = rounded(rng, 0.3)
    outers = [_random_prism(rng) for _ in range(30)]
    start = np.array([0.2, -0.1, 0.4])
    pairs = PiecePairs.of(outers, [body] * len(outers))
    low, high = casts(pairs, path, start, DIRECTIONS[Axis.WIDTH])
    met = 0
    for k, outer in enumerate(outers):
        a, b = len(outer.vertices), len(body.vertices)
        # weights of the outer piece's corners, of the body's, the share of the path, and x
        same = np.column_stack([outer.vertices.T, -body.vertices.T, path, -DIRECTIONS[Axis.WIDTH]])
        whole = np.zeros((2, a + b + 2))
        whole[0, :a], whole[1, a : a + b] = 1.0, 1.0
        limits = [(0, None)] * (a + b) + [(0, 1), (None, None)]
        ends = [
            linprog(
                sign * np.eye(a + b + 2)[-1],
                A_eq=np.vstack([same, whole]),
                b_eq=[*start, 1.0, 1.0],
                bounds=limits,
            )
            for sign in (1.0, -1.0)
        ]
        if ends[0].success:
            met += 1
            assert (low[k], high[k]) == pytest.approx((ends[0].fun, -ends[1].fun), abs=1e-6)
        else:
            assert np.isnan(low[k]) and np.isnan(high[k])
    assert 5 < met < 30


@pytest.mark.parametrize("allowance_mm", [0.2, None, 0.3])
def test_casts_of_folded_parts(allowance_mm: float | None) -> None:
    """A lid on a framed base, and a card with round corners in it: sharp, turning, round creases.

    Both stand off the middle, each past the other's plates and bends wherever the boxes overlap.
    """
    stock = paper(0.33, allowance_mm)
    base = make_part(shadow_box(stock=stock)).folded
    lid = make_part(tray(84.1, 115.9, 15.9, paper(0.18, 0.1), part="lid")).folded
    up, start = np.array([0.0, 0.0, 60.0]), np.array([0.03, -0.05, 0.0])
    card = prism("card", frozenset(), _card(85.6, 53.98, 3.18), 0.33, 1.09)
    rng = np.random.default_rng(2)
    over = lid_pieces(lid, 22.4)
    pairs = [(a, b) for a in over for b in base.pieces if _near(a, b)]
    pairs = [pairs[k] for k in rng.permutation(len(pairs))[:500]]
    for path, chosen in ((up, pairs), (-up, [(piece, card) for piece in base.pieces])):
        outers, inners = (list(side) for side in zip(*chosen, strict=True))
        for direction in DIRECTIONS.values():
            got = np.array(casts(PiecePairs.of(outers, inners), path, start, direction))
            want = one_by_one(outers, inners, path, start, direction)
            assert got == pytest.approx(want, abs=SAME_MM, nan_ok=True)
            assert np.isfinite(got).any() and np.isnan(got).any()


def _near(a: ConvexPiece, b: ConvexPiece) -> bool:
    return bool(np.all(a.low[:2] < b.high[:2] + 1.0) and np.all(a.high[:2] > b.low[:2] - 1.0))


def _card(width: float, length: float, radius: float) -> np.ndarray:
    """A card with round corners, 40 corners to each quarter."""
    turn = (np.arange(160) + 0.5) * np.pi / 80
    arc = np.column_stack([np.cos(turn), np.sin(turn)])
    return np.sign(arc) * (0.5 * np.array([width, length]) - radius) + radius * arc


def test_pieces_that_touch_do_not_meet() -> None:
    """A body that stands on the floor plate passes beside it; one a hair lower does not."""
    floor = prism("floor", frozenset(), np.array([[-9, -9], [9, -9], [9, 9], [-9, 9]]), 0.0, 0.3)
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    path = np.array([0.0, 0.0, -20.0])
    for height, meets in ((0.3, False), (0.3 - 1e-6, True)):
        body = prism("body", frozenset(), square, height, height + 2.0)
        one = PiecePairs.of([floor], [body])
        low, high = casts(one, path, np.zeros(3), DIRECTIONS[Axis.LENGTH])
        assert np.isfinite(low[0]) == meets and np.isfinite(high[0]) == meets


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_nearest_first_leaves_out_only_what_cannot_be_first(seed: int) -> None:
    rng = np.random.default_rng(seed)
    reach = rng.uniform(-1.0, 5.0, 200)
    bounds = reach - rng.exponential(0.3, 200)
    missed = rng.random(200) < 0.4
    groups = rng.integers(0, 30, 200)
    reach[missed] = np.nan
    looked: list[int] = []

    def look(rows: np.ndarray) -> np.ndarray:
        looked.extend(rows.tolist())
        return reach[rows]

    within = float(rng.uniform(0.0, 2.0))
    found = nearest_first(bounds, look, within, groups)
    assert len(looked) == len(set(looked)) < 200
    first = np.nanmin(reach)
    for group in range(30):
        own = reach[(groups == group) & ~missed]
        if len(own) and own.min() <= first + within:
            assert np.nanmin(found[groups == group]) == own.min()
