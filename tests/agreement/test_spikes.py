"""Lids whose walls are drawn exactly beside others, beside boxes that are folded one by one."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import LidVerdict
from fitcheck.fit.check import check
from fitcheck.fit.neck import fit_lids_of
from fitcheck.odds.odds import odds_of
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.readings import Readings
from tests.agreement.test_suggest_parts import read
from tests.drawn import boxes_drawn

TEXT = """format = 1
title = "A double lid"
unit = "mm"
[base]
style = "tray"
stock = "{base}"
floor = [80, 95]
depth = 20
[lid]
style = "double-wall"
stock = "{lid}"
oversize = [2, 3]
depth = 12
"""
BOXES = 150
GOOD = {LidVerdict.SNUG, LidVerdict.SLIDES}


@pytest.mark.parametrize(
    ("base", "lid"),
    [("cardstock-270", "patterned-160"), ("cover-80", "text-80"), ("cover-65", "text-80")],
)
def test_lids_go_on_as_often_as_those_that_are_folded(tmp_path: Path, base: str, lid: str) -> None:
    """A lid of two walls was said to go on in 52, 56 and 75 of 100; 83, 79 and 93 do.

    Its inner wall's bend lies exactly in line with a corner of the base, and meets others as soon
    as anything is off.
    """
    found = check(read(tmp_path, TEXT.format(base=base, lid=lid)))
    odds = odds_of(found, 20_000, folded_again=4)
    assert odds.lid is not None
    boxes = [one.parts for one in boxes_drawn(found, BOXES, 11) if one is not None]
    assert len(boxes) == BOXES
    fits = fit_lids_of(found.assembly, boxes, found.design.bands)
    share = sum(fit is not None and fit.slide.free and fit.verdict in GOOD for fit in fits) / BOXES
    said = sum(odds.lid.chances[verdict].share for verdict in GOOD)
    # three standard errors of 150 boxes, and what straight limits leave (6 of 100 here)
    assert abs(said - share) < 3.0 * np.sqrt(share * (1.0 - share) / BOXES) + 0.02


def moved(prospect: Prospect) -> int:
    """How many limits begin elsewhere than where they are read as designed."""
    read: Readings = {}
    for reader in prospect.outlook.readers:
        read |= reader.read_all([prospect.workshop.as_designed], math.inf, None)[0]
    there = [
        abs(read[family][member] - value)
        for (family, member), value in zip(
            prospect.limits.keys, prospect.limits.values.tolist(), strict=True
        )
        if member in read.get(family, {})
    ]
    assert len(there) > 20
    return sum(off > 1e-6 for off in there)


def test_only_what_jumps_begins_elsewhere(tmp_path: Path) -> None:
    """A roll that leans one way bends limits half as much at half the step, and does not jump."""
    double = TEXT.format(base="cardstock-270", lid="patterned-160")
    framed = double.replace('style = "tray"', 'style = "shadow-box"\nframe = 10\nflap = 8')
    framed = framed.replace('style = "double-wall"', 'style = "tray"')
    rolled = take_prospect(check(read(tmp_path, framed)))
    assert np.abs(rolled.limits.kinks).max() > 0.0 and moved(rolled) == 0
    assert moved(take_prospect(check(read(tmp_path, double)))) >= 4
