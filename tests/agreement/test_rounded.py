"""Balls, lying cylinders and upright prisms against coal, shapely and brute force.

The exact contact sweeps a body up and rounds it off. The other routes do neither: coal measures
the distance of a ball or a cylinder to the convex hull of a piece and its path, shapely that of
two plans. Where the line leaves the body of displacements that distance is nothing.
"""

from __future__ import annotations

import coal
import numpy as np
import pytest
import shapely
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from fitcheck.fit.plans import plan_above
from fitcheck.fit.rounded import Ball, Rod, Upright, ball_body, rod_body, upright_body
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import translation
from fitcheck.folding.prisms import prism

UP_MM = 60.0
PATH = np.array([0.0, 0.0, -UP_MM])
SEEDS = range(12)
LEVEL = [np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.array([0.6, -0.8, 0.0])]


def plate(rng: np.random.Generator) -> ConvexPiece:
    """A thin plate of an uneven outline, in any attitude near the origin."""
    angles = np.sort(rng.uniform(0.0, 2.0 * np.pi, 6)) + np.linspace(0.0, 0.01, 6)
    outline = np.column_stack([22.0 * np.cos(angles), 13.0 * np.sin(angles)])
    outline = outline[ConvexHull(outline).vertices]
    pose = translation(rng.uniform(-6.0, 6.0, 3))
    pose[:3, :3] = Rotation.random(random_state=rng.integers(1 << 30)).as_matrix()
    return prism("plate", frozenset(["plate"]), outline, 0.0, 0.7).moved(pose)


def convex(points: np.ndarray) -> coal.ConvexBase:
    cloud = coal.StdVec_Vec3s()
    cloud.extend(points)
    return coal.ConvexBase.convexHull(cloud, True, "Qt")


def distance(swept: coal.ConvexBase, shape: object, pose: coal.Transform3s) -> float:
    result = coal.DistanceResult()
    return coal.distance(swept, coal.Transform3s(), shape, pose, coal.DistanceRequest(), result)


def at(place: np.ndarray, turn: np.ndarray | None = None) -> coal.Transform3s:
    return coal.Transform3s(np.eye(3) if turn is None else turn, place)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_ball_leaves_a_piece_where_coal_says_so(seed: int) -> None:
    rng = np.random.default_rng(seed)
    piece = plate(rng)
    ball = Ball("b", rng.uniform(-4.0, 4.0, 3), rng.uniform(3.0, 9.0))
    swept = convex(np.vstack([piece.vertices, piece.vertices + PATH]))
    body, met = ball_body(piece, ball, PATH), 0
    for way in LEVEL:
        start = rng.uniform(-3.0, 3.0, 3)
        ends = body.along(start, way)
        if ends is None:
            continue
        met += 1
        for end, out in zip(ends, (-1.0, 1.0), strict=True):
            for beyond, sign in ((0.02, 1.0), (-0.02, -1.0)):
                middle = ball.middle + start + (end + out * beyond) * way
                gap = distance(swept, coal.Sphere(ball.radius_mm), at(middle))
                assert gap * sign > 0.0
            touching = ball.middle + start + end * way
            gap = distance(swept, coal.Sphere(ball.radius_mm), at(touching))
            assert gap == pytest.approx(0.0, abs=1e-5)
    assert met


@pytest.mark.parametrize("seed", SEEDS)
def test_how_deep_a_ball_is(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    piece = plate(rng)
    ball = Ball("b", rng.uniform(-20.0, 20.0, 3), 4.0)
    swept = convex(np.vstack([piece.vertices, piece.vertices + PATH]))
    body = ball_body(piece, ball, PATH)
    for _ in range(6):
        start = rng.uniform(-30.0, 30.0, 3)
        gap = distance(swept, coal.Sphere(4.0), at(ball.middle + start))
        if gap > -3.9:  # beyond, the middle is inside the piece, where coal counts otherwise
            assert body.depth(start) == pytest.approx(-gap, abs=1e-5)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_lying_cylinder_leaves_a_piece_where_coal_says_so(seed: int) -> None:
    rng = np.random.default_rng(200 + seed)
    piece, turn = plate(rng), rng.uniform(0.0, np.pi)
    way = np.array([np.cos(turn), np.sin(turn), 0.0])
    rod = Rod("r", rng.uniform(-4.0, 4.0, 3), way, rng.uniform(5.0, 20.0), rng.uniform(2.0, 9.0))
    # coal's cylinder stands along z: its x, y, z go to up, level and along the rod
    frame = np.column_stack([[0.0, 0.0, 1.0], [-way[1], way[0], 0.0], way])
    frame[:, 1] *= np.sign(np.linalg.det(frame))
    shape = coal.Cylinder(rod.radius_mm, 2.0 * rod.half_mm)
    swept = convex(np.vstack([piece.vertices, piece.vertices + PATH]))
    body = rod_body(piece, rod, PATH)
    for line in LEVEL:
        start = rng.uniform(-3.0, 3.0, 3)
        ends = body.along(start, line)
        if ends is None:
            places = rod.middle + start + np.linspace(-50.0, 50.0, 201)[:, None] * line
            assert all(distance(swept, shape, at(place, frame)) > -1e-6 for place in places)
            continue
        for end in ends:
            middle = rod.middle + start + end * line
            gap = distance(swept, shape, at(middle, frame))
            # facets stand outside the round by 5e-4 mm at the most, more along a slanting line
            assert -1e-5 <= gap <= 1e-3


@pytest.mark.parametrize("seed", SEEDS)
def test_an_upright_prism_leaves_a_piece_where_shapely_says_so(seed: int) -> None:
    """The plan of what a piece has above the foot, cut by brute force: points of its hull."""
    rng = np.random.default_rng(300 + seed)
    piece = plate(rng)
    foot = float(piece.vertices[:, 2].mean())
    weights = rng.dirichlet(np.full(len(piece.vertices), 0.15), 40_000)
    inside = weights @ piece.vertices
    seen = shapely.MultiPoint(inside[inside[:, 2] > foot][:, :2]).convex_hull
    plan = plan_above(piece, foot)
    assert plan is not None
    cut = shapely.Polygon(plan)
    assert cut.buffer(1e-9).contains(seen) and seen.area > 0.93 * cut.area
    core = np.array([[-5.0, -2.0], [4.0, -3.0], [5.0, 2.5], [-3.0, 3.0]])
    upright = Upright("u", core, 1.7, foot, foot + 5.0)
    body = upright_body(plan, upright)
    for line in LEVEL:
        start = rng.uniform(-2.0, 2.0, 3)
        ends = body.along(start, line)
        assert ends is not None
        for end in ends:
            moved = shapely.Polygon(core + (start + end * line)[:2])
            assert cut.distance(moved) == pytest.approx(1.7, abs=1e-9)
        far = start + (ends[1] + 3.0) * line
        gap = cut.distance(shapely.Polygon(core + far[:2])) - 1.7
        assert body.depth(far) == pytest.approx(-gap, abs=1e-9)


def test_nothing_above_the_foot_is_no_obstacle() -> None:
    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    piece = prism("low", frozenset(["low"]), square, 0.0, 2.0)
    assert plan_above(piece, 2.0) is None
    assert plan_above(piece, 1.0) == pytest.approx(square)
