"""Parts in a base are also given as they are cut, so that each length is one that a rule shows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import check
from fitcheck.units import MM_PER, Unit

INCH = MM_PER[Unit.IN]
HEAD = """format = 1
title = "Case"
unit = "in"

[base]
style = "tray"
stock = "cover-80"
floor = ["3", "5"]
depth = "3/4"
"""
STRIPS = """
[dividers]
style = "dividers"
stock = "cover-80"
rows = 3
columns = 2
cut = ["2 15/16", "4 15/16"]
pitch = ["1 1/2", "1 11/16"]
height = "5/8"
slot = "1/32"
"""
PLATFORM = """
[insert]
style = "platform"
stock = "cover-80"
cut = ["2 15/16", "4 15/16"]
legs = "3/8"
"""
MAT = """
[insert]
style = "mat"
stock = "cover-80"
cut = ["2 15/16", "4 15/16"]
"""


def written(folder: Path, inner: str) -> Path:
    path = folder / "case.toml"
    path.write_text(HEAD + inner)
    return path


def test_strips_are_as_long_as_is_said_and_slotted_where_is_said(tmp_path: Path) -> None:
    """By hand: of a strip of 4 15/16 in the slots' middles lie half a pitch from its own."""
    design = read_design(written(tmp_path, STRIPS))
    across, along = (assemble(design).part(f"dividers {way}") for way in ("across", "along"))
    assert across is not None and along is not None
    for part, length, middles in (
        (across, 2 + 15 / 16, [1 + 15 / 32]),
        (along, 4 + 15 / 16, [1 + 5 / 8, 3 + 5 / 16]),
    ):
        sheet = part.pattern.sheet
        assert (sheet.width_mm, sheet.length_mm) == pytest.approx((length * INCH, 0.625 * INCH))
        spots = [
            np.mean([sheet.place(corner, {})[0] for corner in slot.corners])
            for slot in part.pattern.panels[0].cutouts
        ]
        assert spots == pytest.approx([middle * INCH for middle in middles])
    found = check(design)
    assert found.fits
    assert found.compartments is not None


def test_outer_compartments_take_what_the_pitch_leaves(tmp_path: Path) -> None:
    """By hand: walls of cover-80 stand 0.0872 mm inside their scores; a strip is 0.222 mm thick."""
    found = check(read_design(written(tmp_path, STRIPS)))
    inside, pitch, strip = 5 * INCH - 2 * 0.0872, (1 + 11 / 16) * INCH, 0.222
    outer = 0.5 * (inside - pitch - strip)
    least = min(outer, pitch - strip)
    assert found.compartments is not None
    assert found.compartments.size_mm[1] == pytest.approx(least, abs=0.02)


def test_a_platform_is_scored_where_is_said(tmp_path: Path) -> None:
    part = assemble(read_design(written(tmp_path, PLATFORM))).part("insert")
    assert part is not None
    sheet = part.pattern.sheet
    sides = (2 + 15 / 16 + 3 / 4) * INCH, (4 + 15 / 16 + 3 / 4) * INCH
    assert (sheet.width_mm, sheet.length_mm) == pytest.approx(sides)
    assert {round(rule.at_mm / INCH, 6) for rule in part.scores} == {0.375}


def test_a_mat_is_cut_as_is_said(tmp_path: Path) -> None:
    part = assemble(read_design(written(tmp_path, MAT))).part("insert")
    assert part is not None
    sheet = part.pattern.sheet
    assert (sheet.width_mm, sheet.length_mm) == pytest.approx(
        ((2 + 15 / 16) * INCH, (4 + 15 / 16) * INCH)
    )


@pytest.mark.parametrize(
    ("inner", "old", "new", "words"),
    [
        (STRIPS, "slot =", 'ease = "1/16"\nslot =', "exactly one of ease, cut"),
        (STRIPS, '["1 1/2", "1 11/16"]', '["1 1/2", "5"]', "dividers.pitch: makes compartments"),
        (PLATFORM, "legs =", 'height = "3/8"\nlegs =', "exactly one of height, legs"),
        (PLATFORM, 'legs = "3/8"\n', "", "exactly one of height, legs"),
    ],
)
def test_what_does_not_go_together_is_said_in_one_line(
    tmp_path: Path, inner: str, old: str, new: str, words: str
) -> None:
    assert old in inner
    with pytest.raises(InputError) as refused:
        read_design(written(tmp_path, inner.replace(old, new)))
    (line,) = refused.value.lines
    assert words in line and "; allowed: " in line
