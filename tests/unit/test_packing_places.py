"""Plans and places of packed bodies: gaps by closed form, what is held up, filled and turned."""

import math

import pytest
import shapely

from fitcheck.kinds.poses import Disc, Polygon, Pose, Rectangle, Shape
from fitcheck.packing.arrange import arrange, arrange_quickly
from fitcheck.packing.placing import Demand, Outcome, Placements, plan_gap, verify
from fitcheck.packing.room import Room
from fitcheck.packing.rows import by_corners
from fitcheck.packing.searching import dropped
from tests.unit.packed import block, disc, put


def test_plan_gaps_by_closed_form() -> None:
    square, coin = Pose("", 10, 10, 1), Pose("", 10, 10, 1, Disc())
    rounded = Pose("", 10, 10, 1, Rectangle(2.0))
    corner = put(square, 0, 0)
    assert plan_gap(corner, put(square, 12, 0)) == pytest.approx(2.0)
    assert plan_gap(corner, put(square, 9, 3)) == pytest.approx(-1.0)
    assert plan_gap(corner, put(square, 13, 14)) == pytest.approx(5.0)
    assert plan_gap(corner, put(coin, 9, 9)) == pytest.approx(4.0 * math.sqrt(2.0) - 5.0)
    assert plan_gap(put(coin, 0, 0), put(coin, 6, 8)) == pytest.approx(0.0)
    assert plan_gap(put(rounded, 0, 0), put(rounded, 10, 10)) == pytest.approx(
        4.0 * math.sqrt(2.0) - 4.0
    )
    diamond = put(square, 5.0 + 5.0 * math.sqrt(2.0) + 1.0, 0, turn=45.0)
    assert plan_gap(corner, diamond) == pytest.approx(1.0)
    triangle = Pose("", 10, 10, 1, Polygon(((-5.0, -5.0), (5.0, -5.0), (0.0, 5.0))))
    assert plan_gap(corner, put(triangle, 0, 11)) == pytest.approx(1.0)


def test_verify_goes_red() -> None:
    room, pose = Room(30, 30, 10), Pose("", 10, 10, 5)
    assert verify(room, [put(pose, 5, 5), put(pose, 15, 5), put(pose, 10, 5, 5)]) == ()
    assert "overlap by 0.010000" in verify(room, [put(pose, 5, 5), put(pose, 14.99, 5)])[0]
    assert "leaves the room" in verify(room, [put(pose, 4.9, 5)])[0]
    assert "leaves the room" in verify(room, [put(pose, 5, 5), put(pose, 5, 5, 5.1)])[0]
    assert "leaves the room" in verify(room, [put(pose, 5, 5, turn=45.0)])[0]
    assert "hangs" in verify(room, [put(pose, 5, 5), put(pose, 15, 15, 5)])[0]
    assert "hangs" in verify(room, [put(pose, 5, 5), put(pose, 10.1, 5, 5)])[0]


def test_what_holds_up() -> None:
    room = Room(60, 60, 60)
    wide, post = Pose("", 40, 40, 2), Pose("", 5, 5, 10)
    posts = [put(post, x, y) for x, y in ((10, 10), (50, 10), (30, 50))]
    assert verify(room, [*posts, put(wide, 30, 30, 10)]) == ()
    assert "hangs" in verify(room, [*posts[:2], put(wide, 30, 30, 10)])[0]
    ball = Pose("", 10, 10, 10, Disc(), Shape.BALL)
    assert verify(room, [put(ball, 20, 20), put(ball, 20, 20, 10)]) == ()
    assert "hangs" in verify(room, [put(ball, 20, 20), put(ball, 20.5, 20, 10)])[0]
    lying = Pose("", 40, 10, 10, Rectangle(), Shape.ALONG_WIDTH)
    assert verify(room, [put(lying, 30, 20), put(post, 25, 20, 10)]) == ()
    assert "hangs" in verify(room, [put(lying, 30, 20), put(post, 25, 22.6, 10)])[0]
    assert verify(room, [put(wide, 30, 30, turn=10.0), put(post, 30, 30, 2)]) == ()


def test_dropping_lets_bodies_down() -> None:
    pose = Pose("", 10, 10, 5)
    down = dropped([put(pose, 5, 5, 9.0), put(pose, 5, 5, 1.0), put(pose, 20, 5, 7.0)])
    assert sorted((p.x_mm, p.z_mm) for p in down) == [(5, 0.0), (5, 5.0), (20, 0.0)]


def test_the_densest_rows_are_within_the_disc_bound() -> None:
    # 23 staggered rows of 20 and 19 touching discs
    room = Room(20.0, 1.0 + 22.0 * math.sqrt(0.75), 1.0)
    result = arrange(room, [Demand("coin", disc(1, 1), 12 * 20 + 11 * 19)])
    assert result.outcome is Outcome.FOUND


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(
    ("room", "tiles"),
    [
        ((12, 16), [(8, 4), (6, 7), (6, 5), (9, 3), (4, 7)]),
        ((11, 15), [(2, 2), (6, 5), (2, 7), (3, 3), (6, 7), (5, 9)]),
        ((12, 13), [(5, 7), (2, 6), (4, 3), (5, 7), (5, 5), (2, 8)]),
    ],
)
def test_bodies_are_slid_into_corners_between_others(
    room: tuple[int, int], tiles: list[tuple[int, int]], turned: bool
) -> None:
    """Rooms found by trial that only fill when bodies slide on past their first corner."""
    step = -1 if turned else 1
    demands = [
        Demand(str(number), (Pose("flat", *size[::step], 1.0),), 1)
        for number, size in enumerate(tiles)
    ]
    width, length = room[::step]
    placed = by_corners(Room(width, length, 1.0), demands)
    assert placed is not None
    plans = [
        shapely.box(
            p.x_mm - p.pose.width_mm / 2, p.y_mm - p.pose.length_mm / 2,
            p.x_mm + p.pose.width_mm / 2, p.y_mm + p.pose.length_mm / 2,
        )
        for p in placed
    ]  # fmt: skip
    union = shapely.union_all(plans)
    assert union.area == pytest.approx(sum(a * b for a, b in tiles))
    assert shapely.box(0, 0, width, length).covers(union)


def test_a_pile_turned_on_lies_as_low_as_it_goes() -> None:
    """Sticks 105 and 104 long, 3 and 2.5 high, in a box 80 x 100 that only takes them turned
    otherwise than the plain room would have them: each lies on its lowest side."""
    room = Room(80.0, 100.0, 12.0)
    demands = [
        Demand("stick", block(105.0, 8.0, 3.0), 1),
        Demand("lath", block(104.0, 6.0, 2.5), 1),
    ]
    plain: set[float] = set()

    def accept(placed: Placements, where: Room) -> Placements | None:
        turns = {round(place.turn_deg, 6) for place in placed}
        if not plain:
            plain.update(turns)
        return None if turns & plain else placed

    found = arrange_quickly([room], demands, accept)
    assert found is not None and found.outcome is Outcome.FOUND and plain
    assert verify(room, found.placements) == ()
    heights = sorted((place.z_mm, place.pose.height_mm) for place in found.placements)
    assert heights in ([(0.0, 3.0), (3.0, 2.5)], [(0.0, 2.5), (2.5, 3.0)])
