"""Arrangements: what is found is free, and only what is proved is called impossible."""

import itertools
import math
import subprocess
import sys

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.errors import MissingLibraryError
from fitcheck.packing.arrange import (
    Placements,
    Rooms,
    arrange,
    arrange_in,
    arrange_quickly,
    dropped,
)
from fitcheck.packing.bodies import Disc, Polygon, Pose, Rectangle, Shape
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.placing import (
    Arrangement,
    Demand,
    Outcome,
    Placement,
    hanging,
    plan_gap,
    verify,
)
from fitcheck.packing.right_angled import right_angled
from fitcheck.packing.room import Room
from fitcheck.packing.rows import by_corners
from fitcheck.packing.solver import End

WORK = 0.5


def block(*size: float) -> tuple[Pose, ...]:
    """Every right-angled pose of a block."""
    return tuple(
        Pose("x".join(f"{part:g}" for part in order), *order)
        for order in sorted(set(itertools.permutations(size)))
    )


def flat(w: float, l: float, h: float, radius: float = 0.0) -> tuple[Pose, ...]:  # noqa: E741
    plan = Rectangle(radius)
    return (Pose("flat", w, l, h, plan), Pose("flat, turned 90", l, w, h, plan))


def disc(d: float, h: float) -> tuple[Pose, ...]:
    return (Pose("flat", d, d, h, Disc()),)


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
    """Rooms are tried in their order, and only what is accepted is found."""
    rooms = Rooms(Room(12, 12, 5), (Room(10, 10, 5), Room(12, 12, 5)))
    asked: list[tuple[float, int]] = []

    def accept(placements: tuple[Placement, ...], room: Room) -> tuple[Placement, ...] | None:
        asked.append((room.width_mm, len(placements)))
        moved = tuple(put(p.pose, p.x_mm + 0.5, p.y_mm) for p in placements)
        return moved if room.width_mm > 11 else None

    found = arrange_in(rooms, [Demand("tile", flat(5, 5, 1), 4)], accept)
    assert found.outcome is Outcome.FOUND
    assert asked[0] == (10, 4) and asked[-1] == (12, 4)
    # one stack in the middle of the larger room, moved by half a millimetre
    assert {p.x_mm for p in found.placements} == {6.5}
    none = arrange_in(rooms, [Demand("tile", flat(5, 5, 1), 4)], lambda placed, room: None)
    assert none.outcome is Outcome.NONE_FOUND
    large = arrange_in(rooms, [Demand("tile", flat(13, 5, 1), 1)], accept)
    assert large.outcome is Outcome.IMPOSSIBLE


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


def put(pose: Pose, x: float, y: float, z: float = 0.0, turn: float = 0.0) -> Placement:
    return Placement("it", pose, x, y, z, turn)


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


def test_without_the_solver_the_error_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    with pytest.raises(MissingLibraryError, match="pip install ortools"):
        arrange(Room(5, 5, 1), [Demand("brick", flat(3, 2, 1), 4)])


def test_the_quick_ways_load_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from fitcheck.packing.arrange import arrange\n"
        "from fitcheck.packing.placing import Demand\n"
        "from fitcheck.packing.bodies import Pose\n"
        "from fitcheck.packing.room import Room\n"
        "r = arrange(Room(6, 4, 1), [Demand('a', (Pose('flat', 3, 2, 1),), 4)])\n"
        "print(r.outcome, sorted({'ortools', 'scipy', 'netgen'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "found []"


@pytest.mark.parametrize(("poses", "count"), [((), 1), ((Pose("", 1, 1, 1),), 0)])
def test_an_empty_demand_is_refused(poses: tuple[Pose, ...], count: int) -> None:
    with pytest.raises(ValueError, match="nothing"):
        Demand("nothing", poses, count)


def test_nothing_to_place() -> None:
    assert arrange(Room(5, 5, 5), []).outcome is Outcome.FOUND


def test_the_densest_rows_are_within_the_disc_bound() -> None:
    # 23 staggered rows of 20 and 19 touching discs
    room = Room(20.0, 1.0 + 22.0 * math.sqrt(0.75), 1.0)
    result = arrange(room, [Demand("coin", disc(1, 1), 12 * 20 + 11 * 19)])
    assert result.outcome is Outcome.FOUND


@pytest.fixture(params=["by spots", "pair by pair"])
def model(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both models of the search; the second is taken where the first lists no spots."""
    if request.param == "pair by pair":
        monkeypatch.setattr("fitcheck.packing.right_angled.list_spots", lambda kinds, ends: None)
    return str(request.param)


def test_both_models_find_the_pinwheel_and_no_fifth(model: str) -> None:
    room = Room(5, 5, 1)
    found = right_angled(room, [Demand("brick", flat(3, 2, 1), 4)], supported=False, work=WORK)
    assert found.end is End.FOUND, model
    assert verify(room, found.placements) == ()
    fifth = right_angled(room, [Demand("brick", flat(3, 2, 1), 5)], supported=False, work=WORK)
    assert fifth.end is not End.FOUND


def test_both_models_hold_bodies_up(model: str) -> None:
    room = Room(10, 10, 40)
    demands = [
        Demand("slab", (Pose("flat", 10, 10, 2),), 2),
        Demand("cube", (Pose("flat", 6, 6, 6),), 4),
        Demand("post", (Pose("flat", 3, 3, 5),), 3),
    ]
    held = right_angled(room, demands, supported=True, work=WORK)
    assert held.end is End.FOUND, model
    assert verify(room, held.placements) == ()
    if model == "by spots":
        # without the rule this model leaves bodies hanging, so the rule is at work
        loose = right_angled(room, demands, supported=False, work=WORK)
        assert hanging(loose.placements) != ()


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
