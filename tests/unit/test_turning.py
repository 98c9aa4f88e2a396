"""Turning in plan: the closed form against every angle tried, and its round corners."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.kinds.poses import Disc, Polygon, Pose, Rectangle
from fitcheck.packing.room import Room
from fitcheck.packing.turning import (
    best_pose_turn,
    best_turn,
    likely_angles,
    likely_turn,
    turn_at,
    turning_pays,
)

sizes = st.floats(1.0, 200.0)


def outline(p: float, q: float, radius: float) -> np.ndarray:
    """Points on a rounded rectangle, the extreme ones of each corner dense enough for 1e-4 mm."""
    angles = np.linspace(0.0, 2.0 * math.pi, 2881)
    arc = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    w, h = p / 2.0 - radius, q / 2.0 - radius
    return np.vstack([arc + corner for corner in ((w, h), (-w, h), (-w, -h), (w, -h))])


def tried(points: np.ndarray, a: float, b: float, angles: np.ndarray) -> np.ndarray:
    """The smaller slack at each angle, from the turned points themselves."""
    cos, sin = np.cos(angles)[:, None], np.sin(angles)[:, None]
    x = points[:, 0] * cos - points[:, 1] * sin
    y = points[:, 0] * sin + points[:, 1] * cos
    return np.minimum(a - np.ptp(x, axis=1), b - np.ptp(y, axis=1))


@settings(deadline=None)
@given(p=sizes, q=sizes, a=sizes, b=sizes, share=st.floats(0.0, 1.0))
def test_no_tried_angle_leaves_more(p: float, q: float, a: float, b: float, share: float) -> None:
    radius = share * min(p, q) / 2.0
    turn = best_turn(p, q, a, b, radius)
    angles = np.linspace(0.0, math.pi / 2.0, 91)
    points = outline(p, q, radius)[::20]
    # a coarser outline is a little smaller than the shape, by the arc's sagitta
    sagitta = 2.0 * radius * (1.0 - math.cos(math.pi / 144.0))
    assert tried(points, a, b, angles).max() <= turn.least_mm + sagitta + 1e-9
    at_best = tried(outline(p, q, radius), a, b, np.array([math.radians(turn.angle_deg)]))
    assert at_best[0] == pytest.approx(turn.least_mm, abs=1e-3)


def test_no_turn_when_no_better() -> None:
    assert best_turn(30.0, 20.0, 50.0, 40.0).angle_deg == 0.0
    assert best_turn(20.0, 20.0, 50.0, 40.0).angle_deg == 0.0


def test_quarter_turn() -> None:
    turn = best_turn(20.0, 90.0, 92.0, 22.0)
    assert (turn.angle_deg, turn.slack_width_mm, turn.slack_length_mm) == (90.0, 2.0, 2.0)


def test_both_slacks_alike_when_turned() -> None:
    turn = best_turn(120.0, 10.0, 100.0, 90.0)
    assert 0.0 < turn.angle_deg < 90.0
    assert turn.slack_width_mm == pytest.approx(turn.slack_length_mm, abs=1e-9)


def test_round_corners_let_a_slip_in_that_is_too_long_with_square_ones() -> None:
    # a rounded rectangle is the core grown by a disc: (p-2r) x (q-2r) in (a-2r) x (b-2r)
    rounded = best_turn(120.0, 10.0, 100.0, 82.0, 4.0)
    core = best_turn(112.0, 2.0, 92.0, 74.0)
    assert rounded == core
    assert best_turn(120.0, 10.0, 100.0, 82.0).least_mm < 0.0 < rounded.least_mm


def test_radius_over_half_is_refused() -> None:
    with pytest.raises(ValueError, match="over half of 10 mm"):
        best_turn(20.0, 10.0, 50.0, 50.0, 5.1)


@settings(deadline=None)
@given(p=sizes, q=sizes, a=sizes, b=sizes)
def test_a_polygon_turns_like_the_rectangle_that_it_is(
    p: float, q: float, a: float, b: float
) -> None:
    corners = ((-p / 2, -q / 2), (p / 2, -q / 2), (p / 2, q / 2), (-p / 2, q / 2))
    as_polygon = best_pose_turn(Pose("flat", p, q, 1.0, Polygon(corners)), a, b)
    as_rectangle = best_pose_turn(Pose("flat", p, q, 1.0, Rectangle()), a, b)
    assert as_polygon.least_mm == pytest.approx(as_rectangle.least_mm, abs=1e-9)


@settings(deadline=None)
@given(angles=st.lists(st.floats(0.0, 6.28), min_size=3, max_size=8, unique=True), a=sizes, b=sizes)
def test_no_tried_angle_leaves_a_polygon_more(angles: list[float], a: float, b: float) -> None:
    points = tuple((50.0 * math.cos(t), 30.0 * math.sin(t)) for t in sorted(angles))
    turn = best_pose_turn(Pose("flat", 1.0, 1.0, 1.0, Polygon(points)), a, b)
    steps = np.linspace(0.0, 2.0 * math.pi, 721)
    array = np.array(points)
    assert tried(array, a, b, steps).max() <= turn.least_mm + 1e-9
    at_best = tried(array, a, b, np.array([math.radians(turn.angle_deg)]))
    assert at_best[0] == pytest.approx(turn.least_mm, abs=1e-9)


def test_a_disc_does_not_turn() -> None:
    turn = best_pose_turn(Pose("flat", 30.0, 30.0, 5.0, Disc()), 31.0, 40.0)
    assert (turn.angle_deg, turn.slack_width_mm, turn.slack_length_mm) == (0.0, 1.0, 10.0)


def test_straight_unless_turning_can_be_felt() -> None:
    # 45 x 44.2 in 50 x 46: straight leaves 1.8, which can be felt
    assert likely_turn(Pose("flat", 45.0, 44.2, 1.0), 50.0, 46.0).angle_deg == 0.0
    # 49.8 x 10 leaves 0.2 in 50 x 50 straight and much more turned
    turned = likely_turn(Pose("flat", 49.8, 10.0, 1.0), 50.0, 50.0)
    assert turned.angle_deg != 0.0 and turned.least_mm > 0.7
    # too long to lie straight
    assert likely_turn(Pose("flat", 55.0, 5.0, 1.0), 50.0, 50.0).angle_deg == pytest.approx(45.0)


@pytest.mark.parametrize(
    ("straight", "turned", "pays"),
    [
        (0.3, 0.79, False),
        (0.3, 0.8, True),
        (0.5, 30.0, False),
        (0.0, 0.4, False),
        (-0.01, 0.0, True),
        (-0.01, -0.02, False),
        (-0.5, -0.1, True),
    ],
)
def test_when_turning_pays(straight: float, turned: float, pays: bool) -> None:
    assert turning_pays(straight, turned) is pays


@settings(deadline=None)
@given(p=sizes, q=sizes, share=st.floats(0.0, 1.0), angle=st.floats(0.0, 360.0))
def test_a_given_turn_takes_what_the_turned_points_take(
    p: float, q: float, share: float, angle: float
) -> None:
    radius = share * min(p, q) / 2.0
    pose = Pose("flat", p, q, 1.0, Rectangle(radius))
    turn = turn_at(pose, 300.0, 310.0, angle)
    points = outline(p, q, radius)
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    x, y = points[:, 0] * cos - points[:, 1] * sin, points[:, 0] * sin + points[:, 1] * cos
    assert turn.slack_width_mm == pytest.approx(300.0 - np.ptp(x), abs=1e-3)
    assert turn.slack_length_mm == pytest.approx(310.0 - np.ptp(y), abs=1e-3)


def test_likely_angles_hold_the_best_of_each_room() -> None:
    pose = Pose("flat", 62.2, 22.0, 1.0)
    rooms = [Room(59.0, 60.0), Room(60.0, 60.0)]
    angles = likely_angles(pose, rooms)
    for room in rooms:
        assert best_pose_turn(pose, room.width_mm, room.length_mm).angle_deg in angles
    assert any(abs(angle - 45.0) < 1e-9 for angle in angles)
