"""Straight mates by plain arithmetic: a drawer's section, slots, presses, rails and rests."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.fit.free_place import Openings
from fitcheck.fit.motions import Straight
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.rest import rests_of
from fitcheck.fit.slide import Slide
from fitcheck.fit.straight import Mating, StraightMate
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import translation
from fitcheck.odds.paths import Path, mate_path
from fitcheck.odds.readings import family_name
from tests.mated import (
    Mated,
    Range,
    block,
    crossing_strips,
    drawer_in_sleeve,
    listed,
    random_turn,
    strip,
    turned_mate,
)

OUT = Straight(np.array([0.0, 1.0, 0.0]), 100.0)
DOWN_OVER = Straight(np.array([0.0, 0.0, 1.0]), 30.0)


def sleeve(x: Range, z: Range, depth: Range = (0.0, 90.0)) -> list[ConvexPiece]:
    """Four walls of other thicknesses round an opening."""
    return [
        block("left", (x[0] - 0.5, x[0]), depth, (z[0] - 0.3, z[1] + 0.6)),
        block("right", (x[1], x[1] + 0.4), depth, (z[0] - 0.3, z[1] + 0.6)),
        block("floor", x, depth, (z[0] - 0.3, z[0])),
        block("roof", x, depth, (z[1], z[1] + 0.6)),
    ]


def drawer(x: Range, z: Range, depth: Range = (1.0, 89.0)) -> list[ConvexPiece]:
    """A floor and four walls, the back one lower."""
    return [
        block("bottom", x, depth, (z[0], z[0] + 0.3)),
        block("one side", (x[0], x[0] + 0.4), depth, z),
        block("other side", (x[1] - 0.3, x[1]), depth, z),
        block("front", x, (depth[1] - 0.3, depth[1]), z),
        block("back", x, (depth[0], depth[0] + 0.3), (z[0], z[1] - 2.0)),
    ]


def slid(mated: Mated) -> Slide:
    (found,) = mated.mate().slides(listed(mated.mover), listed(mated.holder))
    return found


def test_two_plays_of_a_drawer_are_those_of_its_section() -> None:
    """By hand: 61.2 - 60.3 across and 20.5 - 19.8 up; the stops where the walls stand."""
    mated = Mated(drawer((-30.1, 30.2), (0.1, 19.9)), sleeve((-30.5, 30.7), (0.0, 20.5)), OUT,
                  Mating.INTO)  # fmt: skip
    found = slid(mated)
    across, up = found.travel("across"), found.travel("up")
    assert across.play_mm == pytest.approx(61.2 - 60.3, abs=1e-9)
    assert up.play_mm == pytest.approx(20.5 - 19.8, abs=1e-9)
    assert across.low is not None and across.high is not None
    assert (across.low.outer, across.low.inner) == ("left", "bottom")
    assert across.low.travel_mm == pytest.approx(-30.5 - -30.1, abs=1e-9)
    assert across.high.travel_mm == pytest.approx(30.7 - 30.2, abs=1e-9)
    assert up.high is not None and (up.high.outer, up.high.inner) == ("roof", "one side")
    # where the roof is met: half across the side, half along what both share, at the roof
    assert up.high.at_mm == pytest.approx((-30.1 + 0.2 + 0.05, 45.0, 20.5), abs=1e-6)
    mate = mated.mate()
    assert mate.place_of(found) == pytest.approx([0.05, 0.0, 0.5 * (20.5 - 20.0)], abs=1e-9)
    # it lies on the sleeve's floor
    assert mate.lowest(found, "up") == pytest.approx([0.05, 0.0, -0.1], abs=1e-9)
    assert found.tighter is up and found.wider is across and found.free


def test_the_tightest_place_is_anywhere_on_the_way_out() -> None:
    """A lip of 0.2 mm stands in the mouth, past which the back wall leaves last of all."""
    lip = block("lip", (-30.5, 30.7), (89.5, 90.0), (0.0, 0.2))
    mated = Mated(
        drawer((-30.1, 30.2), (0.3, 20.1)),
        [*sleeve((-30.5, 30.7), (0.0, 20.5)), lip],
        OUT,
        Mating.INTO,
    )
    up = slid(mated).travel("up")
    assert up.low is not None and up.low.outer == "lip"
    assert up.play_mm == pytest.approx(20.5 - 0.2 - 19.8, abs=1e-9)


def test_a_drawer_that_is_too_wide_presses_by_that_much() -> None:
    mated = Mated(drawer((-30.9, 30.9), (0.1, 19.9)), sleeve((-30.5, 30.7), (0.0, 20.5)), OUT,
                  Mating.INTO)  # fmt: skip
    found = slid(mated)
    assert found.travel("across").play_mm == pytest.approx(61.2 - 61.8, abs=1e-9)
    assert found.travel("up").play_mm == pytest.approx(20.5 - 19.8, abs=1e-9)
    assert found.blocked_by is None and not found.free


def test_a_rail_in_a_slot_stops_the_drawer_from_both_its_sides() -> None:
    """The sleeve's rail stands on no side of the drawer; the drawer's bottom has a slot for it."""
    rail = block("rail", (4.0, 4.5), (0.0, 90.0), (0.0, 3.0))
    # the sleeve is closed behind, which nothing on the way out ever meets
    end = block("end", (-31.0, 31.0), (-0.4, 0.0), (0.0, 20.0))
    slotted = [
        block("bottom", (-30.0, 3.9), (1.0, 89.0), (0.2, 0.5)),
        block("bottom", (4.8, 30.0), (1.0, 89.0), (0.2, 0.5)),
        block("cover", (-30.0, 30.0), (1.0, 89.0), (19.4, 19.6)),
    ]
    mated = Mated(slotted, [*sleeve((-31.0, 31.0), (0.0, 20.0)), rail, end], OUT, Mating.INTO)
    found = slid(mated)
    across = found.travel("across")
    assert across.low is not None and across.high is not None
    assert (across.low.outer, across.high.outer) == ("rail", "rail")
    assert (across.low.travel_mm, across.high.travel_mm) == pytest.approx((-0.3, 0.1), abs=1e-9)
    low = found.travel("up").low
    assert low is not None and low.outer == "floor"
    # drawn half a millimetre aside, its bottom on the rail, it finds its slot again
    askew = mated.shifted((0.5, 0.0, 0.0))
    again = slid(askew)
    assert again.free and again.travel("across").play_mm == pytest.approx(0.4, abs=1e-9)
    assert askew.mate().place_of(again)[0] == pytest.approx(-0.6, abs=1e-9)
    # taken out through the closed end it is blocked, wherever it is moved to
    through = replace(askew, motion=Straight(-OUT.direction, OUT.length_mm))
    assert slid(through).blocked_by is not None
    # and in drawn boxes the rail is read, which no side tells of
    path = mate_path("drawer", mated.mate(), listed(mated.mover), listed(mated.holder))
    assert path.middle is None
    (read,) = path.read_all(listed(mated.holder), listed(mated.mover), 1, 50.0, None)
    assert read["drawer across low"]["rail", "bottom"] == pytest.approx(0.3, abs=1e-9)
    assert read["drawer across high"]["rail", "bottom"] == pytest.approx(0.1, abs=1e-9)


def combs(slot: float, thick: float) -> Mated:
    """A strip along x whose two slots are so wide, over two strips so thick along y."""
    edges = [(-20.0 - 0.4 * slot, -20.0 + 0.6 * slot), (15.0 - 0.5 * slot, 15.0 + 0.5 * slot)]
    mover = strip("mover", 0, 0.0, 0.3, (-40.0, 33.0), edges, (0.0, 20.0), up=False)
    holder = [
        *strip("far", 1, -20.0, thick, (-30.0, 28.0), [(-0.25, 0.2)], (0.0, 20.0), up=True),
        *strip("near", 1, 15.0, thick, (-30.0, 28.0), [(-0.2, 0.2)], (0.0, 20.0), up=True),
    ]
    return Mated(mover, holder, DOWN_OVER, Mating.PAST)


def test_strips_in_each_other_have_the_play_of_their_slots() -> None:
    """Along the mover what both its slots leave at once, across it what the others' slots do."""
    found = slid(combs(0.5, 0.3))
    width, length = found.travels
    # far: from -0.2 - 0.15 to 0.3 - 0.15; near: 0.25 - 0.15 both ways; the mover goes the other way
    assert width.low is not None and width.high is not None
    assert width.low.travel_mm == pytest.approx(-0.1, abs=1e-9)
    assert width.high.travel_mm == pytest.approx(0.05, abs=1e-9)
    assert (width.low.outer, width.high.outer) == ("near", "far")
    assert length.play_mm == pytest.approx(0.4 - 0.3, abs=1e-9)
    assert found.free


@pytest.mark.parametrize("askew", [(0.0, 0.0, 0.0), (0.6, -0.4, 0.0)])
def test_a_slot_that_is_too_narrow_blocks_by_half_of_what_is_missing(
    askew: tuple[float, float, float],
) -> None:
    """Centred, the strip stands in both of the slot's edges by half of 0.5 - 0.44 mm.

    The far slot's middle is 0.1 slots off, so one of the edges of both slots is worst: the strips
    stand 35 mm apart, the slots 35 mm less a tenth of one.
    """
    found = slid(combs(0.44, 0.5).shifted(askew))
    missing = 0.5 - 0.44 + 0.1 * 0.44
    assert found.blocked_by is not None and found.blocked_by[1] == "mover"
    assert found.overlap_mm == pytest.approx(0.5 * missing, abs=1e-6)
    assert found.travels[0].play_mm == pytest.approx(-missing, abs=1e-6)


def test_a_part_comes_to_rest_on_what_it_meets_first() -> None:
    """Strips drawn 3 mm too deep come to rest where the grounds of their slots meet."""
    mated = combs(0.5, 0.3)
    down = translation(np.array([0.0, 0.0, -3.0]))
    (found,) = rests_of(listed(mated.mover).moved(down), listed(mated.holder), 1, 1.0)
    assert found == {
        ("mover", "far"): pytest.approx(3.0, abs=1e-9),
        ("mover", "near"): pytest.approx(3.0, abs=1e-9),
    }


def rotation_between(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """A rotation that carries one unit vector to another (Rodrigues)."""
    axis = np.cross(a, b)
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    return np.eye(3) + cross + cross @ cross / (1.0 + a @ b)


@pytest.mark.parametrize("make", [drawer_in_sleeve, crossing_strips])
def test_many_boxes_at_once_are_each_box_alone_to_the_bit(make: object) -> None:
    """With boxes among them that press, that are off and that are free."""
    turn = random_turn(np.random.default_rng(9))
    first = make(np.random.default_rng(0)).mate()
    mate: StraightMate = turned_mate(first, turn)
    boxes = [make(np.random.default_rng(seed)).turned(turn) for seed in range(6)]
    boxes[2] = boxes[2].shifted((0.4, 0.5, 0.6))
    starts = np.random.default_rng(1).uniform(-0.1, 0.1, (len(boxes), 3))
    starts -= (starts @ mate.motion.unit)[:, None] * mate.motion.unit
    every = mate.slides(
        listed(*(one.mover for one in boxes)), listed(*(one.holder for one in boxes)), starts
    )
    for own, start, among in zip(boxes, starts, every, strict=True):
        (alone,) = mate.slides(listed(own.mover), listed(own.holder), start[None])
        assert (alone.place_mm == among.place_mm).all()
        assert alone.blocked_by == among.blocked_by and alone.overlap_mm == among.overlap_mm
        assert [t.play_mm for t in alone.travels] == [t.play_mm for t in among.travels]
        assert [t.limiting and t.limiting.at_mm for t in alone.travels] == [
            t.limiting and t.limiting.at_mm for t in among.travels
        ]


@pytest.mark.parametrize("turned", [False, True])
def test_readings_of_a_drawer_follow_its_sizes(turned: bool) -> None:
    """A sleeve 0.3 mm wider and a drawer 0.9 mm taller change one family each by just that.

    The taller one presses by more than its roof is thin: its pairs are read on their side still.
    """
    designed = Mated(drawer((-30.1, 30.2), (0.1, 19.9)), sleeve((-30.5, 30.7), (0.0, 20.5)), OUT,
                     Mating.INTO)  # fmt: skip
    wider = Mated(designed.mover, sleeve((-30.5, 31.0), (0.0, 20.5)), OUT, Mating.INTO)
    taller = Mated(drawer((-30.1, 30.2), (0.1, 20.8)), designed.holder, OUT, Mating.INTO)
    boxes, mate = [designed, wider, taller], designed.mate()
    if turned:
        turn = random_turn(np.random.default_rng(2))
        boxes, mate = [one.turned(turn) for one in boxes], turned_mate(mate, turn)
    path: Path = mate_path("drawer", mate, listed(boxes[0].mover), listed(boxes[0].holder))
    assert path.middle is not None
    outer, inner = mate.ordered(
        listed(*(one.mover for one in boxes)), listed(*(one.holder for one in boxes))
    )
    found = path.read_all(outer, inner, 3, 60.0, None)
    least = [
        {
            (name, side): min(read[family_name("drawer", name, side)].values())
            for name in ("across", "up")
            for side in ("low", "high")
        }
        for read in found
    ]
    assert least[0]["across", "low"] == pytest.approx(0.4, abs=1e-9)
    assert least[0]["across", "high"] == pytest.approx(0.5, abs=1e-9)
    assert least[0]["up", "low"] == pytest.approx(0.1, abs=1e-9)
    assert least[0]["up", "high"] == pytest.approx(0.6, abs=1e-9)
    changes = [{key: one[key] - least[0][key] for key in one} for one in least[1:]]
    assert changes[0] == pytest.approx(dict.fromkeys(least[0], 0.0) | {("across", "high"): 0.3})
    assert changes[1] == pytest.approx(dict.fromkeys(least[0], 0.0) | {("up", "high"): -0.9})
    # the pairs that are asked for by name are the same alone
    wanted = {family: set(members) for family, members in found[0].items()}
    named = path.read_all(outer, inner, 3, 60.0, wanted)
    for every, own in zip(found, named, strict=True):
        for family, members in wanted.items():
            assert all(own[family][one] == every[family][one] for one in members)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_only_what_the_path_sweeps_past_the_start_forbids_a_place(sign: float) -> None:
    """A slanting plate, x = z, goes up past a small block: with its lower half it sweeps x < 0."""
    turn = np.eye(4)
    turn[:3, :3] = rotation_between(np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 1.0]) / 2**0.5)
    plate = block("plate", (-0.1, 0.1), (-5.0, 5.0), (-14.0, 14.0)).moved(turn)
    small = block("small", (-0.2, 0.2), (-0.2, 0.2), (-0.2, 0.2))
    pairs = Pairs(listed([plate]), listed([small]), sign * np.array([0.0, 0.0, 60.0]))
    swept, passed = (
        Openings(pairs, 0, np.array([sign * x, 0.0, 0.0]), 1.0).nearest() for x in (-5.0, 5.0)
    )
    assert swept is None
    assert passed is not None and pairs.free(np.array([[*passed, 0.0]])).all()
