"""A suggestion that is written back and read again is the suggestion, whatever it changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.odds.rewrite import rewritten
from tests.cli.commands import ROOT
from tests.cli.designs import FRAMED, TOFFEES

INCH = 25.4


def read(folder: Path, text: str) -> Design:
    (folder / "box.toml").write_text(text, encoding="utf-8")
    return read_design(folder / "box.toml", roots=[ROOT])


@pytest.mark.parametrize(
    "lengths",
    [
        {"inner_wall_mm": INCH * 7 / 8, "flap_mm": INCH * 3 / 8},
        {"depth_mm": INCH * 3 / 4, "frame_mm": INCH / 4, "inner_wall_mm": INCH * 3 / 4},
        {"frame_mm": 7.3, "flap_mm": 6.1},
        # left to be level as it was: nothing to write
        {"inner_wall_mm": None},
    ],
)
def test_rolls_are_written_back(tmp_path: Path, lengths: dict[str, float | None]) -> None:
    old = read(tmp_path, FRAMED)
    new = old.with_parts(replace(old.base, **lengths))  # type: ignore[arg-type]
    again = read(tmp_path, rewritten(FRAMED, old, new, None))
    for key in ("depth_mm", "frame_mm", "inner_wall_mm", "flap_mm"):
        assert getattr(again.base, key) == pytest.approx(getattr(new.base, key), abs=1e-4)
    assert again.lid == old.lid


def test_an_inner_wall_that_becomes_level_again_loses_its_length(tmp_path: Path) -> None:
    given = FRAMED.replace('flap   = "11/32"', 'flap   = "11/32"\ninner_wall = "7/8"')
    old = read(tmp_path, given)
    again = read(
        tmp_path,
        rewritten(given, old, old.with_parts(replace(old.base, inner_wall_mm=None)), None),
    )
    assert again.base.inner_wall_mm is None


def test_a_size_of_two_that_were_one_is_written_as_two(tmp_path: Path) -> None:
    old = read(tmp_path, TOFFEES)
    assert old.lid is not None
    new = old.with_parts(replace(old.lid, size_mm=(1.5, 2.0)))
    again = read(tmp_path, rewritten(TOFFEES, old, new, None))
    assert again.lid is not None and again.lid.size_mm == pytest.approx((1.5, 2.0))
