"""Suggestions say where their numbers are not those of boxes that were folded one by one.

A frame of 5 mm whose flap fills it leaves its rolls several ways to close; plays of folded boxes
lie 0.5 mm and more from those that are counted. A plain lid over a tray follows the closed forms of
`test_odds_closed_forms` to a hundredth.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.suggest_text import suggest_text
from tests.cli.commands import ROOT

TRAY = """format = 1
title = "Two wrapped fish"
unit = "mm"
[base]
style = "tray"
stock = "cover-65"
depth = 56
floor = [22.5, 49.5]
[lid]
stock = "tag-165"
depth = 56
"""
WORDS = "boxes of it that were folded one by one came out otherwise: trust it less"


@pytest.mark.parametrize(
    ("lid", "sure"),
    [
        ('style = "shadow-box"\noversize = 3.0\nframe = 5\nflap = 4.0\n', False),
        ('style = "tray"\noversize = 0.5\n', True),
    ],
)
def test_suggestions_say_where_they_are_not_sure(tmp_path: Path, lid: str, sure: bool) -> None:
    path = tmp_path / "fish.toml"
    path.write_text(TRAY + lid)
    found = suggest(read_design(path, roots=[ROOT]), 2_000)
    assert found.ranked
    text = suggest_text(found)
    assert text.count(WORDS) == sum(one.doubtful for one in found.ranked)
    assert found.ranked[0].doubtful is not sure and (WORDS in text) is not sure
