"""Outlines of meshes: thinned ones hold the true one, keep its extents and reach little beyond.

Shapely says what holds what and how far apart two outlines are; a disc's figure is in closed form.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from fitcheck.kinds.outlines import MOST_CORNERS, convex_outline


def ellipse(across: float, along: float, count: int, turn: float) -> np.ndarray:
    angles = np.linspace(0, 2 * math.pi, count, endpoint=False) + 0.123
    points = np.column_stack((across * np.cos(angles), along * np.sin(angles)))
    return points @ np.array([(math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))])


def rounded_bar() -> np.ndarray:
    """A bar of 90 x 31 mm, 1 degree askew, with corners of 4 mm radius in 400 steps each."""
    corner = ellipse(4.0, 4.0, 1600, 0.0)
    points = np.vstack([corner + np.array((x, y)) for x in (-41, 41) for y in (-11.5, 11.5)])
    turn = math.radians(1.0)
    return points @ np.array([(math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))])


@pytest.mark.parametrize(
    ("points", "beyond_mm"),
    [
        (ellipse(50, 50, 5000, 0.0), 50 * (1 / math.cos(math.pi / MOST_CORNERS) - 1)),
        (ellipse(50, 23, 5000, 0.4), 0.04),
        (rounded_bar(), 0.01),
    ],
)
def test_a_thinned_outline_holds_the_true_one(points: np.ndarray, beyond_mm: float) -> None:
    middle = points - 0.5 * (points.min(axis=0) + points.max(axis=0))
    true = shapely.MultiPoint(middle).convex_hull
    found = shapely.Polygon(convex_outline(points))
    assert len(found.exterior.coords) - 1 <= MOST_CORNERS + 8
    assert found.exterior.is_ccw and found.convex_hull.area == pytest.approx(found.area)
    assert true.difference(found).area < 1e-9
    assert found.bounds == pytest.approx(true.bounds, abs=1e-9)
    # Edges go two by two, so that some are left twice as long as in an even ring: 4 times at most.
    assert found.hausdorff_distance(true) <= 4.0 * beyond_mm


def test_an_outline_of_few_corners_stays_as_it_is() -> None:
    points = ellipse(50, 23, MOST_CORNERS, 0.4)
    found = shapely.Polygon(convex_outline(points))
    middle = points - 0.5 * (points.min(axis=0) + points.max(axis=0))
    assert found.equals(shapely.MultiPoint(middle).convex_hull)
