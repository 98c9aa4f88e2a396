"""Boxes with more than four walls, measured as a caliper reads them.

A right-angled crease without an inside radius, neutral in the middle of the paper, uses up
(pi / 2) (t / 2) of flat length (the bend allowance of sheet metal, as in the published tests), half
of it on either side of its line. So a wall's outside face stands a = t (1 - pi / 8) outside its
score and its inside face t - a within; a regular polygon of 2m sides is its distance across flats
one way, and that over cos(pi / n) from corner to corner where corners lie there.
"""

from __future__ import annotations

import math

import pytest

from fitcheck.folding.fold import fold
from fitcheck.folding.measure import PartSizes, measure
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Corner, Fence, Rule, Sheet
from fitcheck.stock.crease import Crease

T = 0.3
A = (1.0 - math.pi / 8.0) * T
PAPER = Crease(radius_mm=0.0, neutral=0.5, caliper_mm=T)
DEEP, FLAT = 20.0, 80.0
"""The walls' depth, and the floor from score to score across flats."""
Point = tuple[float, float]


def at(point: Point) -> Corner:
    return Corner(Rule(Fence.LEFT, 80.0 + point[0]), Rule(Fence.BOTTOM, 80.0 + point[1]))


def box(corners: list[Point]) -> Pattern:
    """A floor over a convex polygon, counter-clockwise, and an upright wall at each side of it."""
    panels, creases = [Panel("floor", Role.FLOOR, tuple(map(at, corners)))], []
    for k, (start, stop) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True)):
        long = math.dist(start, stop)
        out = DEEP * (stop[1] - start[1]) / long, DEEP * (start[0] - stop[0]) / long
        far = [(x + out[0], y + out[1]) for x, y in (start, stop)]
        panels.append(Panel(f"wall {k}", Role.WALL, tuple(map(at, (start, *far, stop)))))
        creases.append(CreaseLine("floor", f"wall {k}", at(start), at(stop)))
    return Pattern("base", Sheet(160.0, 160.0), tuple(panels), tuple(creases))


def regular(sides: int) -> list[Point]:
    """A polygon with a side across the width's end."""
    radius = 0.5 * FLAT / math.cos(math.pi / sides)
    turns = [math.pi * (2 * k - 1) / sides for k in range(sides)]
    return [(radius * math.cos(turn), radius * math.sin(turn)) for turn in turns]


def sizes_of(corners: list[Point]) -> PartSizes:
    return measure(fold(box(corners), PAPER, 0.0))


@pytest.mark.parametrize("sides", [4, 8, 12])
def test_it_is_as_wide_as_it_is_long(sides: int) -> None:
    found = sizes_of(regular(sides))
    assert found.outside_mm == pytest.approx([FLAT + 2 * A] * 2, abs=2e-4)
    assert found.floor_outside_mm == pytest.approx([FLAT + 2 * A] * 2, abs=2e-4)
    assert found.inside_mm == pytest.approx([FLAT - 2 * (T - A)] * 2, abs=1e-9)


def test_six_walls_reach_further_to_their_corners() -> None:
    """The room ends in a corner; outside, walls end with the flat of their panels."""
    found = sizes_of(regular(6))
    assert found.inside_mm[0] == pytest.approx(FLAT - 2 * (T - A), abs=1e-9)
    assert found.inside_mm[1] == pytest.approx(
        (FLAT - 2 * (T - A)) / math.cos(math.pi / 6), abs=1e-9
    )
    assert found.outside_mm[0] == pytest.approx(FLAT + 2 * A, abs=2e-4)
    sharp = (FLAT + 2 * A) / math.cos(math.pi / 6)
    assert FLAT / math.cos(math.pi / 6) < found.outside_mm[1] < sharp


def test_a_corner_cut_off_takes_nothing_from_the_sides() -> None:
    """Five walls, one across a corner, the floor's middle beside that of its box."""
    found = sizes_of([(-40.0, -30.0), (40.0, -30.0), (40.0, 10.0), (20.0, 30.0), (-40.0, 30.0)])
    assert found.outside_mm == pytest.approx([80.0 + 2 * A, 60.0 + 2 * A], abs=2e-4)
    assert found.inside_mm == pytest.approx([80.0 - 2 * (T - A), 60.0 - 2 * (T - A)], abs=1e-9)


def test_three_walls_leave_the_fourth_side_open() -> None:
    """There the part ends with its floor's edge, which lies 30 mm beyond its middle."""
    whole = box([(-40.0, -30.0), (40.0, -30.0), (40.0, 30.0), (-40.0, 30.0)])
    pattern = Pattern("base", whole.sheet, whole.panels[:-2] + whole.panels[-1:],
        tuple(line for line in whole.creases if line.child != "wall 2"))  # fmt: skip
    found = measure(fold(pattern, PAPER, 0.0))
    assert found.outside_mm == pytest.approx([80.0 + 2 * A, 60.0 + A], abs=2e-4)
    assert found.inside_mm == pytest.approx([80.0 - 2 * (T - A), 60.0 - (T - A)], abs=1e-9)
