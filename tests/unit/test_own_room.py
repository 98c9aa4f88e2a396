"""Room and finger room of several contents: each has its own, by subtraction of plain lengths."""

from __future__ import annotations

import pytest

from fitcheck import kinds
from fitcheck.design.model import Content, Lay
from fitcheck.fit.contents import ContentFit, ContentVerdict, fit_contents
from fitcheck.fit.fingers import WayOut
from tests.boxes import tray
from tests.unit.test_contents import SHARP, cavity, item

BOX = tray(80.0, 100.0, 30.0, SHARP)
WIDTH, LENGTH = 80.0 - 0.26, 100.0 - 0.26
"""From wall to wall: a floor less what two creases take of it, 2 (0.33 - 0.2)."""


def put(*things: tuple[str, tuple[float, float, float], int]) -> dict[str, ContentFit]:
    contents = [
        Content(item(kinds.BLOCK, *size, name=name), count, Lay.FLAT)
        for name, size, count in things
    ]
    found = fit_contents(cavity(BOX, 29.0), contents)
    assert all(one.verdict is ContentVerdict.FITS for one in found)
    return {one.content.item.name: one for one in found}


def test_what_lies_on_a_larger_thing_has_its_own_room() -> None:
    found = put(("bar", (76.0, 92.0, 20.0), 1), ("tag", (40.0, 60.0, 4.0), 1))
    bar, tag = found["bar"].own, found["tag"].own
    assert bar is not None and tag is not None
    assert (bar.width_mm, bar.length_mm) == pytest.approx((WIDTH - 76.0, LENGTH - 92.0), abs=1e-6)
    # glued walls lean out by one caliper and one joint each at most, 2 (0.33 + 0.1) in all
    assert 0.0 <= tag.width_mm - (WIDTH - 40.0) <= 0.86
    assert 0.0 <= tag.length_mm - (LENGTH - 60.0) <= 0.86
    assert found["bar"].fingers.largest_gap_mm == pytest.approx(LENGTH - 92.0, abs=1e-6)
    assert found["bar"].fingers.way_out is WayOut.NOTCH
    # 15 mm beside it take a finger
    assert found["tag"].fingers.way_out is WayOut.FINGER
    assert found["tag"].fingers.largest_gap_mm == pytest.approx(max(tag.width_mm, tag.length_mm))


def test_what_lies_under_a_larger_thing_has_its_own_room_too() -> None:
    found = put(("slab", (70.0, 90.0, 4.0), 1), ("plate", (74.0, 96.0, 4.0), 1))
    slab, plate = found["slab"].own, found["plate"].own
    assert slab is not None and plate is not None
    assert (slab.width_mm, slab.length_mm) == pytest.approx((WIDTH - 70, LENGTH - 90), abs=1e-6)
    assert (plate.width_mm, plate.length_mm) == pytest.approx((WIDTH - 74, LENGTH - 96), abs=1e-6)


def test_things_side_by_side_share_the_room_across_and_not_along() -> None:
    """Of 80 across, 50 and 20 are taken; along it neither stands in the other's way."""
    found = put(("long", (50.0, 90.0, 18.0), 1), ("short", (20.0, 60.0, 18.0), 1))
    for name, length in (("long", 90.0), ("short", 60.0)):
        own = found[name].own
        assert own is not None
        assert own.width_mm == pytest.approx(WIDTH - 70.0, abs=0.05)
        # beside the middle a wall that leans over its tabs leaves a hair more
        assert own.length_mm == pytest.approx(LENGTH - length, abs=0.01)


def test_all_of_them_together_are_judged_as_before() -> None:
    found = put(("bar", (76.0, 92.0, 20.0), 1), ("tag", (40.0, 60.0, 4.0), 1))
    for one in found.values():
        assert one.slack is not None
        assert one.slack.width_mm == pytest.approx(WIDTH - 76.0, abs=1e-6)
    alone = put(("bar", (76.0, 92.0, 20.0), 1))["bar"]
    assert alone.own == alone.slack
