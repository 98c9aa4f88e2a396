"""How pieces of a content lie is counted where they do not lie alike."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.outputs.bench_words import lying_words
from fitcheck.outputs.check_text import check_text

TRAY = """
format = 1
title = "Toffees"
unit = "mm"
[base]
style = "tray"
stock = "cover-80"
inside = [50, 51]
depth = 16
[[content]]
item = "toffee-wrapped"
count = 4
lay = "flat"
"""


@pytest.mark.parametrize(
    ("each", "said"),
    [
        ([], ""),
        (["flat, turned 90"] * 3, "flat, turned 90"),
        (["flat", "flat, turned 90", "flat"], "2 flat, 1 flat and turned 90"),
    ],
)
def test_pieces_that_lie_alike_are_told_once(each: list[str], said: str) -> None:
    assert lying_words(each) == said


def test_four_toffees_lie_in_two_ways(tmp_path: Path) -> None:
    """By hand: 50 x 51 mm hold three toffees of 16 x 32 that lie alike (48 x 32), and four with
    some across the others' ends (32 + 16 = 48)."""
    file = tmp_path / "toffees.toml"
    file.write_text(TRAY)
    said = re.search(r"lies +(.*)", check_text(check(read_design(file))))
    assert said is not None
    ways = {way: int(count) for count, way in re.findall(r"(\d) ([^,]+)", said[1])}
    assert set(ways) == {"flat", "flat and turned 90"}
    assert sum(ways.values()) == 4
