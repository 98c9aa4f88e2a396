"""Contents have to go into every compartment: their share against rooms drawn by hand.

A compartment is as wide as two slots of the strips across are apart, less a caliper; beside a wall
it is half the base's inside to the middle of the only strip. Each content comes out by itself, each
slot is cut by itself, and the two compartments beside a strip share its error. All 200 000 boxes
are drawn here from sums of the plan's errors, with none of the program's folding.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.design.model import Content, Design, Vary
from fitcheck.fit.check import check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.odds.odds import odds_of
from fitcheck.outputs.odds_text import odds_text
from fitcheck.outputs.size_details import size_details
from fitcheck.styles.dividers import DividersSpec
from tests.agreement.test_dividers import BITE, DEEP, INSIDE, STRIP, block, divided
from tests.agreement.test_odds_closed_forms import BASE_STOCK, BOARD, u_of_score

BOXES = 200_000
U_MM = 0.2
"""Of each size of a content."""


def unsure(width: float, length: float, height: float = 8.0, count: int = 1) -> Content:
    """So many blocks, each off by itself."""
    own = block(width, length, height)
    return replace(own, count=count, item=replace(own.item, size_u_mm=(U_MM, U_MM, 0.05)))


def pitched(content: Content, pitch: tuple[float, float]) -> Design:
    """Four by four compartments of which the middle four are the tightest."""
    own = divided(content, rows=4, columns=4, height=15.0)
    parts = tuple(
        replace(one, pitch_mm=pitch) if isinstance(one, DividersSpec) else one for one in own.parts
    )
    return replace(own, parts=parts)


def between_slots(rng: np.random.Generator, pitch: float) -> np.ndarray:
    """(2, n) how wide both compartments between three strips are."""
    slots = rng.normal(0.0, BOARD.cut_u_mm, (3, BOXES))
    caliper = STRIP.caliper_mm + rng.normal(0.0, STRIP.caliper_u_mm, BOXES)
    wide: np.ndarray = pitch + np.diff(slots, axis=0) - caliper
    return wide


def all_go_in(
    wide: np.ndarray, long: np.ndarray, width: float, length: float, across: int
) -> float:
    """How often each column and row has room for the largest of as many as cross it."""
    rng = np.random.default_rng(2)
    goes = np.ones(BOXES, dtype=bool)
    for column in wide:
        sizes = width + rng.normal(0.0, U_MM, (across, BOXES))
        goes &= column >= sizes.max(axis=0)
    for row in long:
        sizes = length + rng.normal(0.0, U_MM, (across, BOXES))
        goes &= row >= sizes.max(axis=0)
    return float(goes.mean())


@pytest.mark.parametrize("room", [0.5, 0.9])
def test_one_content_in_each_of_many(room: float) -> None:
    pitch = 18.0, 25.0
    width, length = (own - STRIP.caliper_mm - room for own in pitch)
    found = check(pitched(unsure(width, length), pitch))
    assert found.contents[0].verdict is ContentVerdict.FITS
    odds = odds_of(found, 20_000)
    rng = np.random.default_rng(1)
    rooms = [between_slots(rng, own) for own in pitch]
    expected = all_go_in(rooms[0], rooms[1], width, length, 4)
    assert odds.contents[0].fits.share == pytest.approx(expected, abs=0.015)
    assert odds.agreement.trusted
    assert odds.agreement.contents_alike == odds.agreement.boxes


def beside_walls(rng: np.random.Generator, inside: float) -> np.ndarray:
    """(2, n) how wide both compartments are that one strip divides a base into."""
    score = u_of_score(DEEP)
    floor = rng.normal(0.0, BOARD.cut_u_mm, BOXES) - rng.normal(0.0, score, (2, BOXES)).sum(axis=0)
    floor -= 2 * rng.normal(0.0, BOARD.fence_u_mm, BOXES)
    bite = rng.normal(0.0, BASE_STOCK.caliper_u_mm, BOXES)
    bite -= rng.normal(0.0, BASE_STOCK.crease_allowance_u_mm, BOXES)
    half = 0.5 * (inside + floor) - bite
    # the slot is measured from one end of a strip that stands in the middle
    at = rng.normal(0.0, BOARD.cut_u_mm, BOXES) - 0.5 * rng.normal(0.0, BOARD.cut_u_mm, BOXES)
    caliper = STRIP.caliper_mm + rng.normal(0.0, STRIP.caliper_u_mm, BOXES)
    return np.array([half + at, half - at]) - 0.5 * caliper


def test_what_stands_between_a_strip_and_the_walls() -> None:
    room = 0.7
    width, length = (0.5 * (own - STRIP.caliper_mm) - room for own in INSIDE)
    found = check(divided(unsure(width, length), rows=2, columns=2, height=15.0))
    odds = odds_of(found, 20_000)
    rng = np.random.default_rng(3)
    rooms = [beside_walls(rng, own) for own in INSIDE]
    expected = all_go_in(rooms[0], rooms[1], width, length, 2)
    assert odds.contents[0].fits.share == pytest.approx(expected, abs=0.02)
    assert odds.agreement.trusted


def test_several_side_by_side_in_each() -> None:
    """Two behind each other: it is their sum that has to go between two strips. One on the other
    they are higher than the lid."""
    pitch, room = (18.0, 25.0), 0.8
    length = 0.5 * (pitch[1] - STRIP.caliper_mm - room)
    found = check(pitched(unsure(15.0, length, height=length - 0.1, count=2), pitch))
    odds = odds_of(found, 20_000)
    rng = np.random.default_rng(4)
    goes = np.ones(BOXES, dtype=bool)
    for row in between_slots(rng, pitch[1]):
        for _ in range(4):
            goes &= row >= 2 * length + rng.normal(0.0, U_MM, (2, BOXES)).sum(axis=0)
    assert odds.contents[0].fits.share == pytest.approx(goes.mean(), abs=0.015)
    assert odds.agreement.trusted


def test_what_varies_together_is_alike_in_all() -> None:
    """Contents of one batch are all as large: only the slots are drawn for each compartment."""
    pitch, room = (18.0, 25.0), 0.7
    width, length = pitch[0] - STRIP.caliper_mm - room, 18.0
    own = replace(unsure(width, length), vary=Vary.TOGETHER)
    odds = odds_of(check(pitched(own, pitch)), 20_000)
    rng = np.random.default_rng(5)
    size = width + rng.normal(0.0, U_MM, BOXES)
    goes = (between_slots(rng, pitch[0]) >= size).all(axis=0)
    assert odds.contents[0].fits.share == pytest.approx(goes.mean(), abs=0.015)


def test_compartments_with_more_room_take_nothing_from_the_others() -> None:
    """Where all have millimetres to spare, none decides."""
    odds = odds_of(check(divided(unsure(20.0, 24.0))), 2_000, folded_again=4)
    assert odds.contents[0].fits.share == 1.0


def test_the_text_says_that_all_compartments_are_meant() -> None:
    pitch = 18.0, 25.0
    own = unsure(pitch[0] - STRIP.caliper_mm - 0.5, 20.0)
    said = " ".join(odds_text(odds_of(check(pitched(own, pitch)), 2_000, folded_again=4)).split())
    assert "take block in each of 16 compartments" in said


def test_the_base_is_as_drawn() -> None:
    """What the sums start from."""
    assert pytest.approx(INSIDE[0]) == 80.0 - 2 * BITE


def test_sizes_stand_apart_from_the_name_of_the_strips() -> None:
    said = size_details(check(divided(unsure(20.0, 24.0))))
    assert "dividers across sheet 78.74 x 20.00" in said
