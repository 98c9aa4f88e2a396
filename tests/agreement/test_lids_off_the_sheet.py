"""A lid that is cut from its base's sheet size is advised sizes of its own where those do better.

A lid's play is its inside less the base's outside, so it grows along each axis by what its floor
is made larger there, one for one (worked by hand). Folded corners push two walls out and not the
others: no one sheet size then leaves a lid the same play both ways.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.odds.advice import advise
from fitcheck.odds.odds import hands_for, odds_of, prospect_of
from fitcheck.odds.rewrite import rewritten
from fitcheck.odds.suggest import suggest
from fitcheck.styles.part import SizeBy
from fitcheck.units import MM_PER, Unit

TEXT = """
format = 1
title  = "Button box"
unit   = "in"
tools  = "score-board-inch"
[base]
style = "tray"
stock = "tag-165"
corner = "folded"
floor = ["3", "3"]
depth = "1"
[lid]
style = "tray"
stock = "cover-80"
same_sheet = "1/16" # one size to cut
"""
BOXES = 8_000
SHEET_MM = MM_PER[Unit.IN] / 16.0


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Check:
    path = tmp_path_factory.mktemp("lids") / "buttons.toml"
    path.write_text(TEXT)
    return check(read_design(path))


def plays(one: Check) -> list[float]:
    assert one.lid is not None
    return [travel.play_mm for travel in one.lid.slide.travels]


def test_sizes_of_its_own_are_the_advice(found: Check) -> None:
    prospect = prospect_of(found, BOXES)
    advice = advise(prospect, hands_for(prospect, BOXES, 0))
    assert advice is not None and advice.design is not None
    lid = advice.design.lid
    assert lid is not None and lid.size_by is SizeBy.OVERSIZE
    assert advice.change == (
        "cut the lid's own sheet for a lid 1/16 in wider and 1/8 in longer than the base and "
        "15/16 in deep"
    )
    again = check(advice.design)
    for now, was, over in zip(plays(again), plays(found), lid.size_mm, strict=True):
        # a lid that lies lower over a base whose walls lean meets them elsewhere by microns
        assert now - was == pytest.approx(over - 2.0 * SHEET_MM, abs=0.01)
    assert advice.after.share > advice.before.share + 0.15
    odds = odds_of(again, BOXES, folded_again=0)
    assert odds.good.share == pytest.approx(advice.after.share, abs=0.01)
    assert odds.lid is not None and odds.lid.steady.share > 0.99


def test_sizes_of_its_own_are_suggested_and_written(found: Check, tmp_path: Path) -> None:
    best = suggest(found.design, 4_000).ranked[0].design
    path = tmp_path / "own.toml"
    path.write_text(rewritten(TEXT, found.design, best, None))
    read = read_design(path)
    assert "same_sheet" not in path.read_text()
    assert read.lid is not None and best.lid is not None
    assert read.lid.size_by is SizeBy.OVERSIZE
    assert read.lid.size_mm == pytest.approx((SHEET_MM, 2.0 * SHEET_MM))
    assert read.lid.depth_mm == pytest.approx(15.0 * SHEET_MM)
