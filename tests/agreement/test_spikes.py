"""Lids whose walls are drawn exactly beside others, beside boxes that are folded one by one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import LidVerdict
from fitcheck.fit.check import check
from fitcheck.fit.neck import fit_lids_of
from fitcheck.folding.pose import Array
from fitcheck.odds.odds import odds_of
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.readings import Readings
from fitcheck.odds.spikes import levels_of
from fitcheck.pattern.sheet import Axis
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


NEARLY_BESIDE = """format = 1
title = "A double lid"
unit = "mm"
[base]
style = "tray"
stock = "{stock}"
floor = [{width}, {length}]
depth = {depth}
[lid]
style = "double-wall"
stock = "{stock}"
oversize = [{wider}, {longer}]
depth = {lid}
"""


@pytest.mark.parametrize(
    ("stock", "base", "lid"),
    [
        ("index-170", ("2.75 in", "4.96875 in", "1 in"), ("0.09375 in", "0.1875 in", "0.625 in")),
        ("index-90", ("105", "171", "36"), ("2", "3", "25")),
    ],
)
def test_lids_nearly_beside_a_corner_bind_as_often_as_those_that_are_folded(
    tmp_path: Path, stock: str, base: Sequence[str], lid: Sequence[str]
) -> None:
    """They were said to bind in 15 and 29 of 100, and 2 and 5 do; their play spread twice as far.

    The end of the bend on top of its inner wall lies a little beside a corner of the base. Once
    sizes across are off by some tenths of a millimetre it meets the corner's other end.
    """
    width, length, depth = (f'"{one}"' if "in" in one else one for one in base)
    wider, longer, high = (f'"{one}"' if "in" in one else one for one in lid)
    text = NEARLY_BESIDE.format(
        stock=stock,
        width=width,
        length=length,
        depth=depth,
        wider=wider,
        longer=longer,
        lid=high,
    )
    found = check(read(tmp_path, text))
    odds = odds_of(found, 20_000, folded_again=4)
    assert odds.lid is not None
    folded = [one.parts for one in boxes_drawn(found, 2 * BOXES, 5) if one is not None]
    assert len(folded) == 2 * BOXES
    fits = fit_lids_of(found.assembly, folded, found.design.bands)
    verdicts = [fit.verdict for fit in fits if fit is not None]
    for some in ({LidVerdict.BINDS}, GOOD):
        share = sum(one in some for one in verdicts) / len(verdicts)
        said = sum(odds.lid.chances[verdict].share for verdict in some)
        assert abs(said - share) < 3.0 * np.sqrt(share * (1.0 - share) / len(verdicts))
    plays = [fit.slide.travel(Axis.LENGTH).play_mm for fit in fits if fit is not None]
    spread = odds.lid.plays[Axis.LENGTH]
    # a standard deviation of 300 is known to 4 in 100 (JCGM 100:2008, E.4.3), three times that
    assert spread.u_mm == pytest.approx(np.std(plays), rel=0.12)
    assert spread.mean_mm == pytest.approx(np.mean(plays), abs=3.0 * np.std(plays) / 300.0**0.5)


BEND = np.array([0.0, 0.0, 0.0, 0.0, 0.2, 0.4, 0.6])
"""What is read where a slope of 0.4 for each step begins as designed."""
LATER = np.array([0.0, 0.0, 0.0, 0.0, 0.1, 0.3, 0.5])
"""The same where it begins a quarter of a step beyond."""
JUMP = np.array([0.0, 0.0, 0.0, 0.0, 0.0, -0.6, -0.6])
"""The same where 0.6 is lost between half a step and a whole one."""


@pytest.mark.parametrize(
    ("row", "levels"),
    [
        (0.3 * np.arange(7.0), [0.0, 0.0, 0.0, 0.0, 0.0]),
        (BEND, [0.0, 0.0, 0.0, 0.0, 0.0]),
        (LATER, [0.0, 0.0, 0.0, 0.0, 0.0]),
        (JUMP, [0.0, 0.0, 0.0, 0.0, -0.6]),
        (JUMP[::-1], [-0.6, 0.0, 0.0, 0.0, 0.0]),
        (BEND + JUMP, [0.0, 0.0, 0.0, 0.0, -0.6]),
        (np.where(np.arange(7) == 3, 2.0, 1.4), [-0.6, -0.6, 0.0, -0.6, -0.6]),
        # as is read where a pair is not there a step and a half beyond
        (np.where(np.arange(7) == 6, np.nan, JUMP), [0.0, 0.0, 0.0, 0.0, 0.0]),
    ],
)
def test_jumps_are_told_from_bends(row: Array, levels: Sequence[float]) -> None:
    """Levels that are drawn by hand, one and half a step to either side."""
    assert levels_of(row) == pytest.approx(levels, abs=1e-12)


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
