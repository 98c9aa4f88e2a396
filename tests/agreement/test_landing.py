"""Lids that go over a collar and past their base's rim, beside boxes that are folded one by one."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import LidVerdict
from fitcheck.feel.touch import Touch
from fitcheck.fit.check import check
from fitcheck.fit.neck import fit_lids_of
from fitcheck.odds.odds import odds_of
from fitcheck.pattern.sheet import Axis
from tests.agreement.test_suggest_parts import read
from tests.drawn import boxes_drawn

TEXT = """format = 1
title = "A box of tide tables"
unit = "mm"
[base]
style = "tray"
stock = "{base}"
floor = [{floor}]
depth = 30
[collar]
style = "collar"
stock = "index-140"
ease = [2.5, 3]
rise = 14
[lid]
style = "tray"
stock = "{lid}"
oversize = [{wider}]
depth = 24
"""
NARROW = TEXT.format(base="index-110", floor="67, 64", lid="index-140", wider="1.6, 1.6")
NARROWER = TEXT.format(base="index-170", floor="34, 105", lid="cover-80", wider="1, 2")
BOXES = 300


@pytest.mark.parametrize("text", [NARROW, NARROWER])
def test_lids_that_do_not_pass_the_rim_play_round_the_collar(tmp_path: Path, text: str) -> None:
    """They were said to bind, to be tight and to tear; they land on the rim and lie there loose."""
    found = check(read(tmp_path, text))
    odds = odds_of(found, 20_000, folded_again=40)
    assert odds.lid is not None and odds.agreement is not None and odds.feel is not None
    folded = [one.parts for one in boxes_drawn(found, BOXES, 5) if one is not None]
    assert len(folded) == BOXES
    fits = [
        fit for fit in fit_lids_of(found.assembly, folded, found.design.bands) if fit is not None
    ]
    landed = sum(fit.line_mm is not None for fit in fits) / BOXES
    assert 0.05 < landed < 0.6
    counted = Counter(fit.verdict for fit in fits)
    for verdict in LidVerdict:
        share, said = counted[verdict] / BOXES, odds.lid.chances[verdict].share
        # three standard errors of so many boxes, and one box in 100
        assert abs(said - share) < 3.0 * np.sqrt(share * (1.0 - share) / BOXES) + 0.01, verdict
    for axis in Axis:
        plays = [fit.slide.travel(axis).play_mm for fit in fits]
        spread, error = odds.lid.plays[axis], np.std(plays) / BOXES**0.5
        assert spread.mean_mm == pytest.approx(np.mean(plays), abs=3.0 * error)
        assert spread.u_mm == pytest.approx(np.std(plays), rel=0.15)
    # what is proved by folding is neither distrusted nor said to tear
    assert odds.agreement.close.trusted and all(one.trusted for one in odds.agreement.refolded)
    assert all(odds.feel.chances[one].share < 0.01 for one in (Touch.FORCED, Touch.DAMAGES))


def test_a_wide_lid_always_passes(tmp_path: Path) -> None:
    """6 mm is more than ten standard uncertainties of all lines together: it is loose, as drawn."""
    text = TEXT.format(base="index-110", floor="67, 64", lid="index-140", wider="6, 6")
    odds = odds_of(check(read(tmp_path, text)), 20_000, folded_again=4)
    assert odds.lid is not None and odds.lid.chances[LidVerdict.LOOSE].share == 1.0
    for axis in Axis:
        # outside to outside 6 mm, less both walls of the lid
        assert odds.lid.plays[axis].mean_mm == pytest.approx(6.0 - 2.0 * 0.29, abs=0.7)
