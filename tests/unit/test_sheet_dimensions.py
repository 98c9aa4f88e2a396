"""Dimensions of a sheet: where they start, what they point at, and how their values stand."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from fitcheck.drawing.shapes import Anchor, Label
from fitcheck.pattern.sheet import Fence
from fitcheck.sheet.dimensions import (
    RunningLine,
    line_strokes,
    outside_values,
    running_lines,
    value_places,
)
from tests.readers import overlap
from tests.unit.test_sheet_parts import SHEET, edge, placer, plan


@pytest.mark.parametrize("fence", Fence)
def test_running_dimensions_start_at_the_fence_and_point_at_each_score(fence: Fence) -> None:
    running = RunningLine(fence, 31.0, (12.0, 40.0, 71.0))
    whole, circle, *arrows = line_strokes(SHEET, running)
    drawn = shapely.LineString(whole.points)
    assert drawn.length == pytest.approx(71.0)
    assert drawn.distance(edge(fence)) == pytest.approx(0.0, abs=1e-9)
    round_ = shapely.Polygon(circle.points)
    assert round_.centroid.distance(shapely.Point(whole.points[0])) == pytest.approx(0.0, abs=1e-9)
    radii = [math.dist(p, whole.points[0]) for p in circle.points]
    assert radii == pytest.approx([0.7] * 16)
    assert round_.is_valid and round_.area == pytest.approx(8.0 * 0.49 * math.sin(math.tau / 16))
    for arrow, at in zip(arrows, running.stops_mm, strict=True):
        one, tip, two = arrow.points
        assert shapely.Point(tip).distance(edge(fence)) == pytest.approx(at)
        assert shapely.Point(tip).distance(drawn) == pytest.approx(0.0, abs=1e-9)
        for barb in (one, two):
            assert math.dist(barb, tip) == pytest.approx(2.2)
            assert shapely.Point(barb).distance(edge(fence)) < at
        assert math.dist(one, two) == pytest.approx(2 * 2.2 * math.sin(math.radians(15)))
    for label in itertools.islice(value_places(SHEET, running, 40.0, "40"), 8):
        score = shapely.LineString([SHEET.spot(fence, 40.0, v) for v in (0.0, 110.0)])
        box = shapely.box(label.box.left, label.box.bottom, label.box.right, label.box.top)
        assert 0.3 < box.distance(score) < 1.5 and label.upright == fence.upright
        assert 0.5 < box.distance(drawn) < 8.0


def test_a_dimension_line_meets_all_its_scores_or_else_the_longest() -> None:
    left, top = running_lines(plan())
    assert (left.fence, left.stops_mm) == (Fence.LEFT, (20.0, 21.0, 22.5))
    assert 30.0 < left.along_mm < 90.0
    assert (top.fence, top.stops_mm) == (Fence.TOP, (15.0, 30.0))
    assert 80.0 < top.along_mm < 150.0
    other = running_lines(plan(), 1)
    assert other[0].along_mm != left.along_mm and 30.0 < other[0].along_mm < 90.0


@pytest.mark.parametrize("number", [0, 1])
def test_values_beside_the_sheet_keep_their_order_and_off_each_other(number: int) -> None:
    running = running_lines(plan())[number]
    texts = [f"{at:g}" for at in running.stops_mm]
    free = placer()
    labels, leaders = outside_values(free, plan(), running, texts)
    sheet = shapely.box(0, 0, 200, 120)
    k = 0 if running.fence.upright else 1
    assert [x.text for x in sorted(labels, key=lambda x: x.at[k])] == (
        texts if not running.fence.far else texts[::-1]
    )
    assert not overlap(label.box for label in labels)
    for one, other in itertools.combinations(labels, 2):
        assert abs(one.at[k] - other.at[k]) >= 3.4 - 1e-9
    for label in labels:
        box = shapely.box(label.box.left, label.box.bottom, label.box.right, label.box.top)
        assert not box.intersects(sheet)
        assert label.anchor is (Anchor.START if running.fence.far else Anchor.END)
        assert isinstance(label, Label) and not free.is_free(label.box)
    mean = np.mean([label.at[k] for label in labels])
    places = [SHEET.spot(running.fence, at, 0.0)[k] for at in running.stops_mm]
    assert mean == pytest.approx(np.mean(places), abs=0.7)
    for leader in leaders:
        start = shapely.Point(leader.points[0])
        scores = [
            shapely.LineString([SHEET.spot(s.fence, s.at_mm, v) for v in (s.start_mm, s.stop_mm)])
            for s in plan().scores
            if s.fence is running.fence
        ]
        assert min(start.distance(shapely.MultiPoint(list(s.coords))) for s in scores) < 1e-9
