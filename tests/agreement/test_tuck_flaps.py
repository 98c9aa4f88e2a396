"""Flaps that turn on a turning lid: ranges against a general library, ways walked with it."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.turn import swing
from fitcheck.fit.turn_fit import Outcome
from fitcheck.folding.hinges import chosen, refolded
from fitcheck.folding.parts import FoldedPart
from fitcheck.stock.crease import Crease
from tests.hinged import HingedTray
from tests.stepping import AGREE_RAD, Bench
from tests.turn_ranges import free_ranges
from tests.two_joints import LeadIn, lead_in

CLOSED = math.pi / 2.0
SQUARE = (CLOSED, CLOSED)
STEP_RAD = 0.06
TUCKED = HingedTray(
    Crease(0.1, 0.5, 0.33),
    width=50.0,
    length=32.0,
    front=12.0,
    side=12.0,
    back=12.6,
    lid=31.0,
    lip=9.0,
)
"""With its flap square the lid cannot be shut: the flap's end comes down on the front rim."""


def walked(part: FoldedPart, found: LeadIn) -> float:
    """The least distance that a general library tells along a way, mm, at most FAR_MM."""
    bench = Bench(part, ["lid", "lip"])
    assert found.way is not None
    least = math.inf
    for one, other in itertools.pairwise(found.way):
        assert one[0] == other[0] or one[1] == other[1]
        length = max(abs(one[0] - other[0]), abs(one[1] - other[1]))
        for share in np.linspace(0.0, 1.0, 2 + int(length / STEP_RAD)):
            at = [a + share * (b - a) for a, b in zip(one, other, strict=True)]
            least = min(least, bench.apart(*at))
    return least


def test_a_tuck_flap_is_led_in_past_the_rim() -> None:
    part = TUCKED.folded()
    assert swing(part, "lid", 0.0, CLOSED).outcome is Outcome.BLOCKED
    found = lead_in(part, "lid", "lip", (0.0, CLOSED), SQUARE)
    assert found.way is not None
    assert (found.way[0], found.way[-1]) == ((0.0, CLOSED), SQUARE)
    assert walked(part, found) > -1e-6


def test_a_flap_that_stands_in_the_wall_is_not_led_in() -> None:
    """Its lid is so long that its flap, square, would stand in the front wall."""
    part = HingedTray(
        TUCKED.crease, length=32.0, front=12.0, side=12.0, back=12.6, lid=32.1, lip=9.0
    ).folded()
    found = lead_in(part, "lid", "lip", (0.0, CLOSED), SQUARE)
    assert not found.found
    assert found.stopped_at == SQUARE
    assert found.pieces == ("front", "lip")


def test_a_flap_kept_nearly_square_is_stopped_at_the_rim() -> None:
    """Where its crease is not to be bent by more than a few degrees there is no way in."""
    limits = (math.radians(80.0), math.radians(90.5))
    part = TUCKED.folded()
    found = lead_in(part, "lid", "lip", (0.0, CLOSED), SQUARE, flap_range=limits)
    assert not found.found
    assert found.pieces == ("front", "lip")
    assert found.stopped_at is not None
    bench = Bench(part, ["lid"])
    # at whatever the flap stands, the library sees the lid stopped before that, too
    lids = []
    for deg in (80.0, 90.5):
        stood = refolded(chosen(part.among, np.zeros(1, dtype=int)), {"lip": np.radians([deg])})
        first = Bench(stood.part(0), ["lid"]).stepped(1.3, CLOSED).first_rad
        assert first is not None
        lids.append(first)
    assert found.stopped_at[0] == pytest.approx(max(lids), abs=0.01)
    assert bench.speed > 0.0


def test_the_ranges_of_a_flap_are_those_of_a_general_library() -> None:
    """Beside the front rim the flap is free folded out and folded in, and not between."""
    part = TUCKED.folded()
    lids = np.array([0.6, 1.3, 1.5])
    parts = refolded(chosen(part.among, np.zeros(3, dtype=int)), {"lid": lids})
    found = free_ranges(parts, "lip", np.zeros(3), np.full(3, math.pi), give_mm=TOUCH_MM)
    bench = Bench(part, ["lid", "lip"])
    for lid, ranges in zip(lids.tolist(), found, strict=True):
        for flap in np.linspace(0.0, math.pi, 20).tolist():
            inside = any(low <= flap <= high for low, high in ranges)
            assert inside == (bench.apart(lid, flap) >= -1e-7), (lid, flap)
        for end in (end for own in ranges for end in own if 0.0 < end < math.pi):
            sides = [bench.apart(lid, end + by) for by in (-AGREE_RAD, AGREE_RAD)]
            assert min(sides) < 0.0 < max(sides)
    assert len(found[0]) == 1 and max(map(len, found)) >= 2


@pytest.mark.long
@pytest.mark.parametrize("seed", range(40))
def test_many_ways_in(seed: int) -> None:
    rng = np.random.default_rng(seed)
    side, caliper = rng.uniform(9.0, 20.0), rng.uniform(0.2, 0.5)
    length = rng.uniform(25.0, 50.0)
    part = HingedTray(
        Crease(rng.choice([0.0, 0.2]), 0.5, caliper),
        width=rng.uniform(35.0, 70.0),
        length=length,
        front=side,
        side=side,
        back=side + rng.uniform(0.5, 2.0) * caliper,
        lid=length - rng.uniform(1.5, 4.0) * caliper,
        lip=rng.uniform(0.3, 0.9) * side,
        taper=rng.uniform(0.5, 3.0),
    ).folded()
    found = lead_in(part, "lid", "lip", (0.0, CLOSED), SQUARE)
    assert found.found
    assert walked(part, found) > -1e-6
