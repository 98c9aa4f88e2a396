"""Of two readings of a piece that contradict each other: which is set aside, and in what words."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from tests.unit.test_questions import coupon, learn


def torn(by_mm: float, first: bool) -> tuple[list[Reading], tuple[int, int]]:
    """A coupon that a sure hand reads twice, with one reading of a channel off; and the rows of
    that piece.
    """
    rows = [replace(row, row=k) for k, row in enumerate(coupon(3), 2)]
    pieces: dict[object, list[int]] = defaultdict(list)
    for place, row in enumerate(rows):
        if row.feature is Feature.CHANNEL:
            pieces[row.piece].append(place)
    assert all(len(own) == 2 for own in pieces.values())
    for number, (one, other) in enumerate(pieces.values()):
        for place, more in ((one, 0.40 + 0.01 * (number % 3)), (other, 0.41)):
            mm = round((rows[place].nominal_mm or 0.0) + more, 2)
            rows[place] = replace(rows[place], reading_mm=mm)
    one, other = list(pieces.values())[-1]
    wrong = one if first else other
    rows[wrong] = replace(rows[wrong], reading_mm=round((rows[wrong].reading_mm or 0) + by_mm, 2))
    return rows, (one + 2, other + 2)


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize("by_mm", [0.2, -0.2])
def test_two_tenths_apart_nobody_knows_which_is_wrong(
    tmp_path: Path, by_mm: float, first: bool
) -> None:
    """Folds made anew differ by a tenth (common practice, no source): two are no witness."""
    rows, places = torn(by_mm, first)
    (line,) = learn(tmp_path, rows).learnt.set_aside
    assert f"rows {places[0]}, {places[1]}: channel 75 mm" in line
    assert "nothing says which is wrong: both set aside; read it again" in line


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize("by_mm", [1.0, -1.0])
def test_a_millimetre_apart_the_other_pieces_say_which(
    tmp_path: Path, by_mm: float, first: bool
) -> None:
    rows, places = torn(by_mm, first)
    (line,) = learn(tmp_path, rows).learnt.set_aside
    assert f"the other pieces do not bear out row {places[not first]}, " in line
