"""Scores are called grooved where a ruler that is laid from the fence says so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitcheck.odds.change_words import change_words
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import BOARD, design

GROOVED = "in the board's grooves"


@pytest.mark.parametrize(
    ("inner", "flap", "said"),
    [
        # frame 10 and outer wall 25 mm on a board of 5 mm: 10, 35, 45 and 70 mm from the fence
        (25.0, 10.0, True),
        # 9, 34, 44, 69: one length off, all scores off
        (25.0, 9.0, False),
        # 10, 32, 42, 67: the first score alone is in a groove
        (22.0, 10.0, False),
    ],
)
def test_rolls_are_called_grooved_only_where_all_their_scores_are(
    inner: float, flap: float, said: bool
) -> None:
    one = design("shadow-box", 2.0)
    one = one.with_parts(replace(one.base, depth_mm=25.0))
    assert (one.base.frame_mm, one.base.depth_mm, BOARD.grid_mm) == (10.0, 25.0, 5.0)
    rolled = one.with_parts(replace(one.base, inner_wall_mm=inner, flap_mm=flap))
    assert (GROOVED in change_words(one, rolled)) is said


def test_a_size_that_a_fold_left_a_hair_off_its_fraction_is_that_fraction() -> None:
    """3 3/4 in is 95.25 mm; a micrometre more is the same cut."""
    one = replace(design("tray", 2.0), unit=Unit.IN)
    wider = one.with_parts(replace(one.base, size_mm=(95.251, 95.249)))
    assert "floor 3 3/4 in x 3 3/4 in instead of" in change_words(one, wider)


@pytest.mark.parametrize(
    ("unit", "depth", "said"),
    [
        # 7/8 in is 22.225 mm: a groove of a board in eighths, which no rule in millimetres has
        (Unit.MM, 22.225, "7/8 in (22.23 mm) deep"),
        (Unit.MM, 22.5, "make the base 22.5 mm deep"),
        # 20 mm are no plain fraction of an inch: a groove of a board in millimetres
        (Unit.IN, 20.0, "make the base 20 mm deep"),
        # 18.31 mm / 25.4 x 32 = 23.07 thirty-seconds
        (Unit.IN, 18.31, "18.31 mm (about 23/32 in) deep"),
        # 3.3 x 25.4 and 0.87 x 25.4: as a file that is in inches has them
        (Unit.IN, 83.82, "make the base 3.3 in (83.82 mm) deep"),
        (Unit.IN, 22.098, "make the base 0.87 in (22.1 mm) deep"),
        (Unit.MM, 83.82, "make the base 83.82 mm deep"),
    ],
)
def test_a_length_is_told_as_a_rule_or_the_board_has_it(
    unit: Unit, depth: float, said: str
) -> None:
    one = replace(design("tray", 2.0), unit=unit)
    assert said in change_words(one, one.with_parts(replace(one.base, depth_mm=depth)))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ((-3.0, -3.0), (0.0, 0.0), "as wide and as long as the base instead of -3 mm"),
        ((1.0, 1.0), (-0.5, 1.0), "0.5 mm narrower than the base instead of 1 mm"),
        ((0.0, 0.0), (0.0, -0.5), "0.5 mm shorter than the base instead of 0 mm"),
        (
            (1.0, 2.0),
            (0.0, 1.5),
            "no wider and 1.5 mm longer than the base instead of 1 mm and 2 mm",
        ),
        ((0.0, 0.0), (-1.0, -1.0), "1 mm narrower and shorter than the base instead of 0 mm"),
    ],
)
def test_a_lid_no_larger_than_its_base_is_said_so(
    old: tuple[float, float], new: tuple[float, float], said: str
) -> None:
    one = design("tray", 2.0)
    assert one.lid is not None
    was, now = (one.with_parts(one.base, replace(one.lid, size_mm=size)) for size in (old, new))
    assert change_words(was, now) == f"make the lid {said}"
