"""Slips in readings of a hand that are asked about: which row, in what words, and when not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.hand_doubtful import of_hands
from tests.hand_truth import BOARD
from tests.unit.test_hand_slips import moved, read, strips

PIECES = (25.78, 25.07, 25.11, 25.93, 25.11, 25.17)
"""Pieces between marks 25.4 mm apart: sums of 0.38, 0.05, -0.24, 0.29, 0.00 and -0.23 mm."""


def card(*widths: float, step: float = 0.01) -> list[Reading]:
    rows = [read(Feature.KNIFE, 25.4, mm, f"K{k}", 1 + k) for k, mm in enumerate(widths, 1)]
    return [replace(row, resolution_mm=step) for row in rows]


def asked(rows: list[Reading]) -> list[str]:
    return [one.line for one in of_hands(rows, BOARD)]


def test_six_pieces_as_they_were_cut_are_not_asked_about() -> None:
    assert asked(card(*PIECES)) == []


@pytest.mark.parametrize("by_mm", [1.0, -1.0, 2.0, 10.0])
@pytest.mark.parametrize("place", range(5))
def test_a_piece_misread_moves_all_later_cuts_and_is_asked_about_by_its_row(
    place: int, by_mm: float
) -> None:
    """With K4 1 mm too wide the sums are 1.29, 1.00 and 0.77 from there on, and 0.24 mm rms of them
    are left when it is taken off: e^6.9 times as likely as 0.76 mm rms of six normal cuts.
    """
    widths = list(PIECES)
    widths[place] += by_mm
    (line,) = asked(card(*widths))
    assert f"row {place + 2}" in line and "every cut after it moves with it: is that so?" in line
    assert f"too {'wide' if by_mm > 0 else 'narrow'} beside the other pieces" in line
    assert line.endswith("if it is, add --confirm knife")


def test_two_digits_exchanged_are_asked_about() -> None:
    """25.17 written as 25.71 for K2: the sums are 0.38, 0.69, 0.40, 0.93, 0.64 and 0.41."""
    (line,) = asked(card(25.78, 25.71, *PIECES[2:]))
    assert "row 3" in line


def test_a_caliper_off_zero_is_asked_about_as_such() -> None:
    """0.15 mm more in each of six pieces: sums 0.15 to 0.90 mm more."""
    (line,) = asked(card(*(round(mm + 0.15, 2) for mm in PIECES)))
    assert "from this piece on all are about 0.1" in line
    assert "set the caliper to zero and measure the pieces again" in line


def test_honest_cards_are_seldom_asked_about_and_whole_millimetres_mostly() -> None:
    """Normal cuts of 0.25 mm, read to 0.01 mm: fewer than 3 in 100, and more than 80 in 100."""
    rng = np.random.default_rng(3)
    honest = slipped = 0
    for _ in range(200):
        cuts = rng.normal(0.0, 0.25, 6)
        widths = np.round(25.4 + np.diff([0.0, *cuts]) + rng.normal(0.0, 0.02, 6), 2)
        honest += bool(asked(card(*widths)))
        widths[rng.integers(5)] += 1.0
        slipped += bool(asked(card(*widths)))
    assert honest < 6 and slipped > 160


def test_pieces_read_to_half_a_millimetre_are_not_taken_for_slips() -> None:
    assert asked(card(25.0, 25.5, 25.5, 25.0, 25.5, 25.5, step=0.5)) == []


def shifted(rows: list[Reading], place: int, by_mm: float) -> list[Reading]:
    """A score that lies further from the fence: its near side is wider, its far side narrower."""
    return moved(moved(rows, place, by_mm), place + 1, -by_mm)


@pytest.mark.parametrize("place", [1, 3])
@pytest.mark.parametrize(("by_mm", "where"), [(5.0, "far"), (-5.0, "near")])
def test_a_score_in_another_groove_is_asked_about(place: int, by_mm: float, where: str) -> None:
    """Grooves are 5 mm apart; the other eleven scores lie where they were meant."""
    (line,) = asked(shifted(strips(6), 15 + place, by_mm))
    assert line.startswith(f"r.csv: row {17 + place}: fold-near ")
    assert f"5.00 mm too {where}, about a whole groove of 5 mm" in line
    assert line.endswith("if it is, add --confirm grooves")


@pytest.mark.parametrize("by_mm", [0.5, -0.5, 2.0])
def test_a_score_less_than_half_a_groove_off_is_not(by_mm: float) -> None:
    assert asked(shifted(strips(6), 16, by_mm)) == []
