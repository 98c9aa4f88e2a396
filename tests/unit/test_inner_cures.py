"""Windows and compartments that are too small: named, and with sizes that do, by plain arithmetic.

A window takes what is no larger than it; of n compartments in an inside W with strips t thick at a
pitch p the inner ones have p - t and the outer ones (W - (n - 2) p - t) / 2. Sizes that are given
are written into the file again, which then fits. Hand steps: 1/32 in, or half a millimetre. A knife
is off by 0.3 mm (common practice, no source), so that a window that is made larger leaves what goes
into it twice that: for 20 mm it is 20 + 0.6, on half millimetres 21 mm.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text

ITEMS = """
[bead]
kind = "cylinder"
size = [20, 6]
source = "invented for tests"
[plate]
kind = "block"
size = [30, 20, 5]
source = "invented for tests"
"""
BASE = """
format = 1
title = "Lens case"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = {floor}
depth = 22
[lid]
style = "tray"
stock = "cardstock-270"
oversize = 2
depth = 12
"""
WINDOW = """
[insert]
style = "{style}"
stock = "cardstock-270"
cut = [90, 117]
window = {window}
[[content]]
item = "{item}"
lay = "flat"
"""
STRIPS = """
[dividers]
style = "dividers"
stock = "cardstock-270"
rows = {rows}
columns = 2
{size}
height = 18
slot = 0.8
[[content]]
item = "bead"
lay = "flat"
"""
T = 0.33
"""The paper's caliper."""


def read(folder: Path, text: str) -> Check:
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "items.toml").write_text(ITEMS)
    path = folder / "models" / "case.toml"
    path.write_text(text)
    return check(read_design(path))


def inner(found: Check) -> list[dict[str, object]]:
    own = check_data(found)["contents"][0]["cure"]["inner"]
    assert isinstance(own, list)
    return own


def line(found: Check) -> str:
    """The text as one line."""
    return re.sub(r"\s+", " ", check_text(found))


@pytest.mark.parametrize(
    ("style", "window", "item", "cured"),
    [
        ("mat", "[19, 24]", "bead", (21.0, 24.0)),
        ("mat", "[18.8, 19.4]", "bead", (21.0, 21.0)),
        ('platform"\nlegs = "8 mm', "[19, 19]", "bead", (21.0, 21.0)),
        ("mat", "[18, 32]", "plate", (21.0, 32.0)),
        # the side that is large enough has 0.0 and 0.3 mm to spare, and a knife takes twice 0.3
        ("mat", "[19, 20]", "bead", (21.0, 21.0)),
        ("mat", "[18, 30.3]", "plate", (21.0, 31.0)),
    ],
)
def test_the_least_window_on_whole_steps_that_leaves_a_knife_its_room(
    style: str, window: str, item: str, cured: tuple[float, float], tmp_path: Path
) -> None:
    base = BASE.format(floor="[92, 120]")
    found = read(tmp_path, base + WINDOW.format(style=style, window=window, item=item))
    assert not found.fits
    (way,) = inner(found)
    assert way["window_mm"] == {"width": cured[0], "length": cured[1]}
    said = line(found)
    assert "for the insert's window; make the insert's window" in said
    assert f"{item} in the insert's window: too large by" in said
    size = f"[{cured[0]}, {cured[1]}]"
    assert read(tmp_path, base + WINDOW.format(style=style, window=size, item=item)).fits


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize("window", ["[18, 27]", "[27, 18]"])
def test_a_window_is_missed_as_the_piece_lies_that_misses_least(
    window: str, count: int, tmp_path: Path
) -> None:
    """A plate of 30 x 20: 2 and 3 mm where it lies along the window, 12 mm where it lies across."""
    base = BASE.format(floor="[92, 120]") + WINDOW.format(style="mat", window=window, item="plate")
    found = read(tmp_path, base + f"count = {count}\n")
    wide = 2.0 if window == "[18, 27]" else 3.0
    missed = f"{wide:.2f} mm too wide and {5.0 - wide:.2f} mm too long for the insert's window; "
    assert missed in line(found)
    told = check_data(found)["contents"][0]
    assert told["missing_mm"] == 3.0
    assert told["cure"]["misses_mm"] == {"width": wide, "length": 5.0 - wide}
    (way,) = inner(found)
    short, long = ("width", "length") if window == "[18, 27]" else ("length", "width")
    assert way["window_mm"] == {short: 21.0, long: 31.0}


@pytest.mark.parametrize("window", ["[15, 20]", "[15.2, 19.8]", "[15, 20.3]"])
def test_the_cure_of_a_window_is_for_the_lay_that_is_told(window: str, tmp_path: Path) -> None:
    """A plate of 20 x 30 is 5 mm too wide and 10 mm too long for a window of 15 x 20; turned it
    would need no more of one side and 15 mm of the other, as much in all: it is not turned."""
    wide, long = (float(mm) for mm in window.strip("[]").split(","))
    found = read(
        tmp_path,
        BASE.format(floor="[92, 120]") + WINDOW.format(style="mat", window=window, item="plate"),
    )
    missed = f"{20 - wide:.2f} mm too wide and {30 - long:.2f} mm too long for the insert's window"
    assert f"{missed}; make the insert's window 21 by 31 mm" in line(found)


def test_a_window_that_takes_it_is_not_spoken_of(tmp_path: Path) -> None:
    text = BASE.format(floor="[92, 120]") + WINDOW.format(
        style="mat", window="[21, 21]", item="bead"
    )
    found = read(tmp_path, text)
    assert found.fits and check_data(found)["contents"][0]["cure"] is None
    assert "make the insert's window" not in check_text(found)


def strips(size: str, rows: int = 3, floor: str = "[92, {long}]", long: float = 60.5) -> str:
    return BASE.format(floor=floor.format(long=long)) + STRIPS.format(rows=rows, size=size)


def test_a_pitch_that_leaves_one_compartment_too_small(tmp_path: Path) -> None:
    """66 less 0.26 inside: at 18 the middle one has 17.67, the outer ones 23.7; even is 22.02."""
    found = read(tmp_path, strips("cut = [91, 65]\npitch = [46, 18]", long=66))
    assert not found.fits
    first = inner(found)[0]
    pitch = first["pitch_mm"]
    assert isinstance(pitch, dict) and first["base_floor_mm"] is None
    inside = 66.0 - 2.0 * 0.13
    assert pitch["length"] - T >= 20.0 and 0.5 * (inside - pitch["length"] - T) >= 20.0
    assert pitch["length"] % 0.5 == 0.0
    assert "for a compartment; make the pitch" in line(found)
    assert "bead in a compartment: too large by" in line(found)
    again = f"cut = [91, 65]\npitch = [46, {pitch['length']}]"
    assert read(tmp_path, strips(again, long=66)).fits


def test_a_floor_that_is_too_short_for_all_of_them_or_one_less(tmp_path: Path) -> None:
    """Three of 20 and two strips need 60.66; inside there are 56.7. Two have 28 each."""
    found = read(tmp_path, strips("cut = [91, 56]\npitch = [46, 19]", long=57))
    assert not found.fits
    larger, fewer = inner(found)
    floor, pitch, cut = (larger[key] for key in ("base_floor_mm", "pitch_mm", "cut_mm"))
    assert isinstance(floor, dict) and isinstance(pitch, dict) and isinstance(cut, dict)
    assert floor["width"] == 92.0 and cut["width"] == 91.0
    assert floor["length"] >= 60.66 and pitch["length"] >= 20.33
    assert cut["length"] <= floor["length"] - 0.26
    size = f"cut = [{cut['width']}, {cut['length']}]\npitch = [46, {pitch['length']}]"
    assert read(tmp_path, strips(size, long=floor["length"])).fits
    assert (fewer["columns"], fewer["rows"]) == (2, 2)
    own = fewer["pitch_mm"]
    assert isinstance(own, dict)
    size = f"cut = [91, 56]\npitch = [{own['width']}, {own['length']}]"
    assert read(tmp_path, strips(size, rows=2, long=57)).fits
    assert "or have 2 x 2 compartments" in line(found)


def test_strips_without_a_pitch_stay_alike(tmp_path: Path) -> None:
    found = read(tmp_path, strips("ease = 1", long=57))
    assert not found.fits
    (fewer,) = inner(found)
    floor = check_data(found)["contents"][0]["cure"]["base_floor_mm"]
    assert floor["length"] >= 60.66
    assert read(tmp_path, strips("ease = 1", long=floor["length"])).fits
    assert fewer["pitch_mm"] is None and (fewer["columns"], fewer["rows"]) == (2, 2)
    assert read(tmp_path, strips("ease = 1", rows=2, long=57)).fits
