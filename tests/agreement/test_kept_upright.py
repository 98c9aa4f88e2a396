"""What is said to stand leaning walls upright: it costs no boxes, and what is said together holds.

Walls over tabs lean out at their rims by what the tab's caliper and the adhesive push them; a
setback of as much stands them upright (the design card's p = t + g - s). Lids of upright walls over
upright walls have an oversize less twice the caliper of play, and across the tabs twice the
setback less (W - 2 (t - a) - 2 s inside, W + 2 a outside).
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.design.model import Design
from fitcheck.fit.check import check
from fitcheck.fit.remarks import WALL_LEANS
from fitcheck.fit.upright import advised
from fitcheck.odds.odds import odds_of
from fitcheck.odds.staged import staged
from fitcheck.styles.walled import WalledSpec
from tests.unit.samples import read

FLAT = """\
format = 1
title = "Flat"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [200, 150]
depth = 5
[lid]
style = "tray"
stock = "cover-100"
oversize = [1.5, 2]
depth = 5
"""
CALIPER_MM = 0.267
BOXES = 20_000


def with_said(design: Design, message: str) -> Design:
    """A design with what a message says to write in it."""
    for place, own in re.findall(
        r"the (base|lid) ((?:tab_setback|floor|oversize) .*?)(?=, the|$)", message
    ):
        spec = design.part(place)
        assert isinstance(spec, WalledSpec)
        if setback := re.search(r"tab_setback ([\d.]+) mm", own):
            spec = replace(spec, tab_setback_mm=float(setback[1]))
        if size := re.search(r"(?:floor|oversize) ([\d.]+) mm x ([\d.]+) mm", own):
            spec = replace(spec, size_mm=(float(size[1]), float(size[2])))
        design = design.with_parts(spec)
    return design


def said(findings: object) -> list[str]:
    return [one.message for one in findings if one.code == WALL_LEANS]  # type: ignore[attr-defined]


def test_what_stands_walls_upright_costs_no_boxes(tmp_path: Path) -> None:
    """Of one after the other and of both; 0.267 + 0.1 mm, up to a hundredth, are 0.37."""
    design = read(tmp_path, FLAT)
    found = check(design)
    *_, odds = staged(found, BOXES)
    assert odds.uprights is not None
    first, second = said(advised(found, odds.uprights))
    assert "These stand them upright and were tried: the base tab_setback 0.37 mm" in first
    assert (
        "With what is said of the base, these stand them upright and were tried together" in second
    )
    assert "the lid tab_setback 0.37 mm" in second
    alone = with_said(design, first)
    both = with_said(alone, second)
    again = [check(one) for one in (alone, both)]
    assert said(again[1].findings) == [] and len(said(again[0].findings)) == 1
    before = odds_of(found, BOXES, folded_again=0).good.share
    for one in again:
        assert odds_of(one, BOXES, folded_again=0).good.share >= before - 0.01
    lid = again[1].lid
    assert lid is not None and both.lid is not None
    wide, long = both.lid.size_mm
    plays = [travel.play_mm for travel in lid.slide.travels]
    by_hand = (wide - 2 * CALIPER_MM - 2 * 0.37, long - 2 * CALIPER_MM)
    assert plays == pytest.approx(by_hand, abs=0.005)  # its tabs stand across the width


def test_of_what_stands_walls_upright_what_costs_boxes_is_not_said(tmp_path: Path) -> None:
    """A floor 0.5 mm larger under a lid as large as before: more play as drawn, fewer boxes."""
    design = read(tmp_path, FLAT)
    found = check(design)
    words = "the base tab_setback 0.37 mm, floor 200.5 mm x 150 mm, the lid oversize 1 mm x 2 mm"
    other = check(with_said(design, words))
    assert other.lid is not None and found.lid is not None
    assert other.lid.slide.play_mm > found.lid.slide.play_mm
    shares = [odds_of(one, BOXES, 5, folded_again=0).good.share for one in (found, other)]
    assert shares[1] < shares[0] - 0.03
    *_, odds = staged(found, BOXES)
    assert not any("200.5" in one for one in said(advised(found, odds.uprights)))
    assert not any("200.5" in one for one in said(advised(found)))
