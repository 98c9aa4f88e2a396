"""Walls by themselves: how far they lean, and which of them a tab takes room from."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import Check, check
from fitcheck.fit.upright import advised
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


def advice(found: Check, part: str) -> str:
    """What is said of a part's leaning walls."""
    (leaning,) = [f for f in advised(found) if f.code == "wall-leans" and f.piece == part]
    return leaning.message


def test_what_stands_a_lids_walls_upright_keeps_its_play(tmp_path: Path) -> None:
    """Tabs set back by s stand s further in at both ends: twice that is missing between walls.

    By hand: t + g = 0.267 + 0.1 mm, up to a hundredth 0.37; twice that, up to half a millimetre, 1.
    """
    text = f"{TRAY}[lid]\nstyle = 'tray'\nstock = 'cover-100'\noversize = 1\ndepth = 9\n"
    found = check(read(tmp_path, text))
    assert "the lid tab_setback 0.37 mm and oversize 1 mm x 2 mm" in advice(found, "lid")
    upright = text.replace("depth = 9", "depth = 9\ntab_setback = 0.37")
    alone = check(read(tmp_path, upright))
    both = check(read(tmp_path, upright.replace("oversize = 1", "oversize = [1, 2]")))
    plays = [
        own.lid.slide.travel("length").play_mm  # type: ignore[union-attr]
        for own in (found, alone, both)
    ]
    assert plays[0] - plays[1] == pytest.approx(2 * 0.37, abs=0.05)
    assert plays[2] >= plays[0] - 0.05
    assert not [f for f in both.findings if f.code == "wall-leans" and f.piece == "lid"]


RINGED = """\
format = 1
title = "Quay"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
slack = 3
depth = 10
[collar]
style = "collar"
stock = "index-90"
ease = 1
rise = 10
[lid]
style = "tray"
stock = "cover-100"
oversize = 0
depth = 25
[[content]]
item = "tea-sachet"
count = 4
lay = "flat"
"""


def test_what_stands_a_bases_walls_upright_keeps_the_lid_and_the_ring(tmp_path: Path) -> None:
    """By hand: t + g = 0.33 + 0.1, up to a hundredth 0.44 mm, is taken on both sides.

    The floor round the contents grows by those 0.88 mm by itself, to half a millimetre 1 mm, so the
    lid takes 1 mm less over it and the ring 1 mm more ease in it to stay as they are.
    """
    found = check(read(tmp_path, RINGED))
    words = advice(found, "base")
    for said in (
        "base tab_setback 0.44 mm",
        "lid oversize 0 mm x -1 mm",
        "collar ease 1 mm x 2 mm",
    ):
        assert said in words
    text = RINGED.replace("slack", "tab_setback = 0.44\nslack")
    text = text.replace("oversize = 0", "oversize = [0, -1]").replace("ease = 1", "ease = [1, 2]")
    after = check(read(tmp_path, text))
    assert found.fits and after.fits
    assert not [f for f in after.findings if f.code == "wall-leans" and f.piece == "base"]
    for name in ("lid", "collar"):
        was, now = (own.assembly.part(name) for own in (found, after))
        assert was is not None and now is not None
        assert now.recipe.length_mm == pytest.approx(was.recipe.length_mm, abs=0.25)
        assert now.recipe.width_mm == pytest.approx(was.recipe.width_mm, abs=0.001)


def test_a_lean_is_told_without_what_would_make_its_lid_loose(tmp_path: Path) -> None:
    """By hand: upright walls leave the lid twice t + g = 0.86 mm more along the length.

    Its play there is 1.13 mm, so it is loose, past 1.5 mm, or hardly short of that where the lid is
    made half a millimetre smaller, and 1.96 mm along the width.
    """
    base = TRAY.replace('"tray"', '"double-wall"').replace("index-110", "cardstock-270")
    base = base.replace("floor = [80, 120]", "slack = 3.5").replace("20", "10\nlock = 'glued'")
    base = base.replace("lock", "inner_wall = 'to the floor'\nlock")
    lid = "[lid]\nstyle = 'tray'\nstock = 'patterned-160'\noversize = 2.5\ndepth = 7.5\n"
    content = "[[content]]\nitem = 'chocolate-coin'\ncount = 3\nlay = 'flat'\n"
    found = check(read(tmp_path, f"{base}{lid}tabs = 'width'\n{content}"))
    assert found.fits and found.lid is not None
    assert found.lid.slide.travel("length").play_mm == pytest.approx(1.13, abs=0.01)
    assert "tab_setback" not in advice(found, "base")
