"""Several contents are arranged with as much room as there is, whichever way round the box lies."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.quantities import content_slack
from tests.cli.commands import ROOT

BOXES = 4_000
BOX = """format = 1
title  = "Mixed"
unit   = "mm"
tools  = "score-board-metric"
[base]
style  = "tray"
stock  = "cover-100"
floor  = [{}, {}]
depth  = {}
"""
LINE = """[[content]]
item  = "{}"
count = {}
lay   = "flat"
"""
Lines = tuple[tuple[str, int], ...]
SWEETS: Lines = (("toffee-wrapped", 4), ("tea-sachet", 1))


def share(folder: Path, floor: tuple[float, float], depth: float, lines: Lines) -> float:
    """How often all contents of a box go in."""
    path = folder / "mixed.toml"
    path.write_text(BOX.format(*floor, depth) + "".join(LINE.format(*one) for one in lines))
    asked, forms = take_prospect(check(read_design(path, roots=[ROOT]))).asked()
    outcomes = asked.draw(forms, BOXES, 0).outcomes
    rows = [asked.outlook.row(content_slack(index)) for index in range(len(lines))]
    return float((outcomes[rows].min(axis=0) >= 0.0).mean())


@pytest.mark.parametrize("width", [64.0, 64.3, 65.0, 66.0])
def test_four_sweets_lie_the_way_that_leaves_them_most(tmp_path: Path, width: float) -> None:
    """Sweets of 16 x 32 mm, two by two: 64 mm one way and 32 the other. Along the length of 74 mm
    that leaves 9.8 mm; along the width 0.8 of 65, of which their own errors take as much."""
    assert share(tmp_path, (width, 74.0), 30.0, SWEETS) > 0.99
    assert share(tmp_path, (74.0, width), 30.0, SWEETS) > 0.99


@pytest.mark.parametrize(
    ("floor", "depth", "lines"),
    [
        ((85.0, 129.0), 25.0, (("coin-euro-2", 11), ("toffee-wrapped", 8), ("card-id1", 6))),
        (
            (97.0, 137.0),
            31.5,
            (("coin-us-quarter", 8), ("badge-button", 1), ("toffee-wrapped", 10)),
        ),
        ((92.0, 96.0), 37.0, (("toffee-wrapped", 4), ("coin-euro-2", 10), ("chocolate-coin", 5))),
    ],
)
def test_a_box_the_other_way_round_is_the_same_box(
    tmp_path: Path, floor: tuple[float, float], depth: float, lines: Lines
) -> None:
    """97 of 100 one way and 9 the other were said of the first."""
    both = [share(tmp_path, one, depth, lines) for one in (floor, (floor[1], floor[0]))]
    assert min(both) > 0.95, both
