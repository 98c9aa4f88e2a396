"""Arrangements: what is found is free, and only what is proved is called impossible."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.kinds.poses import Disc, Pose
from fitcheck.packing.arrange import Rooms, arrange, arrange_in
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.placing import Arrangement, Demand, Outcome, Placement, verify
from fitcheck.packing.room import Room
from tests.unit.packed import WORK, block, disc, flat, put


def apart(one: Placement, other: Placement) -> bool:
    """Another check than `verify`: an axis along which two extents do not meet, or two discs."""
    if one.z_mm >= other.top_mm - 2e-6 or other.z_mm >= one.top_mm - 2e-6:
        return True
    assert one.turn_deg == other.turn_deg == 0.0
    dx, dy = abs(one.x_mm - other.x_mm), abs(one.y_mm - other.y_mm)
    if isinstance(one.pose.footprint, Disc) and isinstance(other.pose.footprint, Disc):
        return math.hypot(dx, dy) >= (one.pose.width_mm + other.pose.width_mm) / 2.0 - 2e-6
    return (
        dx >= (one.pose.width_mm + other.pose.width_mm) / 2.0 - 2e-6
        or dy >= (one.pose.length_mm + other.pose.length_mm) / 2.0 - 2e-6
    )


def assert_sound(room: Room, demands: list[Demand], found: Arrangement) -> None:
    placed = found.placements
    for demand in demands:
        of_demand = [p for p in placed if p.item == demand.item]
        assert len(of_demand) == demand.count
        assert all(p.pose in demand.poses for p in of_demand)
    assert verify(room, placed) == ()
    for one, other in itertools.combinations(placed, 2):
        assert apart(one, other)
    for p in placed:
        if p.turn_deg == 0.0:
            assert (
                p.pose.width_mm / 2 - 2e-6 <= p.x_mm <= room.width_mm - p.pose.width_mm / 2 + 2e-6
            )
            assert p.y_mm + p.pose.length_mm / 2 <= room.length_mm + 2e-6
        assert -2e-6 <= p.z_mm <= p.top_mm <= room.height_mm + 2e-6


lengths = st.floats(5.0, 60.0)
bodies = st.one_of(
    st.tuples(lengths, lengths, lengths).map(lambda s: block(*s)),
    st.tuples(lengths, lengths, lengths).map(lambda s: flat(*s, radius=min(s[:2]) / 3.0)),
    st.tuples(lengths, lengths).map(lambda s: disc(*s)),
)


@settings(max_examples=60, deadline=None)
@given(
    room=st.builds(Room, st.floats(40, 120), st.floats(40, 120), st.floats(10, 60)),
    kinds=st.lists(st.tuples(bodies, st.integers(1, 4)), min_size=1, max_size=3),
)
def test_found_is_free_and_inside(room: Room, kinds: list[tuple[tuple[Pose, ...], int]]) -> None:
    demands = [Demand(f"item {k}", poses, n) for k, (poses, n) in enumerate(kinds)]
    result = arrange(room, demands, work=WORK)
    if result.outcome is Outcome.FOUND:
        assert_sound(room, demands, result)
    else:
        assert result.placements == ()
        assert result.reason


@st.composite
def cut_rooms(draw: st.DrawFn) -> tuple[Room, list[Demand]]:
    """A room cut right through, again and again: its pieces do go in."""
    size = [draw(st.integers(20, 120)) for _ in range(3)]
    pieces = [size]
    for _ in range(draw(st.integers(1, 5))):
        piece = pieces.pop(draw(st.integers(0, len(pieces) - 1)))
        axis = draw(st.integers(0, 2))
        if piece[axis] < 10:
            pieces.append(piece)
            continue
        at = draw(st.integers(5, piece[axis] - 5))
        for part in (at, piece[axis] - at):
            pieces.append([*piece[:axis], part, *piece[axis + 1 :]])
    order = draw(st.permutations(pieces))
    scale = draw(st.sampled_from([1.0, 0.37, 1.0 / 3.0]))
    demands = [
        Demand(f"piece {k}", block(*(part * scale for part in piece)), 1)
        for k, piece in enumerate(order)
    ]
    return Room(*(part * scale for part in size)), demands


@settings(max_examples=60, deadline=None)
@given(cut=cut_rooms())
def test_pieces_of_a_room_are_never_impossible(cut: tuple[Room, list[Demand]]) -> None:
    room, demands = cut
    assert why_impossible(room, demands) is None
    result = arrange(room, demands, work=WORK)
    assert result.outcome is not Outcome.IMPOSSIBLE
    if result.outcome is Outcome.FOUND:
        assert_sound(room, demands, result)


def test_a_cut_room_is_put_together_again() -> None:
    room = Room(60.0, 50.0, 30.0)
    sizes = [(35, 30, 30), (25, 35, 30), (25, 15, 30), (35, 20, 12), (35, 20, 18)]
    demands = [Demand(str(s), block(*map(float, s)), 1) for s in sizes]
    result = arrange(room, demands)
    assert result.outcome is Outcome.FOUND
    assert_sound(room, demands, result)


@pytest.mark.parametrize(
    ("room", "demands", "how"),
    [
        (Room(100, 90, 3), [Demand("slip", flat(120, 10, 1), 3)], "one stack"),
        (Room(90, 60, 20), [Demand("card", flat(85.6, 54, 0.76, 3.18), 26)], "one stack"),
        (Room(100, 60, 20), [Demand("sweet", flat(30, 20, 15), 9)], "grid"),
        (
            Room(100, 60, 20),
            [Demand("a", flat(60, 60, 15), 1), Demand("b", flat(40, 30, 15), 2)],
            "by corners",
        ),
        (Room(130, 92, 20), [Demand(n, flat(88.9, 63.5, 0.3), 54) for n in "ab"], "in piles"),
        (Room(60, 60, 20), [Demand("tin", disc(17, 20), 10)], "staggered"),
        (Room(5, 5, 1), [Demand("brick", flat(3, 2, 1), 4)], "right-angled search"),
        (Room(19.7, 19.7, 5), [Demand("coin", disc(10, 5), 3)], "discs driven apart"),
    ],
)
def test_each_way_finds_its_own(room: Room, demands: list[Demand], how: str) -> None:
    result = arrange(room, demands)
    assert (result.outcome, result.reason) == (Outcome.FOUND, how)
    assert_sound(room, demands, result)


def test_an_open_box_takes_a_pile_of_any_height() -> None:
    result = arrange(Room(90, 60), [Demand("card", flat(85.6, 54, 0.76), 500)])
    assert result.outcome is Outcome.FOUND
    assert max(p.top_mm for p in result.placements) == pytest.approx(380.0)


def test_an_open_box_with_a_rim_keeps_its_piles_in() -> None:
    """A card's middle has to stay below the rim: 26 of 0.76 mm end at 19.76, the 27th at 20.52."""
    room = Room(90, 60, rim_mm=20.0)
    card = flat(85.6, 54, 0.76)
    low = arrange(room, [Demand("card", card, 26)])
    assert low.outcome is Outcome.FOUND
    assert arrange(room, [Demand("card", card, 27)]).outcome is Outcome.NONE_FOUND
    assert arrange(room, [Demand("card", card, 32)]).outcome is Outcome.IMPOSSIBLE
    # one more of 0.4 mm would have its middle at 19.96
    both = arrange(room, [Demand("card", card, 26), Demand("slip", flat(50, 50, 0.4), 1)])
    assert both.outcome is Outcome.FOUND
    assert max(p.top_mm for p in both.placements) == pytest.approx(26 * 0.76 + 0.4)


def test_what_is_piled_up_beyond_the_rim_is_a_fault() -> None:
    room, pose = Room(30, 30, rim_mm=10.0), Pose("", 10, 10, 8)
    assert verify(room, [put(pose, 5, 5), put(Pose("", 10, 10, 30), 20, 20)]) == ()
    assert "piled up" in verify(room, [put(pose, 5, 5), put(pose, 5, 5, 8)])[0]
    assert verify(room, [put(pose, 5, 5), put(Pose("", 10, 10, 4), 5, 5, 8)]) == ()


def test_what_is_found_in_a_plain_room_is_moved_to_where_it_goes() -> None:
    """Rooms are tried in their order, first with something to spare, here 4 mm each way, and only
    what is accepted is found."""
    rooms = Rooms(Room(12, 12, 5), (Room(10, 10, 5), Room(12, 12, 5)))
    asked: list[tuple[float, int]] = []

    def accept(placements: tuple[Placement, ...], room: Room) -> tuple[Placement, ...] | None:
        asked.append((room.width_mm, len(placements)))
        moved = tuple(put(p.pose, p.x_mm + 0.5, p.y_mm) for p in placements)
        return moved if room.width_mm > 11.5 else None

    found = arrange_in(rooms, [Demand("tile", flat(5, 5, 1), 4)], accept)
    assert found.outcome is Outcome.FOUND
    assert asked[0] == (10 - 4, 4) and asked[-1] == (12, 4)
    # one stack in the middle of the larger room, moved by half a millimetre
    assert {p.x_mm for p in found.placements} == {6.5}
    none = arrange_in(rooms, [Demand("tile", flat(5, 5, 1), 4)], lambda placed, room: None)
    assert none.outcome is Outcome.NONE_FOUND
    large = arrange_in(rooms, [Demand("tile", flat(13, 5, 1), 1)], accept)
    assert large.outcome is Outcome.IMPOSSIBLE


def test_none_found_says_what_was_not_tried() -> None:
    beside = arrange(Room(100, 90, 1.5), [Demand("slip", flat(120, 10, 1), 2)])
    assert beside.outcome is Outcome.NONE_FOUND
    assert "no right-angled arrangement exists" in beside.reason
    assert "turned ones were not all tried" in beside.reason
    many = [Demand("a", flat(21.37, 13.71, 7.3), 40), Demand("b", flat(19.91, 12.23, 6.7), 30)]
    crowded = arrange(Room(101.3, 97.7, 17.1), many, work=0.01)
    assert crowded.outcome is Outcome.NONE_FOUND
    assert "too many bodies" in crowded.reason
    fewer = [Demand("a", flat(21.37, 13.71, 7.3), 15), Demand("b", flat(19.91, 12.23, 6.7), 14)]
    hurried = arrange(Room(61.3, 57.7, 20.1), fewer, work=0.01)
    assert hurried.outcome is Outcome.NONE_FOUND
    assert "to the limit of 0.01 work units" in hurried.reason


def test_the_same_question_has_the_same_answer() -> None:
    question = (Room(22, 16, 1), [Demand("brick", flat(5, 3, 1), 23)])
    assert arrange(*question) == arrange(*question)


def test_progress_is_told_before_the_slow_search_only() -> None:
    told: list[str] = []
    arrange(Room(6, 4, 1), [Demand("brick", flat(3, 2, 1), 4)], progress=told.append)
    assert told == []
    arrange(Room(5, 5, 1), [Demand("brick", flat(3, 2, 1), 4)], progress=told.append)
    assert len(told) == 1


@pytest.mark.parametrize(("poses", "count"), [((), 1), ((Pose("", 1, 1, 1),), 0)])
def test_an_empty_demand_is_refused(poses: tuple[Pose, ...], count: int) -> None:
    with pytest.raises(ValueError, match="nothing"):
        Demand("nothing", poses, count)


def test_nothing_to_place() -> None:
    assert arrange(Room(5, 5, 5), []).outcome is Outcome.FOUND
