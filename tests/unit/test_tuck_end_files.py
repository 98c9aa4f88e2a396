"""Each mistake in a carton with tucked lids gives one line that says where, what and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.styles.carton import LockKind
from fitcheck.styles.tuck_end import TuckEndSpec, settled

GOOD = """format = 1
title = "Case"
unit = "mm"

[base]
style = "tuck-end"
stock = "cardstock-270"
floor = [70, 30]
depth = 90
"""


def written(folder: Path, *changes: tuple[str, str]) -> Path:
    """The good design with some of its text changed."""
    text = GOOD
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "case.toml"
    path.write_text(text)
    return path


def test_what_is_left_open_is_settled(tmp_path: Path) -> None:
    base = read_design(written(tmp_path)).base
    assert isinstance(base, TuckEndSpec)
    assert (base.lock, base.clear_mm, base.tuck_mm) == (LockKind.SLIT, 1.6, None)
    lengths = settled(base, (70.0, 30.0))
    short = base.stock.caliper_mm + 1.2
    assert lengths == pytest.approx(
        {"tuck": 15.0, "dust_flap": 30.0, "slit": 4.8, "seam": 12.7, "short": short}
    )


def test_all_its_keys_are_read(tmp_path: Path) -> None:
    keys = 'depth = 90\ntuck = 14\ndust_flap = 28\nlock = "none"\nslit = 5\nclear = 2\n'
    keys += "seam = 15\nshort = 2\n"
    base = read_design(written(tmp_path, ("depth = 90\n", keys))).base
    assert isinstance(base, TuckEndSpec)
    assert (base.tuck_mm, base.dust_flap_mm, base.slit_mm, base.seam_mm) == (14.0, 28.0, 5.0, 15.0)
    assert (base.lock, base.clear_mm, base.short_mm) == (LockKind.NONE, 2.0, 2.0)


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("depth = 90\n", "", "base.depth", ("missing",)),
        ("depth = 90", "depth = 0.5", "base.depth", ("too low", "read 0.50 mm")),
        ("[70, 30]", "[70, 4]", "base.floor", ("nothing of the flaps", "read a smaller side")),
        ("depth = 90", "depth = 90\ntuck = 46", "base.tuck", ("too deep", "read 46.00 mm")),
        ("depth = 90", "depth = 90\nshort = 29.5", "base.short", ("nothing of the lids",)),
        ("depth = 90", "depth = 90\ntuck = 31", "base.tuck", ("longer than the lid", "30.00 mm")),
        ("depth = 90", "depth = 90\ntuck = 0.5", "base.tuck", ("too short to fold",)),
        ("depth = 90", "depth = 90\ndust_flap = 36", "base.dust_flap", ("meet", "read 36.00 mm")),
        ("depth = 90", "depth = 90\ndust_flap = 2", "base.dust_flap", ("all shoulder",)),
        ("depth = 90", "depth = 90\nslit = 34", "base.slit", ("nothing of the lid's crease",)),
        ("depth = 90", "depth = 90\nclear = 69", "base.clear", ("nothing of the lids",)),
        ("depth = 90", "depth = 90\nseam = 70", "base.seam", ("wider than the wall",)),
        ("depth = 90", 'depth = 90\nlock = "glue"', "base.lock", ("read 'glue'", "slit", "none")),
    ],
)
def test_a_mistake_is_told_in_one_line(
    tmp_path: Path, old: str, new: str, key: str, words: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as caught:
        read_design(written(tmp_path, (old, new)))
    (line,) = caught.value.lines
    assert f": {key}" in line, line
    assert all(word in line for word in words), line


@pytest.mark.parametrize("place", ["lid", "sleeve", "insert"])
def test_nothing_goes_beside_a_part_that_brings_its_lid(tmp_path: Path, place: str) -> None:
    keys = {
        "lid": 'style = "tray"\nstock = "cardstock-270"\noversize = 2\ndepth = 15\n',
        "sleeve": 'style = "sleeve"\nstock = "cardstock-270"\nease = 2\n',
        "insert": 'style = "mat"\nstock = "cardstock-270"\nease = 2\n',
    }
    with pytest.raises(InputError) as caught:
        read_design(written(tmp_path, ("depth = 90\n", f"depth = 90\n\n[{place}]\n{keys[place]}")))
    assert any(f": {place}" in line and "open base" in line for line in caught.value.lines)
