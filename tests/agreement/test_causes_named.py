"""What keeps boxes from being right has a line and a number of its own, as large as by arithmetic.

A tray's wall is as high as its score lies from the edge, D, and the crease's allowance a, and its
floor lies t, the caliper, higher than its outside; strips of height H are as high as they are cut.
So the room above them is max(D_i) + a - t - max(H_j) (worked by hand); numpy draws it. A play that
is drawn exactly at a limit is above it in half of the boxes, as errors go both ways alike.
"""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import replace

import numpy as np
import pytest

from fitcheck.design.model import Design, LidVerdict
from fitcheck.fit.check import Check, check
from fitcheck.odds.advice import advise
from fitcheck.odds.change_words import change_words
from fitcheck.odds.odds import hands_for, odds_of, prospect_of
from fitcheck.odds.result import Odds
from fitcheck.odds.rewrite import rewritten
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.odds_details import odds_details
from fitcheck.outputs.odds_json import odds_data
from fitcheck.outputs.odds_text import odds_text
from fitcheck.outputs.suggest_text import suggest_text
from fitcheck.outputs.words import WORDS
from tests.agreement.test_dividers import BITE, COLUMNS, DEEP, ROWS, block, divided
from tests.agreement.test_odds_closed_forms import BASE_STOCK, BOARD, design

BOXES = 8_000
HIGH = DEEP - BITE
"""Strips that leave no room at all as drawn."""


def flat(text: str) -> str:
    """A text without its line ends."""
    return " ".join(text.split())


@pytest.fixture(scope="module")
def high() -> Odds:
    return odds_of(check(divided(block(20.0, 24.0, 12.0), height=HIGH)), BOXES)


def share_by_arithmetic(boxes: int = 400_000) -> float:
    """How often strips that leave no room as drawn go under the lid."""
    rng = np.random.default_rng(5)
    off_grid, board = BOARD.score_u_off_grid_mm, BOARD.fence_u_mm
    walls = rng.normal(0.0, off_grid, (4, boxes)).max(axis=0) + rng.normal(0.0, board, boxes)
    strips = rng.normal(0.0, BOARD.cut_u_mm, (ROWS + COLUMNS - 2, boxes)).max(axis=0)
    paper = rng.normal(0.0, np.hypot(BASE_STOCK.caliper_u_mm, 0.004), boxes)
    return float((walls + paper - strips >= 0.0).mean())


def test_strips_above_the_rim_have_their_own_share(high: Odds) -> None:
    assert high.above is not None
    wanted = share_by_arithmetic()
    assert 0.4 < wanted < 0.7
    assert high.above.fits.share == pytest.approx(wanted, abs=0.02)
    data = json.loads(json.dumps(odds_data(high)))
    assert data["room_above"]["what"] == "dividers"
    assert data["room_above"]["fits"] == pytest.approx(wanted, abs=0.02)
    assert data["room_above"]["room_mm"]["low"] < 0.0 < data["room_above"]["room_mm"]["high"]


def test_strips_above_the_rim_are_named_in_words(high: Odds) -> None:
    assert high.above is not None
    said, count = flat(odds_text(high)), round(100 * high.above.fits.share)
    assert f"in {count} the dividers stand no higher than the lid leaves room for" in said
    assert "matters most to the room above the dividers: " in said
    assert "low enough for the lid" in odds_details(high)


def test_strips_well_below_the_rim_are_not_spoken_of() -> None:
    low = odds_of(check(divided(height=HIGH - 6.0)), 400, folded_again=0)
    assert low.above is None and "room_above" not in odds_data(low)
    assert "no higher than" not in odds_text(low)


@pytest.fixture(scope="module")
def high_and_free() -> Check:
    """Strips that leave no room under a lid that goes on easily."""
    one = divided(block(20.0, 24.0, 12.0), height=HIGH)
    assert one.lid is not None
    return check(one.with_parts(replace(one.lid, size_mm=(1.5, 2.5))))


def height_of(one: Design) -> float:
    (height,) = {part.depth_mm for part in one.parts if part.place == "dividers"}
    return height


def test_lower_strips_are_the_advice(high_and_free: Check) -> None:
    prospect = prospect_of(high_and_free, BOXES)
    advice = advise(prospect, hands_for(prospect, BOXES, 0))
    assert advice is not None and advice.design is not None
    lower = height_of(advice.design)
    assert advice.change == f"make the dividers {lower:g} mm high instead of {HIGH:g} mm"
    assert lower < HIGH and (2.0 * lower).is_integer(), "a rule shows half millimetres"
    assert advice.after.share > advice.before.share + 0.2
    again = odds_of(check(advice.design), BOXES, folded_again=0)
    assert again.good.share == pytest.approx(advice.after.share, abs=0.01)
    assert again.above is None or again.above.fits.share > 0.99


def test_lower_strips_are_suggested_and_written(high_and_free: Check) -> None:
    one = high_and_free.design
    found = suggest(one, 4_000)
    said = [change_words(one, own.design) for own in found.ranked]
    (index, *_) = (k for k, words in enumerate(said) if "make the dividers" in words)
    best = found.ranked[index].design
    assert re.search(r"make the dividers [\d.]+ mm high instead of [\d.]+ mm", said[index])
    assert found.ranked[index].told.share > found.original.told.share + 0.05
    text = f"[base]\n[lid]\n[dividers]\nheight = {HIGH} # as it was\n"
    assert tomllib.loads(rewritten(text, one, best, None))["dividers"] == {
        "height": height_of(best)
    }
    assert f"dividers height {height_of(best):g} mm" in suggest_text(found)


@pytest.fixture(scope="module")
def shifty() -> Odds:
    """A lid that is just right along the width and at the limit along the length."""
    plain = design("tray", 1.5)
    assert plain.lid is not None
    lid = check(plain).lid
    assert lid is not None
    play = {str(travel.axis): travel.play_mm for travel in lid.slide.travels}
    sizes = 1.5 + 0.8 - play["width"], 1.5 + 2.0 * 1.5 - play["length"]
    wide = plain.with_parts(replace(plain.lid, size_mm=sizes))
    return odds_of(check(wide), BOXES)


def test_a_lid_that_shifts_about_has_its_own_share(shifty: Odds) -> None:
    assert shifty.lid is not None
    assert shifty.lid.steady.share == pytest.approx(0.5, abs=0.02)
    told = odds_data(shifty)["steady"]
    assert told["share"] == pytest.approx(0.5, abs=0.02)
    assert told["below_mm"] == 3.0
    text, count = flat(odds_text(shifty)), round(100 * shifty.lid.steady.share)
    assert f"{count} do not shift about: less than 3 mm of play both ways" in text
    assert "matters most to the lid's play along the length: " in text
    assert "less than 3 mm along both" in odds_details(shifty)


@pytest.fixture(scope="module")
def wide() -> Design:
    """A lid that shifts about in nearly every box."""
    return design("tray", 7.0)


@pytest.mark.parametrize(("loose_too", "under", "over"), [(False, -0.01, 0.01), (True, 0.99, 1.01)])
def test_a_lid_that_is_wanted_loose_may_shift_about(
    wide: Design, *, loose_too: bool, under: float, over: float
) -> None:
    wanted = replace(wide, want=frozenset(LidVerdict)) if loose_too else wide
    odds = odds_of(check(wanted), 400, folded_again=0)
    assert odds.lid is not None
    assert under < odds.lid.steady.share < over
    assert ("shift about" in odds_text(odds)) is not loose_too


@pytest.mark.parametrize("word", ["loose", "right"])
def test_the_words_say_from_when_on_a_lid_shifts_about(word: str) -> None:
    assert "shift" in WORDS[word] and "twice" in WORDS[word]
