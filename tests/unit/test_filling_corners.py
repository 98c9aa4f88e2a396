"""Filling corner by corner: bodies that only go in when slid up against what stands in the way."""

from __future__ import annotations

import itertools

import pytest
import shapely

from fitcheck.kinds.poses import Pose
from fitcheck.packing.placing import Demand, Placement, verify
from fitcheck.packing.room import Room
from fitcheck.packing.rows import by_corners, grid, one_stack

Size = tuple[float, float]


def wanted(sizes: list[Size], height: float = 3.0) -> list[Demand]:
    return [
        Demand(f"b{k}", (Pose("flat", width, length, height),), 1)
        for k, (width, length) in enumerate(sizes)
    ]


def low_corners(placed: tuple[Placement, ...]) -> dict[str, Size]:
    return {
        p.item: (p.x_mm - p.pose.width_mm / 2.0, p.y_mm - p.pose.length_mm / 2.0) for p in placed
    }


def drawn(placed: tuple[Placement, ...]) -> list[shapely.Polygon]:
    return [
        shapely.box(
            p.x_mm - p.pose.width_mm / 2.0,
            p.y_mm - p.pose.length_mm / 2.0,
            p.x_mm + p.pose.width_mm / 2.0,
            p.y_mm + p.pose.length_mm / 2.0,
        )
        for p in placed
    ]


SLID = [
    ((11.0, 13.0), [(3, 4), (3, 5), (6, 7), (7, 3), (6, 3), (4, 4)], "b1", (7.0, 4.0)),
    ((10.0, 11.0), [(2, 5), (4, 8), (6, 3), (5, 6)], "b0", (6.0, 6.0)),
    ((10.0, 11.0), [(8, 5), (4, 2), (2, 6), (6, 6)], "b1", (6.0, 6.0)),
    ((12.0, 11.0), [(2, 5), (5, 4), (8, 6), (2, 7), (7, 2)], "b4", (5.0, 7.0)),
    ((12.0, 11.0), [(4, 5), (6, 3), (8, 6), (4, 7)], "b1", (4.0, 7.0)),
    ((13.0, 13.0), [(8, 4), (5, 7), (6, 5), (3, 4), (4, 5), (6, 2)], "b3", (4.0, 9.0)),
]


@pytest.mark.parametrize(("room", "sizes", "slid", "corner"), SLID)
def test_the_last_gaps_are_filled_by_sliding(
    room: Size, sizes: list[Size], slid: str, corner: Size
) -> None:
    """Its corner is the edge of one body across and of another along, neither of them its own."""
    placed = by_corners(Room(*room, 3.0), wanted([(float(w), float(h)) for w, h in sizes]))
    assert placed is not None and verify(Room(*room, 3.0), placed) == ()
    plans = drawn(placed)
    assert sum(plan.area for plan in plans) == pytest.approx(shapely.union_all(plans).area)
    assert shapely.box(0, 0, *room).contains(shapely.union_all(plans))
    assert low_corners(placed)[slid] == corner


@pytest.mark.parametrize(("room", "sizes", "slid", "corner"), SLID)
def test_the_other_way_round_too(room: Size, sizes: list[Size], slid: str, corner: Size) -> None:
    """Mirrored at the diagonal the same room is filled: no axis is favoured."""
    turned = [(float(h), float(w)) for w, h in sizes]
    assert by_corners(Room(room[1], room[0], 3.0), wanted(turned)) is not None


def test_bodies_are_pushed_together_on_the_floor_and_then_stacked() -> None:
    """Four 5 x 4 x 3 bricks in 10 x 4 x 6: two below, two above, in the order of their corners."""
    placed = by_corners(Room(10.0, 4.0, 6.0), [Demand("brick", (Pose("flat", 5.0, 4.0, 3.0),), 4)])
    assert placed is not None
    assert [(p.x_mm, p.y_mm, p.z_mm) for p in placed] == [
        (2.5, 2.0, 0.0),
        (7.5, 2.0, 0.0),
        (2.5, 2.0, 3.0),
        (7.5, 2.0, 3.0),
    ]
    assert by_corners(Room(9.99, 4.0, 6.0), [Demand("b", (Pose("f", 5.0, 4.0, 3.0),), 4)]) is None
    assert by_corners(Room(10.0, 4.0, 5.99), [Demand("b", (Pose("f", 5.0, 4.0, 3.0),), 4)]) is None


@pytest.mark.parametrize(("count", "fits"), [(1, True), (12, True), (24, True), (25, False)])
def test_a_grid_by_counting(count: int, fits: bool) -> None:
    """A 20.9 x 15.2 x 8.3 room takes 4 x 3 x 2 of 5 x 5 x 4: by division."""
    room, pose = Room(20.9, 15.2, 8.3), Pose("flat", 5.0, 5.0, 4.0)
    placed = grid(room, [Demand("it", (pose,), count)])
    assert (placed is not None) == fits
    if placed is not None:
        spots = itertools.product(range(2), range(3), range(4))
        expected = [(5.0 * i + 2.5, 5.0 * j + 2.5, 4.0 * k) for k, j, i in spots][:count]
        assert [(p.x_mm, p.y_mm, p.z_mm) for p in placed] == expected
        assert verify(room, placed) == ()


def test_a_grid_takes_the_pose_that_goes() -> None:
    long, turned = Pose("flat", 9.0, 4.0, 2.0), Pose("flat, turned 90", 4.0, 9.0, 2.0)
    placed = grid(Room(8.5, 9.5, 2.0), [Demand("it", (long, turned), 2)])
    assert placed is not None and {p.pose for p in placed} == {turned}
    assert grid(Room(8.5, 9.5, 2.0), [Demand("a", (turned,), 1), Demand("b", (long,), 1)]) is None


def test_one_pile_stands_in_the_middle_broad_ones_below() -> None:
    """5 x 2 mm plates and 3 x 1.5 mm ones: 14.5 mm high, the broader below."""
    small, broad = Pose("flat", 8.0, 6.0, 1.5), Pose("flat", 12.0, 9.0, 2.0)
    demands = [Demand("small", (small,), 3), Demand("broad", (broad,), 5)]
    placed = one_stack(Room(13.0, 20.0, 14.5), demands)
    assert placed is not None
    assert [p.item for p in placed] == ["broad"] * 5 + ["small"] * 3
    assert [p.z_mm for p in placed] == [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 11.5, 13.0]
    assert {(p.x_mm, p.y_mm) for p in placed} == {(6.5, 10.0)}
    assert one_stack(Room(13.0, 20.0, 14.49), demands) is None
    assert one_stack(Room(11.9, 8.9, 14.5), demands) is None


def test_a_pile_lies_as_low_as_it_can_and_turns_where_that_helps() -> None:
    """A 30 x 4 x 2 ruler in 24 x 24: too long straight, 30 + 4 over the root of 2 is 24.04: no."""
    flat, edge = Pose("flat", 30.0, 4.0, 2.0), Pose("on edge", 30.0, 2.0, 4.0)
    assert one_stack(Room(24.0, 24.0, 4.0), [Demand("it", (flat,), 1)]) is None
    (placed,) = one_stack(Room(24.1, 24.1, 4.0), [Demand("it", (edge, flat), 1)]) or ()
    assert placed.pose is flat and placed.turn_deg == pytest.approx(45.0)
    (upright,) = one_stack(Room(24.0, 24.0, 4.0), [Demand("it", (flat, edge), 1)]) or ()
    assert upright.pose is edge


NARROW = [
    ((13, 13, 7), [((3, 7, 6), 2), ((6, 6, 4), 2), ((8, 6, 4), 2)]),
    ((13, 8, 7), [((5, 6, 6), 2), ((5, 3, 5), 2), ((4, 2, 3), 1)]),
    ((10, 11, 8), [((2, 6, 8), 1), ((4, 7, 7), 2), ((8, 5, 6), 1)]),
    ((10, 13, 8), [((6, 7, 8), 2), ((2, 2, 4), 1), ((8, 2, 4), 2), ((4, 2, 6), 1), ((3, 3, 5), 2)]),
    ((9, 11, 8), [((8, 3, 5), 2), ((8, 8, 3), 1), ((7, 4, 4), 2)]),
    ((13, 7, 8), [((5, 6, 2), 2), ((2, 8, 6), 2), ((7, 7, 6), 1)]),
    ((9, 10, 7), [((4, 5, 7), 1), ((2, 6, 4), 2), ((2, 8, 4), 1), ((6, 6, 3), 2)]),
    (
        (13, 11, 8),
        [((6, 7, 7), 1), ((5, 2, 5), 2), ((3, 4, 6), 2), ((4, 4, 5), 2), ((2, 8, 8), 2)],
    ),
]


@pytest.mark.parametrize(("room", "bodies"), NARROW)
def test_rooms_that_only_one_order_fills(
    room: tuple[int, int, int], bodies: list[tuple[tuple[int, int, int], int]]
) -> None:
    """Each is filled in but one order, lay or corner first (found by trying rooms by chance)."""
    demands = []
    for number, (size, count) in enumerate(bodies):
        lays = dict.fromkeys(itertools.permutations(map(float, size)))
        poses = tuple(Pose(f"{k}", *lay) for k, lay in enumerate(lays))
        demands.append(Demand(f"b{number}", poses, count))
    placed = by_corners(Room(*map(float, room)), demands)
    assert placed is not None and verify(Room(*map(float, room)), placed) == ()
    assert len(placed) == sum(count for _, count in bodies)


def test_corners_are_filled_for_up_to_fifty_bodies() -> None:
    room, pose = Room(51.0, 1.0, 1.0), Pose("flat", 1.0, 1.0, 1.0)
    assert by_corners(room, [Demand("it", (pose,), 50)]) is not None
    assert by_corners(room, [Demand("it", (pose,), 51)]) is None
    assert by_corners(room, [Demand("a", (pose,), 20), Demand("b", (pose,), 31)]) is None
