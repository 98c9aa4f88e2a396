"""What bounds prove of contents that do not go in, and what they leave open."""

import pytest

from fitcheck.kinds.poses import Disc, Pose, Rectangle, Shape
from fitcheck.packing.arrange import arrange
from fitcheck.packing.placing import Demand, Outcome
from fitcheck.packing.room import Room
from tests.unit.packed import WORK, block, disc, flat


@pytest.mark.parametrize(
    ("room", "demand", "why"),
    [
        (Room(100, 82, 5), Demand("slip", flat(120, 10, 1), 1), "one slip is larger"),
        (Room(100, 82, 5), Demand("bar", flat(20, 10, 5.1), 1), "one bar is larger"),
        (Room(10, 10, 10), Demand("brick", block(5, 5, 5), 9), "volume"),
        (Room(10, 10, 10), Demand("tile", flat(5, 4, 6), 6), "none can stand on another"),
        (
            Room(10, 10, 10),
            Demand("tile", flat(5, 4, 4), 11),
            "at most 2 can stand over each other",
        ),
        (Room(2, 2, 1), Demand("coin", disc(1, 1), 5), "Oler"),
        (Room(2, 2, 2.9), Demand("coin", disc(1, 1), 9), "Oler"),
        (Room(2, 2, 1), Demand("ball", (Pose("", 1, 1, 1, Disc(), Shape.BALL),), 5), "Oler"),
    ],
)
def test_impossible_names_its_bound(room: Room, demand: Demand, why: str) -> None:
    result = arrange(room, [demand])
    assert result.outcome is Outcome.IMPOSSIBLE
    assert why in result.reason
    # the bound is not passed by one less (or by a body that just goes in)
    if demand.count > 1:
        less = Demand(demand.item, demand.poses, demand.count - 1)
        assert arrange(room, [less], work=WORK).outcome is not Outcome.IMPOSSIBLE


def test_balls_in_a_higher_room_may_nest_so_nothing_is_proved() -> None:
    ball = (Pose("as it is", 10, 10, 10, Disc(), Shape.BALL),)
    # nine balls in the cube of side 1 + 2 / sqrt 3 (Schaer): eight corners and the middle
    result = arrange(Room(21.6, 21.6, 21.6), [Demand("ball", ball, 9)], work=WORK)
    assert result.outcome is Outcome.NONE_FOUND
    assert "hollows" in result.reason
    assert "staggered" in result.reason


def test_a_mesh_is_only_impossible_when_too_tall() -> None:
    mesh = (Pose("flat", 60, 20, 5, Rectangle(), Shape.HULL),)
    wide = arrange(Room(50, 30, 10), [Demand("shell", mesh, 1)])
    assert wide.outcome is Outcome.NONE_FOUND
    assert "by their extents" in wide.reason
    assert arrange(Room(50, 30, 4), [Demand("shell", mesh, 1)]).outcome is Outcome.IMPOSSIBLE
