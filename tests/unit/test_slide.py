"""The swept slide: plays of simple bodies, what blocks them, and nothing thin jumped over."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from fitcheck.fit.contact import difference_body
from fitcheck.fit.slide import slide
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.prisms import prism
from fitcheck.pattern.sheet import Axis

SQUARE = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
DOWN = np.array([0.0, 0.0, -30.0])
HERE = np.zeros(3)


def block(
    name: str, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]
) -> ConvexPiece:
    size = np.array([x[1] - x[0], y[1] - y[0]])
    middle = np.array([0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1])])
    return prism(name, frozenset([name]), SQUARE * size + middle, *z)


def ring(
    width: float, length: float, z: tuple[float, float], wall: float = 1.0
) -> list[ConvexPiece]:
    """Four walls round an opening."""
    w, h = 0.5 * width, 0.5 * length
    return [
        block("left", (-w - wall, -w), (-h, h), z),
        block("right", (w, w + wall), (-h, h), z),
        block("front", (-w, w), (-h - wall, -h), z),
        block("back", (-w, w), (h, h + wall), z),
    ]


def test_play_of_a_block_in_a_ring() -> None:
    found = slide(ring(20.0, 30.0, (0, 10)), [block("b", (-9, 9), (-12, 12), (0, 5))], DOWN, HERE)
    assert found.travels[0].play_mm == pytest.approx(2.0, abs=1e-12)
    assert found.travels[1].play_mm == pytest.approx(6.0, abs=1e-12)
    assert found.free and found.tighter.axis is Axis.WIDTH


def test_press_is_negative_play() -> None:
    found = slide(ring(20.0, 30.0, (0, 10)), [block("b", (-11, 11), (-12, 12), (0, 5))], DOWN, HERE)
    assert found.travels[0].play_mm == pytest.approx(-2.0, abs=1e-12)
    assert found.travels[1].play_mm == pytest.approx(6.0, abs=1e-12)
    assert not found.free


def test_a_part_that_is_far_too_large_still_presses() -> None:
    """The ring's thin walls are inside the block altogether: nothing may pass for free."""
    found = slide(ring(20.0, 30.0, (0, 10)), [block("b", (-15, 15), (-12, 12), (0, 5))], DOWN, HERE)
    assert found.travels[0].play_mm == pytest.approx(-10.0, abs=1e-12)


def test_tightest_place_is_anywhere_on_the_path() -> None:
    """The block ends up below a narrow ring that it has to pass."""
    way = ring(20.0, 30.0, (0, 10)) + ring(18.5, 30.0, (7.0, 7.1))
    found = slide(way, [block("b", (-9, 9), (-12, 12), (0, 5))], DOWN, HERE)
    assert found.travels[0].play_mm == pytest.approx(0.5, abs=1e-12)


def test_a_bar_across_the_way_blocks() -> None:
    way = [*ring(20.0, 30.0, (0, 10)), block("bar", (-9.9, 9.9), (-1, 1), (8.0, 8.2))]
    found = slide(way, [block("b", (-9, 9), (-12, 12), (0, 5))], DOWN, HERE)
    assert found.blocked_by == ("bar", "b")
    assert not found.free


def test_parts_in_one_place_stop_a_slide_in_the_order_in_which_they_come() -> None:
    """Two blocks end the travel in one plane, a third as far on the other side."""
    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    body = prism("body", frozenset(), square, 0.0, 1.0)
    for off in (-1e-13, 0.0, 1e-13):
        posts = [
            prism("first", frozenset(), square + np.array([3.0 + off, 0.5]), 0.0, 1.0),
            prism("second", frozenset(), square + np.array([3.0, -0.5]), 0.0, 1.0),
            prism("left", frozenset(), square - np.array([3.0 - off, 0.0]), 0.0, 1.0),
        ]
        found = slide(posts, [body], np.array([0.0, 0.0, 5.0]), np.zeros(3)).travels[0]
        assert found.high is not None and found.high.outer == "first"
        assert found.limiting is found.low


def test_stepping_jumps_over_what_the_sweep_meets() -> None:
    """A 0.3 mm card past a 0.3 mm ledge: stepped in whole millimetres it seems to go by."""
    card = block("card", (-9, 9), (-12, 12), (0.0, 0.3))
    ledge = block("ledge", (8.0, 10.0), (-12, 12), (5.4, 5.7))
    stepped = trimesh.collision.CollisionManager()
    stepped.add_object("ledge", _mesh(ledge))
    stepped.add_object("card", _mesh(card))
    for height in range(0, 21):
        stepped.set_transform("card", trimesh.transformations.translation_matrix([0, 0, height]))
        assert not stepped.in_collision_internal()
    found = slide([*ring(20.0, 30.0, (0, 10)), ledge], [card], DOWN, HERE)
    assert found.travels[0].play_mm == pytest.approx(2.0 - 2.0, abs=1e-12)
    assert found.travels[0].high is not None and found.travels[0].high.outer == "ledge"


def _mesh(piece: ConvexPiece) -> trimesh.Trimesh:
    return trimesh.convex.convex_hull(piece.vertices)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_difference_body_is_the_hull_of_vertex_differences(seed: int) -> None:
    """The separating-axis half spaces against qhull on all vertex differences (another route)."""
    rng = np.random.default_rng(seed)
    a, b = (_random_prism(rng) for _ in range(2))
    path = np.array([0.0, 0.0, float(rng.uniform(-5, 5))])
    body = difference_body(a, b, path)
    cloud = (a.vertices[:, None] - b.vertices[None]).reshape(-1, 3)
    hull = ConvexHull(np.vstack([cloud, cloud + path]))
    for equation in hull.equations:
        normal = equation[:3]
        assert np.any(
            (np.abs(body.normals - normal).max(axis=1) < 1e-6)
            & (np.abs(body.limits + equation[3]) < 1e-6)
        )
    for _ in range(20):
        start = rng.uniform(-3, 3, 3)
        direction = np.array([1.0, 0.0, 0.0])
        found = body.along(start, direction)
        rate = hull.equations[:, :3] @ direction
        room = -hull.equations[:, 3] - hull.equations[:, :3] @ start
        low = max(room[rate < -1e-12] / rate[rate < -1e-12])
        high = min(room[rate > 1e-12] / rate[rate > 1e-12])
        if high - low > 1e-6:
            assert found == pytest.approx((low, high), abs=1e-7)
        elif high - low < -1e-6:
            assert found is None


def _random_prism(rng: np.random.Generator) -> ConvexPiece:
    corners = rng.integers(3, 7)
    turns = np.sort(rng.uniform(0, 2 * np.pi, corners) * 0.2 + np.linspace(0, 1.6 * np.pi, corners))
    outline = np.column_stack([np.cos(turns), np.sin(turns)]) * rng.uniform(0.5, 3.0)
    hull = outline[ConvexHull(outline).vertices]
    piece = prism("p", frozenset(["p"]), hull, 0.0, float(rng.uniform(0.2, 4.0)))
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    if np.linalg.det(turn) < 0:
        turn[:, 0] *= -1.0
    pose = np.eye(4)
    pose[:3, :3], pose[:3, 3] = turn, rng.uniform(-2, 2, 3)
    return piece.moved(pose)
