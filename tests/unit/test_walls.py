"""Walls by themselves: how far they lean, and which of them a tab takes room from."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import check
from fitcheck.pattern.sheet import Axis
from tests.boxes import across, crosswise, paper, tray
from tests.unit.samples import TRAY, read


@pytest.mark.parametrize("tabs", list(Axis))
@pytest.mark.parametrize(("depth", "setback"), [(7.0, 2.1), (7.0, 0.9), (20.0, 2.1), (9.0, 3.0)])
def test_a_tab_takes_room_across_the_wall_that_it_lies_on(
    tabs: Axis, depth: float, setback: float
) -> None:
    """Closed form, also for short tabs: W - 2 (t - a) - 2 s where they lie, W - 2 (t - a) else."""
    board = paper(2.0, 1.2146)
    sizes = make_part(tray(60.0, 80.0, depth, board, tabs=tabs, setback=setback)).sizes
    floor = (60.0, 80.0)
    plain = across(crosswise(tabs), floor) - 2 * (2.0 - 1.2146)
    assert across(crosswise(tabs), sizes.inside_mm) == pytest.approx(plain, abs=1e-6)
    glued = across(tabs, floor) - 2 * (2.0 - 1.2146) - 2 * setback
    assert across(tabs, sizes.inside_mm) == pytest.approx(glued, abs=1e-6)


def test_the_lean_is_the_push_over_the_height() -> None:
    """sin(lean) = p / h to first order (rolled_frames.csv says the same of its phi)."""
    part = make_part(tray(82.0, 114.0, 22.0, paper(0.33, 0.2), setback=0.1)).folded
    for lean in part.leans_deg.values():
        assert math.sin(math.radians(lean)) == pytest.approx(0.33 / 22.0, rel=0.02)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("tab_setback = 3", "lean by"),
        ("tab_setback = 8", "lean by"),
        ("tab_setback = 15", "lean by"),
        ("", "lean by"),
    ],
)
def test_a_wall_that_would_fall_over_is_refused(tmp_path: Path, keys: str, said: str) -> None:
    text = TRAY.replace("[base]", f"[base]\n{keys}")
    if not keys:
        text = text.replace('unit = "mm"', 'unit = "mm"\njoint = 5')
    assert text != TRAY
    with pytest.raises(InputError, match=said):
        check(read(tmp_path, text))


def test_a_wall_that_leans_a_little_is_a_caution_and_a_low_one_is_never_refused(
    tmp_path: Path,
) -> None:
    design = read(tmp_path, TRAY)
    low = replace(design.base, depth_mm=4.0, stock=paper(0.33, 0.2))
    found = check(replace(design, parts=(low,), contents=()))
    (leaning,) = [f for f in found.findings if f.code == "wall-leans"]
    assert leaning.numbers["lean_deg"] > 5.0
    assert found.fits


def test_what_stands_a_lids_walls_upright_keeps_its_play(tmp_path: Path) -> None:
    """Tabs set back by s stand s further in at both ends: twice that is missing between walls."""
    text = f"{TRAY}[lid]\nstyle = 'tray'\nstock = 'cover-100'\noversize = 1\ndepth = 9\n"
    found = check(read(tmp_path, text))
    (leaning,) = [f for f in found.findings if f.code == "wall-leans" and f.piece == "lid"]
    said = re.search(
        r"tab_setback of (\S+) mm .* takes (\S+) mm .* the lid (\S+) mm larger along the (\w+)",
        leaning.message,
    )
    assert said is not None and found.lid is not None
    setback, less, larger = (float(own) for own in said.groups()[:3])
    upright = text.replace("depth = 9", f"depth = 9\ntab_setback = {setback}")
    grown = [1, 1 + larger] if said[4] == "length" else [1 + larger, 1]
    alone = check(read(tmp_path, upright))
    both = check(read(tmp_path, upright.replace("oversize = 1", f"oversize = {grown}")))
    plays = [
        own.lid.slide.travel(said[4]).play_mm  # type: ignore[union-attr]
        for own in (found, alone, both)
    ]
    assert plays[0] - plays[1] == pytest.approx(less, abs=0.05)
    assert plays[2] >= plays[0] - 0.05
    assert not [f for f in both.findings if f.code == "wall-leans" and f.piece == "lid"]
