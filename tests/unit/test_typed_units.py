"""Millimetres typed into a design in inches: the check says how the number was read.

Inches are 25.4 mm. A tray of floor W x L and depth H is cut from (W + 2 H) x (L + 2 H), and the
largest sheet in common use is 12 in square.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.findings import Severity
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_text import check_text

BOX = """
format = 1
title = "Pilot badge"
unit = "{unit}"
[base]
style = "tray"
stock = "cardstock-270"
floor = {floor}
depth = {depth}
[lid]
style = "tray"
stock = "cardstock-270"
oversize = {oversize}
depth = {lid}
"""
USUAL = {"unit": "in", "floor": "[2.5, 3.75]", "depth": "1.25", "oversize": '"1/16"', "lid": "0.5"}


def read(folder: Path, **other: str) -> Check:
    path = folder / "badge.toml"
    path.write_text(BOX.format(**{**USUAL, **other}))
    return check(read_design(path))


def said(found: Check) -> list[str]:
    own = [one for one in found.findings if one.code == "unit-doubtful"]
    assert all(one.severity is Severity.CAUTION for one in own)
    return [one.message for one in own]


@pytest.mark.parametrize("number", ["2", '"2"', "2.0"])
def test_two_inches_of_oversize_are_doubted(number: str, tmp_path: Path) -> None:
    found = read(tmp_path, oversize=number)
    assert found.lid is not None
    # 50.8 mm less what glued corners and the paper take, 1.4 mm and less
    assert 49.0 < found.lid.slide.tighter.play_mm < 50.8
    (message,) = said(found)
    assert message.startswith("the lid's oversize = ") and " is read in inches" in message
    assert f'write "{number.strip(chr(34))} mm" if millimetres were meant' in message
    assert "is read in inches" in check_text(found)


@pytest.mark.parametrize("number", ['"1/16"', "0.0625", '"2 mm"', '["1/16", "3/32"]', '"0.75 in"'])
def test_what_may_well_be_meant_is_not(number: str, tmp_path: Path) -> None:
    assert said(read(tmp_path, oversize=number)) == []


def test_one_of_two_is_doubted(tmp_path: Path) -> None:
    (message,) = said(read(tmp_path, oversize='["1/16", 2]'))
    assert 'write ["1/16", "2 mm"] if' in message.replace("'", '"')


def test_sides_and_heights_that_no_sheet_holds_are_doubted(tmp_path: Path) -> None:
    """60 + 2 x 30 = 120 in; the lid, 60 + 24 in, takes its floor from the base."""
    messages = said(read(tmp_path, floor="[60, 75]", depth="30", lid="12"))
    assert [one.partition(" is read")[0] for one in messages] == [
        "the base's floor = [60, 75]",
        "the base's depth = 30",
        "the lid's depth = 12",
    ]
    assert 'write ["60 mm", "75 mm"] if' in messages[0]


def test_a_large_tray_in_inches_is_not(tmp_path: Path) -> None:
    """13 + 2.5 in is more than 12 in: no sheet holds it, and 13 mm would be no box either."""
    assert said(read(tmp_path, floor="[13, 13]")) == []


def test_millimetres_are_what_they_are(tmp_path: Path) -> None:
    other = {"unit": "mm", "floor": "[60, 75]", "depth": "30", "oversize": "2", "lid": "12"}
    assert said(read(tmp_path, **other)) == []


def doubted_fractions(found: Check) -> list[str]:
    own = [one for one in found.findings if one.code == "fraction-doubtful"]
    assert all(one.severity is Severity.NOTE for one in own)
    return [one.message for one in own]


def test_eighteenths_of_an_inch_are_read_and_asked_about(tmp_path: Path) -> None:
    """5/18 in = 127 / 18 mm = 7.06 mm; without the 1 it is 5/8, with a 6 for the 8 it is 5/16."""
    (message,) = doubted_fractions(read(tmp_path, lid='"5/18"'))
    assert message.startswith("the lid's depth = '5/18' is read as 7.06 mm")
    assert "1/18" in message and message.endswith("was 5/8 or 5/16 meant?")


@pytest.mark.parametrize(
    ("unit", "lid", "mm"),
    [
        ("in", '"2/3"', "16.93"),  # 50.8 / 3
        ("in", '"1 1/3 in"', "33.87"),  # 101.6 / 3
        ("mm", '"1/3 in"', "8.47"),  # 25.4 / 3
    ],
)
def test_thirds_stay_allowed_and_are_named_without_a_guess(
    unit: str, lid: str, mm: str, tmp_path: Path
) -> None:
    others = {"floor": '["2.5 in", "3.75 in"]', "depth": '"1.25 in"', "oversize": '"1/16 in"'}
    (message,) = doubted_fractions(read(tmp_path, unit=unit, lid=lid, **others))
    assert f"is read as {mm} mm" in message and "meant" not in message


@pytest.mark.parametrize("lid", ['"5/8"', '"31/64"', '"1-1/32 in"', '"2 3/3"', '"9/3 mm"', "0.4"])
def test_what_rules_show_and_other_units_are_not_asked_about(lid: str, tmp_path: Path) -> None:
    assert doubted_fractions(read(tmp_path, lid=lid)) == []
