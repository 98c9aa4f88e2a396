"""How a content is taken out again: gap, depth, hollow frames and thin things."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck import kinds
from fitcheck.design.model import Content, Lay
from fitcheck.fit.contents import fit_contents
from fitcheck.fit.fingers import Seat, WayOut, finger_room
from fitcheck.outputs.check_text import check_text
from fitcheck.pattern.sheet import Axis
from fitcheck.units import Unit
from tests.boxes import paper, shadow_box, tray
from tests.unit.test_contents import alone, cavity, item

SHARP = paper(0.33, 0.2)


def seat(
    gaps: tuple[float, float] = (4.0, 2.0),
    below: float = 2.0,
    height: float = 12.0,
    *,
    rim: float = 30.0,
    notched: bool = True,
) -> Seat:
    return Seat(*gaps, below, height, rim, notched)


@pytest.mark.parametrize(
    ("found", "way", "radius"),
    [
        (seat(), WayOut.NOTCH, 10.0),
        (seat(below=9.0), WayOut.NOTCH, 14.0),  # 5 mm of grip below the content's top
        (seat(below=15.0), WayOut.NOTCH, 20.0),
        (seat(below=15.1), WayOut.RIBBON, None),
        (seat(below=22.0), WayOut.RIBBON, None),
        (seat(below=2.0, rim=14.9), WayOut.RIBBON, None),  # would leave no wall
        (seat(notched=False), WayOut.RIBBON, None),
        (seat(below=22.0, height=0.76), WayOut.LIFT_TAB, None),
        (seat(below=0.0, height=0.76), WayOut.LIFT_TAB, None),
        (seat(below=22.0, height=0.76, notched=False), WayOut.LIFT_TAB, None),
        (seat((14.99, 2.0)), WayOut.NOTCH, 10.0),
        (seat((15.0, 2.0)), WayOut.FINGER, None),
        (seat((2.0, 15.0), below=50.0), WayOut.FINGER, None),
        (seat((2.0, 40.0), below=50.1, rim=70.0), WayOut.RIBBON, None),
        (seat((0.1, 0.1), below=-5.0), WayOut.STANDS_OUT, None),
        (seat((0.1, 0.1), below=-4.9), WayOut.NOTCH, 10.0),
        (seat((-1.0, -2.0), below=30.0), WayOut.RIBBON, None),
    ],
)
def test_what_helps(found: Seat, way: WayOut, radius: float | None) -> None:
    room = finger_room(found)
    assert (room.way_out, room.notch_radius_mm) == (way, radius)
    assert bool(room.advice(Unit.MM)) is (way not in (WayOut.FINGER, WayOut.STANDS_OUT))
    assert room.largest_gap_mm == max(0.0, found.gap_width_mm, found.gap_length_mm)


def test_it_helps_where_the_content_is_near_the_wall() -> None:
    assert finger_room(seat((4.0, 2.0))).across is Axis.LENGTH
    assert "across its length" in finger_room(seat((4.0, 2.0))).advice(Unit.MM)
    assert "across its width" in finger_room(seat((2.0, 4.0))).advice(Unit.MM)


def test_a_card_deep_in_a_box_is_not_helped_by_a_notch() -> None:
    """Its top is 29 mm below the rim and it is 0.76 mm thick: no half-round notch reaches it."""
    card = item(kinds.CARD, 85.6, 53.98, 0.76, radius=3.18)
    found = alone(tray(90.0, 60.0, 30.0, SHARP), card, Lay.FLAT)
    assert found.fingers.way_out is WayOut.LIFT_TAB and found.fingers.notch_radius_mm is None


def test_a_frame_is_hollow_and_a_plain_wall_is_not() -> None:
    deck = item(kinds.BLOCK, 75.0, 52.0, 17.0)
    framed = shadow_box(100.0, 80.0, 20.0, SHARP, frame=10.0)
    assert alone(framed, deck, Lay.FLAT).fingers.way_out is WayOut.RIBBON
    plain = alone(tray(80.0, 60.0, 20.0, SHARP), deck, Lay.FLAT)
    assert plain.fingers.way_out is WayOut.NOTCH
    assert plain.fingers.across is Axis.WIDTH  # 4.7 mm there, 7.7 mm along the length


def test_a_pile_is_gripped_as_a_whole() -> None:
    """Twenty cards of 0.76 mm are 15.2 mm high together: there is a side to hold."""
    card = item(kinds.CARD, 85.6, 53.98, 0.76, radius=3.18)
    (found,) = fit_contents(cavity(tray(90.0, 60.0, 20.0, SHARP)), [Content(card, 20, Lay.FLAT)])
    assert found.fingers.way_out is WayOut.NOTCH
    assert found.fingers.notch_radius_mm == pytest.approx(10.0)


def test_the_text_says_it(tmp_path: Path) -> None:
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.workspace.paths import shipped_workspace

    text = check_text(check(read_design(shipped_workspace() / "models" / "harbour.toml")))
    assert "lift tab" in text and "notch" not in text


def test_a_notch_is_told_as_a_hand_sets_it_in_the_units_of_the_design() -> None:
    """By hand: 10 mm lies between 12 and 13 thirty-seconds of an inch; less is too small."""
    room = finger_room(Seat(2.0, 4.5, 3.0, 12.0, 15.0, notched=True))
    assert "radius 13/32 in (10.3 mm) in" in room.advice(Unit.IN)
    assert "radius 10 mm (13/32 in) in" in room.advice(Unit.MM)
