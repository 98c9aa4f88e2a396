"""The round inside of upright creases against circles, against plane shapes that are walked into
each other by another library (shapely), and the least errors that lead there by scipy."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import minimize
from shapely import MultiPoint, Polygon, unary_union
from shapely.affinity import translate

from fitcheck.fit.pairs import Pairs
from fitcheck.fit.rounds import Corner, corners_of, stops_in
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.prisms import prism
from fitcheck.odds.limits import distances

UP = np.array([0.0, 0.0, 40.0])
CENTRE, INSIDE, OUTSIDE = (20.0, 30.0), 2.0, 2.5


def crease(high: tuple[bool, bool]) -> list[ConvexPiece]:
    """A quarter of a pipe in 91 slices, upright in one of the corners round the middle."""
    ends = np.linspace(0.0, 0.5 * math.pi, 92)
    sides = np.where(high, 1.0, -1.0)
    found = []
    for start, stop in itertools.pairwise(ends):
        plan = [
            (CENTRE[0] + r * math.cos(a), CENTRE[1] + r * math.sin(a))
            for r, a in ((INSIDE, start), (OUTSIDE, start), (OUTSIDE, stop), (INSIDE, stop))
        ]
        outline = np.array(plan) * sides
        outline = outline if sides.prod() > 0.0 else outline[::-1]
        found.append(prism("crease", frozenset(), outline, 0.0, 20.0))
    return found


def body(high: tuple[bool, bool], at: tuple[float, float]) -> ConvexPiece:
    """A square post whose outermost corner stands at a place of that quarter."""
    low = np.array(at) - 5.0
    plan = [low, (at[0], low[1]), at, (low[0], at[1])]
    sides = np.where(high, 1.0, -1.0)
    outline = np.array(plan) * sides
    return prism("post", frozenset(), outline if sides.prod() > 0.0 else outline[::-1], 0.0, 8.0)


@pytest.mark.parametrize("high", [(False, False), (False, True), (True, False), (True, True)])
@pytest.mark.parametrize("at", [(19.0, 28.5), (20.5, 30.2), (18.0, 31.0)])
def test_the_line_touches_the_circle_in_its_middle(
    high: tuple[bool, bool], at: tuple[float, float]
) -> None:
    """By the circle: half way round it reaches r sqrt(2) along x + y beyond its centre's.

    The slice in the middle lies nearer by r sqrt(2) (1 - cos 0.5 degrees), 0.0001 mm.
    """
    outer, inner = Pieces.joined([crease(high)]), Pieces.joined([[body(high, at)]])
    pairs = Pairs(outer, inner, UP)
    ((corner, boxes),) = corners_of(pairs, np.zeros((1, 3))).items()
    assert corner == Corner("crease", "post", high) and boxes.all()
    line, *nearest = stops_in(outer, inner, np.zeros((1, 3)), [corner])[:, 0, 0]
    assert line == pytest.approx(sum(CENTRE) + math.sqrt(2.0) * INSIDE - sum(at), abs=2e-4)
    for k in (0, 1):
        assert nearest[k] == pytest.approx(CENTRE[k] - at[k])
    moved = np.array([[0.3 if high[0] else -0.3, 0.0, 0.0]])
    again = stops_in(outer, inner, moved, [corner])[:, 0, 0]
    assert again == pytest.approx([line - 0.3, nearest[0] - 0.3, nearest[1]])


def test_no_post_goes_past_what_the_line_and_the_crease_allow() -> None:
    """Posts walked along x into the plan of the slices by shapely: never stopped later than told
    by more than the twelfth of the radius that lies between a line and the arc, and where told
    exactly half way round, there."""
    high = (True, True)
    slices = unary_union([MultiPoint(one.vertices[:, :2]).convex_hull for one in crease(high)])
    for beside in np.linspace(0.1, 1.9, 10):
        at = (18.0, CENTRE[1] + beside)
        post = Polygon([(13.0, at[1] - 5.0), (18.0, at[1] - 5.0), at, (13.0, at[1])])
        free, met = 0.0, 8.0
        for _ in range(50):
            middle = 0.5 * (free + met)
            overlaps = translate(post, middle).intersection(slices).area > 1e-12
            free, met = (free, middle) if overlaps else (middle, met)
        outer, inner = Pieces.joined([crease(high)]), Pieces.joined([[body(high, at)]])
        line, first, _ = stops_in(outer, inner, np.zeros((1, 3)), [Corner("crease", "post", high)])[
            :, 0, 0
        ]
        told = max(line, first)
        assert told >= met - 0.002
        if beside <= INSIDE * math.sin(math.radians(67.5)):
            # up to there another line, or the wall ahead, lies further from the arc
            wall = CENTRE[0] + INSIDE - at[0]
            normal = math.sqrt(2.0) if told < wall else 1.0
            assert min(told, wall) - met <= normal * INSIDE / 12.0 + 0.002


def test_a_post_beneath_or_level_creases_make_no_corners() -> None:
    """A crease that lies along a wall is no corner, nor is what the path never brings near."""
    high = (True, True)
    level = [one.moved(np.diag([1.0, 1.0, 0.05, 1.0])) for one in crease(high)]
    post = [body(high, (19.0, 28.5))]
    for outer, at in ((level, np.zeros(3)), (crease(high), np.array([0.0, 0.0, -9.0]))):
        pairs = Pairs(Pieces.joined([outer]), Pieces.joined([post]), UP)
        assert corners_of(pairs, at[None]) == {}


def test_a_box_without_the_crease_has_no_stop() -> None:
    high = (True, True)
    outer = Pieces.joined([crease(high), []])
    inner = Pieces.joined([[body(high, (19.0, 28.5))]] * 2)
    found = stops_in(outer, inner, np.zeros((2, 3)), [Corner("crease", "post", high)])
    assert np.isfinite(found[:, 0, 0]).all() and not np.isfinite(found[:, 0, 1]).any()


def test_the_least_errors_that_bring_all_together() -> None:
    """Never more than scipy finds by sequential quadratic programming, and hardly less."""
    rng = np.random.default_rng(7)
    ahead, away = rng.normal(size=(30, 4, 6)), rng.uniform(0.5, 3.0, (30, 4))
    told = distances(ahead, away)
    for a, b, own in zip(ahead, away, told, strict=True):
        found = minimize(
            lambda z: z @ z,
            np.zeros(6),
            jac=lambda z: 2.0 * z,
            method="SLSQP",
            constraints={
                "type": "ineq",
                "fun": lambda z, a=a, b=b: a @ z - b,
                "jac": lambda _, a=a: a,
            },
            options={"ftol": 1e-12, "maxiter": 500},
        )
        assert found.success
        least = math.sqrt(found.fun)
        assert own <= least + 1e-6
        assert own >= 0.97 * least
