"""Windows of inserts are advised and suggested larger, with the odds that arithmetic gives them.

A window of V leaves a block of B the room V - B, less what a knife cut it too small and the block
is too large; both err by the normal law, so the block goes in with the chance Phi((V - B) / u)
along each side, u being the root of the sum of their squared uncertainties (JCGM 100, 5.1.2).
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace

import pytest
from scipy.stats import norm

from fitcheck.design.model import Design
from fitcheck.fit.check import check
from fitcheck.odds.advice import advise
from fitcheck.odds.change_words import change_words
from fitcheck.odds.odds import hands_for, odds_of, prospect_of
from fitcheck.odds.rewrite import rewritten
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.suggest_text import suggest_text
from fitcheck.styles.insert_spec import InsertSpec
from tests.agreement.test_inserts import inserted
from tests.agreement.test_odds_closed_forms import BOARD

BOXES = 8_000
BLOCK = (31.0, 43.9, 9.0)
U_MM = math.hypot(BOARD.knife_u_mm, 0.1)
"""Of a window's side and a block's."""
SPARE, SHORT = 1.5, 0.1
"""What the window leaves the block along the width and along the length."""


def windowed(*, hold: bool = False) -> Design:
    """A block in a mat's window, under a lid that goes on easily."""
    one = inserted("mat", window=(BLOCK[0] + SPARE, BLOCK[1] + SHORT), block=BLOCK)
    insert, lid = one.part("insert"), one.lid
    assert isinstance(insert, InsertSpec) and lid is not None
    if hold:
        size = BLOCK[0] + SHORT, BLOCK[1] + SHORT
        insert = replace(insert, hold="block", play_mm=SHORT, window_mm=size)
    return one.with_parts(insert, replace(lid, size_mm=(1.5, 2.5)))


def insert_of(one: Design) -> InsertSpec:
    insert = one.part("insert")
    assert isinstance(insert, InsertSpec) and insert.window_mm is not None
    return insert


def going_in(one: Design) -> float:
    """How often the block goes into the window by arithmetic."""
    window = insert_of(one).window_mm or (0.0, 0.0)
    rooms = (side - own for side, own in zip(window, BLOCK, strict=False))
    return math.prod(float(norm.cdf(room / U_MM)) for room in rooms)


@pytest.mark.parametrize("hold", [False, True])
def test_a_larger_window_is_the_advice(*, hold: bool) -> None:
    one = windowed(hold=hold)
    prospect = prospect_of(check(one), BOXES)
    advice = advise(prospect, hands_for(prospect, BOXES, 0))
    assert advice is not None and advice.design is not None
    before, after = insert_of(one), insert_of(advice.design)
    wide, long = after.window_mm or (0.0, 0.0)
    if hold:
        assert after.play_mm - before.play_mm == pytest.approx(long - BLOCK[1] - SHORT)
        play = f"{after.play_mm:g} mm of play instead of 0.1 mm"
        assert advice.change == f"give what the insert's window holds {play}"
        assert (2.0 * after.play_mm).is_integer(), "a rule shows half millimetres"
    else:
        assert advice.change == (
            f"make the insert's window {wide:g} mm x {long:g} mm instead of 32.5 mm x 44 mm"
        )
        assert (2.0 * long).is_integer(), "a rule shows half millimetres"
    assert long > BLOCK[1] + 0.5
    for design in (one, advice.design):
        odds = odds_of(check(design), BOXES, folded_again=0)
        assert odds.contents[0].fits.share == pytest.approx(going_in(design), abs=0.02)
    assert advice.after.share - advice.before.share > 0.25


def test_a_larger_window_is_suggested_and_written() -> None:
    one = windowed()
    found = suggest(one, 4_000)
    best = max(found.ranked, key=lambda own: own.told.share)
    assert change_words(one, best.design).startswith("make the insert's window ")
    assert best.told.share > found.original.told.share + 0.2
    window = insert_of(best.design).window_mm
    text = "[base]\n[lid]\n[insert]\nwindow = [32.5, 44.0] # as it was\n"
    assert tomllib.loads(rewritten(text, one, best.design, None))["insert"] == {
        "window": list(window or ())
    }
    assert "insert window 32.5 x 44 mm" in suggest_text(found)
    held, larger = windowed(hold=True), insert_of(windowed(hold=True)).with_window((0.9, 2.0))
    changed = held.with_parts(larger)
    text = "[base]\n[lid]\n[insert]\nplay = 0.1\n"
    assert tomllib.loads(rewritten(text, held, changed, None))["insert"] == {"play": 1.0}
