"""What is told of things that lie on each other, and of sheets that are not at hand everywhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.fit.piled import carries, lies_on
from fitcheck.kinds.poses import Pose
from fitcheck.outputs.check_text import check_text
from fitcheck.packing.placing import Placement

BOX = """
format = 1
title = "Piled"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = {floor}
depth = 40
[[content]]
item = "card-id1"
[[content]]
item = "badge-button"
"""


def test_a_badge_is_said_to_lie_on_the_card_where_no_room_is_beside_it(tmp_path: Path) -> None:
    """A card of 85.6 x 54 mm and a badge of 25 mm take 110.6 mm side by side."""
    path = tmp_path / "piled.toml"
    path.write_text(BOX.format(floor=[88, 57]))
    found = check(read_design(path))
    ((above, below),) = lies_on(found.contents).items()
    assert {above, *below} == {"badge-button", "card-id1"}
    assert f", on {below[0]}\n" in check_text(found)


def test_room_above_counts_from_what_lies_on_it(tmp_path: Path) -> None:
    """By arithmetic: the inside's depth less both thicknesses is left over the pile."""
    path = tmp_path / "piled.toml"
    path.write_text(BOX.format(floor=[88, 57]))
    found = check(read_design(path))
    ((above, (below,)),) = lies_on(found.contents).items()
    thick = {fit.content.item.name: fit.placements[0].pose.height_mm for fit in found.contents}
    left = found.assembly.base.sizes.depth_mm - sum(thick.values())
    for fit in found.contents:
        assert fit.own is not None and fit.own.height_mm == pytest.approx(left, abs=1e-6)
    said = check_text(found).split("content ")
    assert [f"below the rim, with {above} on it\n" in one for one in said[1:]] == [
        fit.content.item.name == below for fit in found.contents
    ]


@pytest.mark.parametrize(
    ("x", "z", "turn", "on"),
    [
        (0.0, 4.0, 0.0, True),
        (0.0, 6.0, 0.0, False),  # a gap between
        (24.0, 4.0, 0.0, False),  # beside it: 20 / 2 + 20 / 2 apart would touch
        (19.0, 4.0, 0.0, True),
        (14.0, 4.0, 90.0, True),  # turned it reaches 5 mm: 10 + 5 > 14
        (16.0, 4.0, 90.0, False),
    ],
)
def test_what_lies_on_what_is_seen_by_height_and_plan(
    x: float, z: float, turn: float, on: bool
) -> None:
    """Worked by hand: a body of 20 x 40 x 4 mm and one of 20 x 10 x 3 mm over it."""
    below = Placement("low", Pose("flat", 20.0, 40.0, 4.0), 0.0, 0.0, 0.0)
    above = Placement("high", Pose("flat", 20.0, 10.0, 3.0), x, 0.0, z, turn)
    assert carries(below, above) is on


@pytest.mark.parametrize(
    ("unit", "floor", "told"),
    [
        ("in", '["6 1/2", 5]', False),  # 8 1/2 x 7 in comes from letter
        ("in", '["6 17/32", 10]', True),  # a 32nd more than letter is wide, and 12 in long
        ("mm", "[170, 257]", False),  # 210 x 297
        ("mm", "[171, 257]", True),
    ],
)
def test_a_sheet_that_is_larger_than_most_have_at_hand_is_said_so(
    tmp_path: Path, unit: str, floor: str, told: bool
) -> None:
    """Letter is 8 1/2 x 11 in (ANSI/ASME Y14.1), A4 210 x 297 mm (ISO 216)."""
    depth = 1 if unit == "in" else 20
    path = tmp_path / "sheet.toml"
    path.write_text(
        f'format = 1\ntitle = "Sheet"\nunit = "{unit}"\n[base]\nstyle = "tray"\n'
        f'stock = "cover-100"\nfloor = {floor}\ndepth = {depth}\n'
    )
    found = check(read_design(path))
    notes = [one.message for one in found.findings if one.code == "sheet-needs-larger"]
    assert [note.startswith("the base's sheet comes from") for note in notes] == [True] * told
