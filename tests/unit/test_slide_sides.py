"""A slide in a lopsided ring: each side's stop, what it is called and where, by plain arithmetic.

Nothing is in the middle: the ring, the block and the corner posts have other distances on every
side, so that a side, an axis or a sign taken for another shows.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from fitcheck.fit.contact import difference_body
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.slide import Slide, slide
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.prisms import prism
from fitcheck.pattern.sheet import Axis

Range = tuple[float, float]
HERE = np.zeros(3)
DOWN = np.array([0.0, 0.0, -30.0])


def block(name: str, x: Range, y: Range, z: Range) -> ConvexPiece:
    outline = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])
    return prism(name, frozenset([name]), outline, *z)


def ring(x: Range, y: Range, z: Range) -> list[ConvexPiece]:
    """Four walls of other thicknesses round an opening."""
    return [
        block("left", (x[0] - 1.0, x[0]), y, z),
        block("right", (x[1], x[1] + 2.0), y, z),
        block("front", x, (y[0] - 1.5, y[0]), z),
        block("back", x, (y[1], y[1] + 0.5), z),
    ]


OPENING: tuple[Range, Range] = (-7.0, 12.0), (-11.0, 16.0)
BODY: tuple[Range, Range] = (-3.0, 6.0), (-9.0, 5.0)


def in_ring(*more: ConvexPiece, body: tuple[Range, Range] = BODY) -> Slide:
    return slide([*ring(*OPENING, (0, 10)), *more], [block("b", *body, (0, 4))], DOWN, HERE)


def test_each_side_stops_where_its_wall_stands() -> None:
    found = in_ring()
    low, high = found.travels[0].low, found.travels[0].high
    assert low is not None and high is not None
    assert (low.outer, high.outer) == ("left", "right")
    assert low.travel_mm == pytest.approx(-7.0 - -3.0, abs=1e-9)
    assert high.travel_mm == pytest.approx(12.0 - 6.0, abs=1e-9)
    assert found.travels[0].play_mm == pytest.approx(19.0 - 9.0, abs=1e-9)
    assert found.travels[0].middle_mm == pytest.approx(
        0.5 * (12.0 + -7.0) - 0.5 * (6.0 + -3.0), abs=1e-9
    )
    assert found.travels[1].play_mm == pytest.approx(27.0 - 14.0, abs=1e-9)
    assert found.tighter.axis is Axis.WIDTH and found.play_mm == pytest.approx(10.0, abs=1e-9)
    assert (
        found.travel(Axis.LENGTH) is found.travels[1]
        and found.travel(Axis.WIDTH) is found.travels[0]
    )
    assert found.free


def test_the_length_may_be_the_tighter_one() -> None:
    found = in_ring(body=((-6.9, 0.0), (-5.0, 21.5)))
    assert found.tighter.axis is Axis.LENGTH
    assert found.play_mm == pytest.approx(27.0 - 26.5, abs=1e-9)


def test_where_they_meet_is_the_middle_of_what_the_boxes_share() -> None:
    """The block stands lengthwise in the middle by then: y from -4.5 to 9.5, z from 0 to 4."""
    found = in_ring()
    low, high = found.travels[0].low, found.travels[0].high
    assert low is not None and high is not None
    middle = 0.5 * (16.0 - 11.0)
    assert low.at_mm == pytest.approx((-7.0, middle, 2.0), abs=1e-9)
    assert high.at_mm == pytest.approx((12.0, middle, 2.0), abs=1e-9)


def test_the_stop_named_is_the_one_nearer_or_more_pressed() -> None:
    far_right = slide(ring(*OPENING, (0, 10)), [block("b", *BODY, (0, 4))], DOWN, HERE).travels[0]
    assert far_right.limiting is not None and far_right.limiting.outer == "left"
    shifted = np.array([3.0, 0.0, 0.0])
    near_right = slide(ring(*OPENING, (0, 10)), [block("b", *BODY, (0, 4))], DOWN, shifted).travels[
        0
    ]
    assert near_right.low is not None and near_right.high is not None
    assert (near_right.low.travel_mm, near_right.high.travel_mm) == pytest.approx((-7.0, 3.0))
    assert near_right.limiting is near_right.high


def test_without_a_wall_on_one_side_it_goes_on_for_ever() -> None:
    walls = [wall for wall in ring(*OPENING, (0, 10)) if wall.name != "right"]
    found = slide(walls, [block("b", *BODY, (0, 4))], DOWN, HERE)
    assert found.travels[0].play_mm == float("inf") and found.travels[0].high is None
    assert found.travels[0].middle_mm == 0.0
    assert found.travels[0].limiting is found.travels[0].low
    assert found.tighter.axis is Axis.LENGTH


POSTS = {
    (1, 1): ((8.0, 10.0), (13.0, 15.0)),
    (1, -1): ((8.0, 10.0), (-10.5, -9.0)),
    (-1, 1): ((-6.0, -5.0), (13.0, 15.0)),
    (-1, -1): ((-6.0, -5.0), (-10.5, -9.0)),
}


@pytest.mark.parametrize("corner", POSTS)
@pytest.mark.parametrize("press", [(0.6, 0.2), (0.2, 0.6)])
def test_a_post_in_a_corner_is_passed_the_shorter_way(
    corner: tuple[int, int], press: tuple[float, float]
) -> None:
    """It takes room from the axis along which the block has to give way less, and from no other.

    The block fills the ring but for 1 mm on each side, its corner pressed into the post.
    """
    x, y = POSTS[corner]
    side_x = x[0] + press[0] if corner[0] > 0 else x[1] - press[0]
    side_y = y[0] + press[1] if corner[1] > 0 else y[1] - press[1]
    body = (
        tuple(sorted((-side_x, side_x))),
        tuple(sorted((-side_y, side_y))),
    )
    wide, long = abs(side_x), abs(side_y)
    around = (-wide - 1.0, wide + 1.0), (-long - 1.0, long + 1.0)
    walls = ring(*around, (0, 10))
    post = block("post", x, y, (0, 10))
    found = slide([*walls, post], [block("b", *body, (0, 4))], DOWN, HERE)
    less = 0 if press[0] < press[1] else 1
    # 1 mm to the far wall, and as much behind where it stands as it is pressed
    expected = [2.0, 2.0]
    expected[less] = 1.0 - press[less]
    if less == 1:
        # freed lengthwise first; it then stands clear of the post and has all its width
        assert found.travels[1].play_mm == pytest.approx(expected[1], abs=1e-9)
        assert found.travels[0].play_mm == pytest.approx(expected[0], abs=1e-9)
    else:
        assert found.travels[0].play_mm == pytest.approx(expected[0], abs=1e-9)
        assert found.travels[1].play_mm == pytest.approx(expected[1], abs=1e-9)
    assert found.free


def test_only_what_the_path_sweeps_stands_in_the_way() -> None:
    """Walls come from 6 mm above: a ledge 5 mm above the block is met, one 7 mm above is not."""
    body = [block("b", *BODY, (0, 4))]
    for height, meets in ((8.9, True), (10.1, False)):
        ledge = block("ledge", (8.0, 12.0), OPENING[1], (height, height + 0.5))
        found = slide(
            [*ring(*OPENING, (0, 10)), ledge], body, np.array([0.0, 0.0, -6.0]), HERE
        ).travels[0]
        assert found.high is not None
        assert found.high.outer == ("ledge" if meets else "right")
        assert found.high.travel_mm == pytest.approx(2.0 if meets else 6.0, abs=1e-9)
    below = block("ledge", (8.0, 12.0), OPENING[1], (-3.0, -0.1))
    down = slide([*ring(*OPENING, (0, 10)), below], body, np.array([0.0, 0.0, -6.0]), HERE).travels[
        0
    ]
    up = slide([*ring(*OPENING, (0, 10)), below], body, np.array([0.0, 0.0, 6.0]), HERE).travels[0]
    assert down.high is not None and down.high.outer == "right"
    assert up.high is not None and up.high.outer == "ledge"


def test_a_bar_beside_the_middle_blocks_and_one_aside_does_not() -> None:
    assert in_ring(block("bar", (-6.0, 11.0), (-0.5, 1.5), (8, 8.2))).blocked_by == ("bar", "b")
    # at the end of the way in, the block stands in the middle: x from -2 to 7, y from -4.5 to 9.5
    assert in_ring(block("peg", (-1.0, 2.0), (-0.5, 0.5), (8, 9))).blocked_by == ("peg", "b")
    assert in_ring(block("bar", (-6.9, -3.0), (-0.5, 0.5), (8, 9))).blocked_by is None


@pytest.mark.parametrize("seed", range(12))
def test_many_blocks_between_many_walls_by_brute_force(seed: int) -> None:
    """Walls in storeys, bodies in storeys: every pair whose swept heights meet, one by one."""
    rng = np.random.default_rng(seed)
    path = np.array([0.0, 0.0, float(rng.choice([-9.0, -4.0, 3.0]))])
    walls, bodies = [], []
    for storey in range(3):
        z = (3.0 * storey, 3.0 * storey + 2.5)
        left, right, front, back = rng.uniform(5.0, 9.0, 4)
        walls += [
            block(f"{storey} left", (-left - 1, -left), (-40, 40), z),
            block(f"{storey} right", (right, right + 2), (-40, 40), z),
            block(f"{storey} front", (-40, 40), (-front - 1, -front), z),
            block(f"{storey} back", (-40, 40), (back, back + 3), z),
        ]
        low_x, high_x, low_y, high_y = rng.uniform(2.0, 5.5, 4)
        bodies.append(block(f"b{storey}", (-low_x, high_x), (-low_y, high_y), z))
    found = slide(walls, bodies, path, HERE)

    def stops(k: int, side: str, sign: float) -> dict[tuple[str, str], float]:
        reach = {}
        for wall, body in itertools.product((w for w in walls if side in w.name), bodies):
            swept = wall.low[2] + min(0.0, path[2]), wall.high[2] + max(0.0, path[2])
            if swept[0] < body.high[2] and body.low[2] < swept[1]:
                gap = wall.low[k] - body.high[k] if sign > 0 else body.low[k] - wall.high[k]
                reach[wall.name, body.name] = sign * gap
        return reach

    for travel, k, sides in (
        (found.travels[0], 0, ("left", "right")),
        (found.travels[1], 1, ("front", "back")),
    ):
        low, high = stops(k, sides[0], -1.0), stops(k, sides[1], 1.0)
        assert travel.play_mm == pytest.approx(min(high.values()) - max(low.values()), abs=1e-9)
        assert travel.low is not None and travel.high is not None
        assert low[travel.low.outer, travel.low.inner] == max(low.values())
        assert high[travel.high.outer, travel.high.inner] == min(high.values())
        ours_low, ours_high = Pairs.of([(walls, bodies)], path).travels(travel.axis, HERE, 1.5)
        near_high = {n: v for n, v in high.items() if v <= min(high.values()) + 1.5}
        near_low = {n: v for n, v in low.items() if v >= max(low.values()) - 1.5}
        assert ours_high == pytest.approx(near_high, abs=1e-9)
        assert ours_low == pytest.approx(near_low, abs=1e-9)
        some = sorted(near_high)[:1]
        assert Pairs.of([(walls, bodies)], path).travels(travel.axis, HERE, 99.0, some)[1] == (
            pytest.approx({some[0]: near_high[some[0]]}, abs=1e-9)
        )


def test_two_boxes_overlap_by_their_least_overlap() -> None:
    """Boxes 4 x 6 x 8 and 1 x 2 x 3: the way out is the shortest of six, each a difference."""
    outer, inner = block("o", (-1, 3), (-2, 4), (0, 8)), block("i", (0, 1), (0, 2), (0, 3))
    body = difference_body(outer, inner)
    depth, way = body.depth(np.array([1.5, 0.5, 2.0]))
    # out to +x: 3 - (0 + 1.5); -x: 1 + 1.5 + 1; +y: 4 - 0.5; -y: 2.5 + 2; up: 8 - 2; down: 3 + 2
    assert depth == pytest.approx(1.5) and way == pytest.approx([1.0, 0.0, 0.0])
    depth, way = body.depth(np.array([0.0, -3.0, 2.0]))
    assert depth == pytest.approx(1.0) and way == pytest.approx([0.0, -1.0, 0.0])
    assert body.depth(np.array([5.0, 0.0, 2.0]))[0] == pytest.approx(-2.0)
    assert body.along(np.array([0.0, 1.0, 2.0]), np.array([1.0, 0.0, 0.0])) == pytest.approx(
        (-2, 3)
    )
    assert body.along(np.array([0.0, 4.0, 2.0]), np.array([1.0, 0.0, 0.0])) is None  # touching
    assert body.along(np.array([0.0, 3.99, 2.0]), np.array([1.0, 0.0, 0.0])) is not None
