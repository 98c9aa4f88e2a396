"""Each mistake in a tray with a hinged lid gives one line that says where, what and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.styles.hinged_tray import Hinge, HingedTraySpec, LipSide

GOOD = """format = 1
title = "Case"
unit = "mm"

[base]
style = "hinged-tray"
stock = "cardstock-270"
floor = [90, 58]
depth = 20
lip = 12
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
    assert isinstance(base, HingedTraySpec)
    assert (base.front, base.hinge, base.clear_mm) == (LipSide.OVER, Hinge.SCORED, None)


def test_a_lid_may_be_shorter_than_the_floor(tmp_path: Path) -> None:
    keys = 'lip = 12\nfront = "in"\nclear = -2.5\nhinge = "half cut"\n'
    base = read_design(written(tmp_path, ("lip = 12\n", keys))).base
    assert isinstance(base, HingedTraySpec)
    assert (base.front, base.hinge, base.clear_mm) == (LipSide.IN, Hinge.HALF_CUT, -2.5)


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("lip = 12\n", "", "base.lip", ("missing",)),
        ("lip = 12", "lip = 0.5", "base.lip", ("too shallow", "read 0.50 mm", "3 calipers")),
        ("lip = 12", "lip = 21", "base.lip", ("too deep", "read 21.00 mm", "up to the depth")),
        (
            "lip = 12",
            'lip = 19.5\nfront = "in"',
            "base.lip",
            ("too deep", "as much less than the depth"),
        ),
        ("lip = 12", 'lip = 12\nfront = "by"', "base.front", ("read 'by'", "in", "over")),
        ("lip = 12", 'lip = 12\nhinge = "tape"', "base.hinge", ("read 'tape'", "half cut")),
        ("lip = 12", "lip = 12\nclear = -80", "base.clear", ("read", "-50")),
        ("lip = 12", 'lip = 12\ntabs = "width"', "base.tabs", ("hinged-tray",)),
        ("floor = [90, 58]", "floor = [90, 20]\n", "base.lip", ()),
    ],
)
def test_a_mistake_is_told_in_one_line(
    tmp_path: Path, old: str, new: str, key: str, words: tuple[str, ...]
) -> None:
    changes = [(old, new)]
    if not words:  # a lip that cannot swing into so short a box
        changes.append(("lip = 12", 'lip = 12\nfront = "in"'))
    with pytest.raises(InputError) as caught:
        read_design(written(tmp_path, *changes))
    (line,) = caught.value.lines
    assert f": {key}" in line, line
    assert all(word in line for word in words), line


@pytest.mark.parametrize("place", ["lid", "sleeve"])
def test_nothing_goes_over_a_part_that_brings_its_lid(tmp_path: Path, place: str) -> None:
    keys = {
        "lid": 'style = "tray"\nstock = "cardstock-270"\noversize = 2\ndepth = 15\n',
        "sleeve": 'style = "sleeve"\nstock = "cardstock-270"\nease = 2\n',
    }
    more = f"lip = 12\n\n[{place}]\n{keys[place]}"
    with pytest.raises(InputError) as caught:
        read_design(written(tmp_path, ("lip = 12\n", more)))
    (line,) = caught.value.lines
    assert f": {place}" in line and "goes with an open base" in line
