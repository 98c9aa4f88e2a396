"""Parts of folding by themselves: one crease by a general rotation, clipped outlines by shapely."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation
from shapely import affinity

from fitcheck.fit.assembly import make_part
from fitcheck.folding.clip import Polygons, are_convex, clip, clip_all, spans_at
from fitcheck.folding.flat import distinct
from fitcheck.folding.fold import fold
from fitcheck.folding.kinematics import bend_poses, child_poses
from fitcheck.folding.lines import Creases
from fitcheck.styles import draw
from tests.boxes import paper, shadow_box, tray

ANGLES = st.floats(0.05, math.pi)
TURNS = st.floats(0.0, 2.0 * math.pi)


def is_convex(outline: np.ndarray) -> bool:
    return bool(are_convex(Polygons(outline[None], np.array([len(outline)])))[0])


def span_at(outline: np.ndarray, level: float) -> tuple[float, float] | None:
    low, high = spans_at(Polygons(outline[None], np.array([len(outline)])), np.array([[level]]))
    return None if np.isnan(low[0, 0]) else (float(low[0, 0]), float(high[0, 0]))


@settings(deadline=None, max_examples=60)
@given(angle=ANGLES, way=TURNS, x=st.floats(-50, 50), y=st.floats(-50, 50), a=st.floats(0.05, 0.6))
def test_a_crease_turns_its_child_about_its_bend(
    angle: float, way: float, x: float, y: float, a: float
) -> None:
    """The strip taken out, the child is drawn up to the bend and turned about its axis, upwards."""
    crease = paper(0.4, a).crease
    outward, origin = np.array([math.cos(way), math.sin(way)]), np.array([x, y])
    flat = make_part(tray(61.0, 97.0, 23.0)).folded.layout
    # the first crease of a real layout put where the example has it
    layout = replace(
        flat,
        creases=Creases.of([crease]),
        origins=np.tile(origin, (1, flat.origins.shape[1], 1)),
        outwards=np.tile(outward, (1, flat.outwards.shape[1], 1)),
    )
    angles = np.full((1, flat.origins.shape[1]), angle)
    half = 0.5 * crease.flat_length(angle)
    u = np.array([*outward, 0.0])
    centre = np.array([*origin, 0.0]) - half * u
    centre[2] = crease.radius_mm + crease.caliper_mm
    turn = Rotation.from_rotvec(angle * np.cross(u, [0.0, 0.0, 1.0]))
    pose = child_poses(layout, angles)[0, 0]
    for point in np.random.default_rng(0).uniform(-60, 60, (4, 3)):
        drawn_up = point - 2.0 * half * u
        expected = centre + turn.apply(drawn_up - centre)
        assert (pose @ np.array([*point, 1.0]))[:3] == pytest.approx(expected, abs=1e-9)
    still = np.tile(np.eye(4), (1, len(flat.counts), 1, 1))
    bend = bend_poses(layout, angles, still)[0, 0]
    assert bend[:3, 3] == pytest.approx(centre)
    assert bend[:3, 0] == pytest.approx(u) and bend[:3, 2] == pytest.approx([0, 0, 1])
    assert np.linalg.det(bend[:3, :3]) == pytest.approx(1.0)
    assert layout.axes[0, 0] == pytest.approx([-outward[1], outward[0]])


@pytest.mark.parametrize("recipe", [tray(61.0, 97.0, 23.0, paper(0.5, 0.8)), shadow_box()])
def test_plates_and_bends_meet_edge_to_edge(recipe: object) -> None:
    """Where a bend begins and ends it touches the two plates: both skins, all along the crease."""
    part = fold(draw(recipe), recipe.stock.crease, recipe.joint_mm)  # type: ignore[attr-defined]
    for line in part.pattern.creases:
        plates = [part.plate(line.parent), part.plate(line.child)]
        bends = [bend for bend in part.bends if bend.name == line.name]
        for bend, angle, plate in (
            (bends[0], 0.0, plates[0]),
            (bends[-1], part.angles[line.child], plates[1]),
        ):
            ends = bend.ends_start if angle == 0.0 else bend.ends_stop
            inverse = np.linalg.inv(plate.pose)
            for rho, z in ((bend.outer_mm, 0.0), (bend.radius_mm, plate.thickness_mm)):
                for y in ends:
                    local = [rho * math.sin(angle), y, -rho * math.cos(angle), 1.0]
                    at = inverse @ bend.pose @ np.array(local)
                    edge = shapely.Polygon(plate.outline).exterior
                    assert at[2] == pytest.approx(z, abs=1e-9)
                    assert edge.distance(shapely.Point(at[:2])) < 1e-6


@settings(deadline=None, max_examples=80)
@given(seed=st.integers(0, 10**6), way=TURNS, share=st.floats(-0.2, 1.2))
def test_clipping_is_what_shapely_leaves(seed: int, way: float, share: float) -> None:
    cloud = np.random.default_rng(seed).uniform((-9, -4), (9, 12), (8, 2))
    hull = shapely.geometry.polygon.orient(shapely.MultiPoint(cloud).convex_hull)
    outline = np.array(hull.exterior.coords[:-1])
    normal = np.array([math.cos(way), math.sin(way)])
    reach = outline @ normal
    limit = reach.min() + share * np.ptp(reach)
    half = affinity.rotate(
        shapely.box(-100, -100, limit, 100), math.degrees(way), origin=(0.0, 0.0)
    )
    left = hull.intersection(half)
    found = clip(outline, normal, limit)
    if left.area < 1e-9:
        assert len(found) == 0 or shapely.Polygon(found).area < 1e-8
    else:
        assert shapely.Polygon(found).symmetric_difference(left).area < 1e-8
        assert is_convex(found) and not is_convex(found[::-1])
        # the same among others, one of which nothing cuts
        rest = clip_all(
            Polygons(np.stack([outline, outline]), np.full(2, len(outline))),
            np.stack([normal, normal]),
            np.array([limit, reach.max() + 1.0]),
        )
        assert np.array_equal(rest.points[0, : rest.counts[0]], found)
        assert np.array_equal(rest.points[1, : rest.counts[1]], outline)
    level = -9.0 + 18.0 * abs(share) / 1.2
    crossed = shapely.LineString([(level, -50), (level, 50)]).intersection(hull)
    span = span_at(outline, level)
    if crossed.is_empty:
        assert span is None
    else:
        assert span == pytest.approx((crossed.bounds[1], crossed.bounds[3]), abs=1e-9)


def test_what_is_convex() -> None:
    bent = np.array([[0, 0], [4, 0], [4, 4], [2, 1.0], [0, 4]])
    assert not is_convex(bent)
    assert is_convex(np.array([[0, 0], [2, 0], [4, 0], [4, 4]]))  # a corner of 180 degrees
    assert span_at(np.array([[0.0, 0], [4, 1], [4, 5], [0, 3]]), 4.0) == (1.0, 5.0)
    assert span_at(np.array([[0.0, 0], [4, 1], [4, 5], [0, 3]]), 4.1) is None
    assert clip(np.empty((0, 2)), np.array([1.0, 0.0]), 1.0).shape == (0, 2)


def test_distinct_numbers_are_those_of_numpy() -> None:
    rng = np.random.default_rng(6)
    for numbers in (rng.integers(0, 9, 40), rng.integers(0, 5000, 7), np.zeros(0, dtype=np.intp)):
        assert np.array_equal(distinct(numbers), np.unique(numbers))


def test_each_corner_is_followed_by_its_polygons_next_one() -> None:
    """The last by the first, whatever stands behind; nothing has a corner where nothing is left."""
    counts = np.array([3, 5, 0, 4])
    points = np.random.default_rng(7).normal(size=(4, 5, 2))
    found = Polygons(points, counts).next_points
    for own, following, count in zip(points, found, counts.tolist(), strict=True):
        assert np.array_equal(following[:count], np.roll(own[:count], -1, axis=0))
    none = Polygons(np.zeros((2, 0, 2)), np.zeros(2, dtype=np.intp))
    assert none.next_points.shape == (2, 0, 2)
