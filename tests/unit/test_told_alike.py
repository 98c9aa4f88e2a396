"""Lengths that are compared by eye are rounded alike: a mat ends no lower than its base is deep."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from fitcheck.fit.check import check
from fitcheck.outputs.check_text import check_text
from tests.unit.samples import read

DESIGN = """\
format = 1
title = "Ferry tickets"
unit = "in"
[base]
style = "tray"
stock = "cardstock-270"
floor = ["4", "6"]
depth = "{depth}"
[insert]
style = "mat"
stock = "cover-80"
ease = "1/16"
hold = "card-id1"
play = "1/16"
[[content]]
item = "card-id1"
lay = "flat"
"""
STEP_MM = 25.4 / 32


@pytest.mark.parametrize("depth", ["1", "1 1/8", "1 1/2", "1 17/32"])
def test_what_lies_on_the_floor_ends_no_lower_than_the_box_is_deep(
    tmp_path: Path, depth: str
) -> None:
    """By hand: 0.330 mm of base and 0.222 mm of mat, each told as the next 1/32 in below."""
    found = check(read(tmp_path, DESIGN.format(depth=depth)))
    text = check_text(found)
    base = found.assembly.base.sizes.depth_mm
    told = {}
    for name in ("depth inside", "ends below"):
        whole, over, under, mm = re.search(
            rf"{name} +(?:(\d+) )?(?:(\d+)/(\d+) )?in \(([\d.]+) mm\)", text
        ).groups()  # type: ignore[union-attr]
        told[name] = float(whole or 0) + (float(over) / float(under) if over else 0.0), float(mm)
    for name, mm in (("depth inside", base), ("ends below", base - 0.222)):
        inches, shown = told[name]
        assert inches * 32 == math.floor(mm / STEP_MM + 1e-6), name
        assert shown == pytest.approx(math.floor(10.0 * mm + 1e-6) / 10.0), name
    assert told["ends below"] <= told["depth inside"]
