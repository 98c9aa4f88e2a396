"""Contents of a base without a lid: how they are piled and what may stand out."""

from __future__ import annotations

import math

import pytest

from fitcheck import kinds
from fitcheck.design.model import Content, Lay
from fitcheck.fit.contents import ContentVerdict, fit_contents
from tests.boxes import paper, tray
from tests.unit.test_contents import SHARP, alone, cavity, item


def test_without_a_lid_it_lies_low_rather_than_standing_out() -> None:
    card = item(kinds.CARD, 85.6, 53.98, 0.76, radius=3.18)
    box = tray(95.0, 65.0, 15.0, SHARP)
    found = alone(box, card, Lay.ANY)
    assert found.orientation.startswith("flat") and found.protrudes_mm == 0.0
    brick = item(kinds.BLOCK, 30.0, 20.0, 9.0, name="brick")
    shallow = cavity(tray(30.0 + 2 * 0.13 + 0.5, 40.0 + 2 * 0.13 + 0.5, 11.0, SHARP))
    (both,) = fit_contents(shallow, [Content(brick, 2, Lay.ANY)])
    assert both.verdict is ContentVerdict.FITS and both.protrudes_mm == 0.0


COIN = item(kinds.CYLINDER, 24.26, 1.75, name="coin")


def test_an_open_tray_piles_nothing_beyond_its_rim() -> None:
    """Eleven coins of 1.75 reach 19.25 of 19.88 mm; the twelfth ends 1.1 mm above the rim, more
    than half of it; six piles stand on 90 x 60."""
    box = cavity(tray(90.0, 60.0, 20.0, paper(0.3, 0.18)))
    (low,) = fit_contents(box, [Content(COIN, 66, Lay.FLAT)])
    assert low.verdict is ContentVerdict.FITS and low.protrudes_mm == 0.0
    (tower,) = fit_contents(box, [Content(COIN, 200, Lay.ANY)])
    assert tower.verdict is not ContentVerdict.FITS
    assert "rim" in tower.reason


def test_a_single_file_of_coins_ends_at_the_rim() -> None:
    box = cavity(tray(26.0, 26.0, 20.0, paper(0.3, 0.18)))
    rim = box.rim_mm
    # the last one's middle is below the rim while its top may stand out
    most = math.floor((rim + 0.5 * 1.75) / 1.75)
    (most_fit,) = fit_contents(box, [Content(COIN, most, Lay.FLAT)])
    assert most_fit.verdict is ContentVerdict.FITS
    (more,) = fit_contents(box, [Content(COIN, most + 1, Lay.FLAT)])
    assert more.verdict is not ContentVerdict.FITS


def test_what_stands_on_the_floor_may_stand_out_and_says_so() -> None:
    candle = item(kinds.CYLINDER, 20.0, 60.0, name="candle")
    box = cavity(tray(90.0, 60.0, 20.0, paper(0.3, 0.18)))
    (found,) = fit_contents(box, [Content(candle, 6, Lay.END)])
    assert found.verdict is ContentVerdict.FITS
    assert found.protrudes_mm == pytest.approx(60.0 - box.rim_mm)
    assert all(place.z_mm == 0.0 for place in found.placements)
    (too_many,) = fit_contents(box, [Content(candle, 30, Lay.END)])
    assert too_many.verdict is ContentVerdict.DOES_NOT_FIT
