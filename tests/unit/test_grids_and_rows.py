"""Steps of boards by counting on the board; discs in rows by the trigonometry of their touching."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from fitcheck.kinds.poses import Disc, Pose, Rectangle
from fitcheck.odds.grid import around, beside, steps_for
from fitcheck.packing.discs import spread, staggered
from fitcheck.packing.placing import Demand, verify
from fitcheck.packing.room import Room
from fitcheck.units import Unit
from tests.hand_truth import BOARD


@pytest.mark.parametrize(("size", "step"), [(83.1, 0.79375), (82.55, 0.79375), (40.0, 0.5)])
def test_changes_bring_a_size_onto_whole_steps(size: float, step: float) -> None:
    """Every whole step within eight of the size, and the size as it is."""
    changes = around(size, step)
    assert changes[0] == 0.0 and len(changes) == len(set(changes))
    assert [abs(c) for c in changes] == sorted(abs(c) for c in changes)
    steps = sorted((size + change) / step for change in changes[1:])
    assert steps == pytest.approx([round(s) for s in steps], abs=1e-6)
    below = [s for s in steps if s < size / step - 1e-6]
    above = [s for s in steps if s > size / step + 1e-6]
    assert len(below) == 8 and len(above) in (8, 9)
    if abs(size / step - round(size / step)) < 1e-6:
        assert len(above) == 8
    assert max(below) > size / step - 1.0 - 1e-6 and min(above) < size / step + 1.0 + 1e-6


def test_the_grooves_beside_a_depth() -> None:
    """In eighths of an inch: 7/8 in lies in one, 20 mm between 6/8 and 7/8; none lies at nought."""
    eighth = 25.4 / 8
    assert beside(22.225, eighth) == pytest.approx([22.225])
    assert beside(22.225, eighth, 1) == pytest.approx([19.05, 22.225, 25.4])
    assert beside(20.0, eighth) == pytest.approx([19.05, 22.225])
    assert beside(2.0, eighth) == pytest.approx([3.175])
    assert beside(3.175, eighth, 1) == pytest.approx([3.175, 6.35])


@pytest.mark.parametrize(
    ("grid", "unit", "size", "score", "grooved"),
    [
        # an eighth of an inch, for a design in millimetres: the board's own unit counts
        (3.175, Unit.MM, 25.4 / 32, 3.175, True),
        (5.0, Unit.IN, 0.5, 5.0, True),
        # 1/64 in is not on a maker's rule
        (25.4 / 16, Unit.IN, 25.4 / 32, 25.4 / 16, True),
        (0.7, Unit.MM, 0.7, 0.7, True),
        (None, Unit.IN, 25.4 / 32, 25.4 / 32, False),
        (None, Unit.MM, 0.5, 0.5, False),
        (None, Unit.CM, 0.5, 0.5, False),
    ],
)
def test_steps_of_a_board(
    grid: float | None, unit: Unit, size: float, score: float, grooved: bool
) -> None:
    found = steps_for(replace(BOARD, grid_mm=grid), unit)
    assert (found.size_mm, found.score_mm) == pytest.approx((size, score))
    assert found.grooved is grooved


def discs(count: int, across: float = 10.0, height: float = 4.0) -> list[Demand]:
    return [Demand("coin", (Pose("flat", across, across, height, Disc()),), count)]


@pytest.mark.parametrize(
    ("width", "rows", "per_row"),
    [
        # as wide as 3 coins: rows of 3 and 2, and 5 sqrt(3) from row to row
        (30.0, 5.0 * math.sqrt(3.0), (3, 2)),
        # half a coin more: rows of 3 and 3
        (35.0, 5.0 * math.sqrt(3.0), (3, 3)),
        # 33: rows of 3 spread out 11.5 apart; the next row of 2 sinks in deeper
        (33.0, math.sqrt(100.0 - 5.75**2), (3, 2)),
    ],
)
def test_rows_of_coins_stand_as_near_as_touching_lets_them(
    width: float, rows: float, per_row: tuple[int, int]
) -> None:
    for count_rows in (1, 2, 3, 4):
        count = sum(per_row[k % 2] for k in range(count_rows))
        length = 10.0 + (count_rows - 1) * rows
        for room in (Room(width, length + 1e-6, 4.0), Room(length + 1e-6, width, 4.0)):
            placed = staggered(room, discs(count))
            assert placed is not None and verify(room, placed) == ()
            assert len(placed) == count
    tight = Room(width, 10.0 + rows - 0.01, 4.0)
    assert staggered(tight, discs(sum(per_row))) is None


def test_layers_of_coins_by_division() -> None:
    """Seven to a layer of 30 x 27.4 (3 + 2 + 2 or 3 + 2 + 3): eight; two layers in 8.1 mm."""
    room = Room(30.0, 10.0 + 10.0 * math.sqrt(3.0) + 1e-6, 8.1)
    assert staggered(room, discs(16)) is not None
    assert staggered(room, discs(17)) is None
    placed = staggered(room, discs(9))
    assert placed is not None and {p.z_mm for p in placed} == {0.0, 4.0}
    assert staggered(Room(30.0, 30.0, 3.9), discs(1)) is None
    assert staggered(Room(9.9, 30.0, 9.0), discs(1)) is None
    open_box = staggered(Room(10.0, 10.0, math.inf), discs(5))
    assert open_box is not None and [p.z_mm for p in open_box] == [0.0, 4.0, 8.0, 12.0, 16.0]
    assert staggered(room, [*discs(1), *discs(1)]) is None
    flat = Demand("card", (Pose("flat", 5.0, 5.0, 1.0, Rectangle()),), 1)
    assert staggered(room, [flat]) is None


def test_five_coins_in_a_square_are_found_by_driving_apart() -> None:
    """One in the middle touches four in the corners: the diagonal of their middles is 2 d.

    So the side is d (1 + sqrt 2), proved best for five (citation from memory: Schaer 1965).
    """
    side = 10.0 * (1.0 + math.sqrt(2.0))
    room = Room(side + 1e-3, side + 1e-3, 4.0)
    placed = spread(room, discs(5))
    assert placed is not None and verify(room, placed) == ()
    assert spread(Room(side - 0.05, side - 0.05, 4.0), discs(5)) is None
    assert spread(room, discs(1)) is None
