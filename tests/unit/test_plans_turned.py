"""Plans turned both ways and shifted, against a general geometry library (shapely)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from fitcheck.fit.outline import content_piece, plan_outline
from fitcheck.kinds.poses import Disc, Footprint, Polygon, Pose, Rectangle
from fitcheck.packing.placing import Placement, extents, plan_gap, room_gap, verify
from fitcheck.packing.room import Room
from fitcheck.packing.turning import best_pose_turn

SHIELD = Polygon(((-11.0, -6.0), (4.0, -8.0), (13.0, 1.0), (2.0, 9.0), (-7.0, 5.0)))
"""No two sides alike: it shows which way it was turned."""


def pose(width: float, length: float, footprint: Footprint) -> Pose:
    return Pose("flat", width, length, 3.0, footprint)


POSES = {
    "shield": pose(24.0, 17.0, SHIELD),
    "block": pose(31.0, 12.0, Rectangle()),
    "card": pose(31.0, 12.0, Rectangle(3.5)),
    "coin": pose(19.0, 19.0, Disc()),
}


def plan(body: Pose) -> shapely.Polygon:
    """The plan about its middle, drawn by the library itself."""
    if isinstance(body.footprint, Polygon):
        return shapely.Polygon(body.footprint.points)
    if isinstance(body.footprint, Disc):
        return shapely.Point(0.0, 0.0).buffer(body.width_mm / 2.0, quad_segs=800)
    radius = body.footprint.corner_radius_mm
    half = body.width_mm / 2.0 - radius, body.length_mm / 2.0 - radius
    core = shapely.box(-half[0], -half[1], half[0], half[1])
    return core.buffer(radius, quad_segs=800) if radius else core


def put(body: Pose, turn_deg: float, x: float, y: float) -> shapely.Polygon:
    turned = affinity.rotate(plan(body), turn_deg, origin=(0.0, 0.0))
    return affinity.translate(turned, x, y)


@pytest.mark.parametrize("name", POSES)
@pytest.mark.parametrize("turn", [0.0, 17.0, -17.0, 90.0, 200.0])
def test_a_content_stands_turned_the_way_it_is_said(name: str, turn: float) -> None:
    """Counter-clockwise for a positive angle, facets outside the round by 5e-4 mm at the most."""
    body = POSES[name]
    piece = content_piece("it", body, turn, 0.33)
    count = len(piece.vertices) // 2
    outline = shapely.Polygon(piece.vertices[:count, :2])
    true = put(body, turn, 0.0, 0.0)
    assert outline.exterior.is_ccw and outline.is_valid
    assert outline.buffer(1e-6).contains(true)
    assert true.buffer(5e-4 + 1e-6).contains(outline)
    assert (piece.vertices[:count, 2].min(), piece.vertices[count:, 2].max()) == (0.33, 3.33)
    assert len(plan_outline(body)) == count


@pytest.mark.parametrize("name", POSES)
@pytest.mark.parametrize("turn", [-35.0, -8.0, 0.0, 12.0, 90.0, 140.0])
def test_extents_and_room_of_a_turned_body(name: str, turn: float) -> None:
    body = Placement("it", POSES[name], 26.0, 19.0, 1.5, turn)
    x0, y0, x1, y1 = put(POSES[name], turn, 26.0, 19.0).bounds
    assert extents(body) == pytest.approx((x0, y0, x1, y1), abs=1e-5)
    for room in (Room(45.0, 60.0, 20.0), Room(90.0, 33.0, 20.0), Room(90.0, 60.0, 4.6)):
        least = min(x0, y0, room.width_mm - x1, room.length_mm - y1, 1.5, room.height_mm - 4.5)
        assert room_gap(room, body) == pytest.approx(least, abs=1e-5)


def test_gaps_of_turned_bodies_are_those_of_the_library() -> None:
    rng = np.random.default_rng(2)
    poses = list(POSES.values())
    apart = 0
    for _ in range(300):
        one, other = (
            Placement("it", poses[rng.integers(4)], *rng.uniform(-20, 20, 2), 0.0, float(turn))
            for turn in rng.uniform(-180, 180, 2)
        )
        drawn = [put(p.pose, p.turn_deg, p.x_mm, p.y_mm) for p in (one, other)]
        gap = plan_gap(one, other)
        apart += gap > 0.0
        assert max(gap, 0.0) == pytest.approx(drawn[0].distance(drawn[1]), abs=1e-4)
        assert plan_gap(other, one) == pytest.approx(gap, abs=1e-9)
    assert apart > 50


def test_two_that_pass_each_other_turned_one_way_meet_when_turned_the_other() -> None:
    room = Room(60.0, 60.0, 10.0)
    bar = POSES["block"]
    one = Placement("a", bar, 24.0, 24.0, 0.0, 40.0)
    side_by_side = [one, Placement("b", bar, 16.0, 35.0, 0.0, 40.0)]
    crossed = [one, Placement("b", bar, 16.0, 35.0, 0.0, -40.0)]
    drawn = [put(bar, turn, 16.0, 35.0) for turn in (40.0, -40.0)]
    first = put(bar, 40.0, 24.0, 24.0)
    assert first.distance(drawn[0]) > 0.0 and first.intersects(drawn[1])
    assert verify(room, side_by_side) == ()
    assert any("overlap" in fault for fault in verify(room, crossed))


@pytest.mark.parametrize("seed", range(6))
def test_the_best_turn_of_a_lopsided_plan_by_trying_every_angle(seed: int) -> None:
    """The library turns it by every tenth of a degree; none leaves more, ours leaves as much."""
    rng = np.random.default_rng(seed)
    cloud = rng.uniform((-20, -8), (20, 8), (7, 2))
    hull = shapely.MultiPoint(cloud).convex_hull
    x0, y0, x1, y1 = hull.bounds
    hull = affinity.translate(hull, -0.5 * (x0 + x1), -0.5 * (y0 + y1))
    points = tuple(shapely.geometry.polygon.orient(hull).exterior.coords[:-1])
    body = pose(x1 - x0, y1 - y0, Polygon(points))
    a, b = float(rng.uniform(25, 40)), float(rng.uniform(12, 40))
    found = best_pose_turn(body, a, b)

    def left(angle: float) -> tuple[float, float]:
        low_x, low_y, high_x, high_y = affinity.rotate(hull, angle, origin=(0, 0)).bounds
        return a - (high_x - low_x), b - (high_y - low_y)

    assert (found.slack_width_mm, found.slack_length_mm) == pytest.approx(left(found.angle_deg))
    tried = max(min(left(angle)) for angle in np.arange(0.0, 360.0, 0.1))
    assert found.least_mm >= tried - 1e-9
    assert found.least_mm <= tried + 40.0 * math.radians(0.1)


def over(lower: Placement, x: float, y: float, turn: float) -> tuple[str, ...]:
    """Faults of a 31 x 12 bar on top of another body, its middle at (x, y)."""
    upper = Placement("b", POSES["block"], x, y, 3.0, turn)
    return verify(Room(100.0, 100.0, 10.0), [lower, upper])


def test_a_body_turned_on_top_stands_when_its_middle_is_over_what_is_below() -> None:
    """The lower bar reaches from 34.5 to 65.5 and from 24 to 36."""
    lower = Placement("a", POSES["block"], 50.0, 30.0, 0.0)
    for x, y, stands in (
        (64.0, 35.0, True),
        (36.0, 25.0, True),
        (66.0, 30.0, False),
        (33.0, 30.0, False),
        (50.0, 37.0, False),
        (50.0, 23.0, False),
    ):
        assert (over(lower, x, y, 25.0) == ()) == stands, (x, y)
    turned = Placement("a", POSES["block"], 50.0, 30.0, 0.0, 40.0)
    drawn = put(POSES["block"], 40.0, 50.0, 30.0)
    for x, y in ((58.0, 38.0), (58.0, 22.0), (42.0, 22.0), (42.0, 38.0), (60.0, 44.0)):
        assert (over(turned, x, y, 0.0) == ()) == drawn.contains(shapely.Point(x, y)), (x, y)


def test_what_two_tops_carry_between_them() -> None:
    """Two posts 4 x 6: a bar's middle must lie over the hull of where they touch it."""
    post = Pose("flat", 4.0, 6.0, 3.0)
    posts = [Placement("p", post, x, y, 0.0) for x, y in ((30.0, 40.0), (48.0, 36.0))]
    tops = [shapely.box(p.x_mm - 2, p.y_mm - 3, p.x_mm + 2, p.y_mm + 3) for p in posts]
    bar = POSES["block"]
    rng = np.random.default_rng(0)
    seen = set()
    for x, y in rng.uniform((28, 30), (50, 46), (200, 2)):
        plan_ = put(bar, 0.0, x, y)
        hull = shapely.union_all([plan_.intersection(top) for top in tops]).convex_hull
        carried = bool(hull.contains(shapely.Point(x, y)))
        found = verify(Room(100.0, 100.0, 10.0), [*posts, Placement("b", bar, x, y, 3.0)])
        assert (found == ()) == carried, (x, y)
        seen.add(carried)
    assert seen == {True, False}


def test_overlaps_are_found_anywhere_in_a_long_room() -> None:
    """Straight and turned bodies in a room 300 x 40: each pair that shares area, and no other."""
    rng = np.random.default_rng(9)
    room = Room(300.0, 40.0, 3.0)
    met = 0
    for turns in [(0.0, 0.0), (0.0, 30.0)] * 60:
        x = float(rng.uniform(100, 260))
        one = Placement("a", POSES["block"], x, float(rng.uniform(17, 23)), 0.0, turns[0])
        away = float(rng.uniform(-40, 40)), float(rng.uniform(-14, 14))
        place = one.x_mm + away[0], min(max(one.y_mm + away[1], 17.0), 23.0)
        other = Placement("b", POSES["shield"], *place, 0.0, turns[1])
        plans = [put(p.pose, p.turn_deg, p.x_mm, p.y_mm) for p in (one, other)]
        shared = plans[0].intersection(plans[1]).area
        if 0.0 < shared < 1e-3:
            continue
        for pair in ([one, other], [other, one]):
            overlaps = any("overlap" in fault for fault in verify(room, pair))
            assert overlaps == (shared > 0.0)
        met += shared > 0.0
    assert 30 < met < 110
