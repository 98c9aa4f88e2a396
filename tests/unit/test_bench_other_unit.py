"""A design brought to another unit is the same box: nothing moves, and back it says what it said.

An inch is 25.4 mm (international yard and pound agreement, 1959); all else here is arithmetic.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from fitcheck.bench.drafts import Change, Draft, changed, marks_of
from fitcheck.design.read import design_from
from fitcheck.workspace.paths import search_roots
from tests.served import ROOT

MODELS = sorted(path for path in (ROOT / "models").glob("*.toml") if path.name != "items.toml")

INCHES = """# for buttons
format = 1
title = "Buttons"
unit = "in"
tools = "score-board-inch"

[base]
style = "tray"
stock = "cardstock-270"
floor = ["3 1/2", 2.75]   # from score to score
depth = "3/4"

[lid]
style = "tray"
stock = "cardstock-270"
oversize = "1/16"
depth = "12 mm"

[[content]]
item = "chocolate-coin"
count = 3
"""
MILLIMETRES = INCHES.replace('"in"', '"mm"').replace('["3 1/2", 2.75]', "[83, 57.5]")
MILLIMETRES = MILLIMETRES.replace('"3/4"', "20").replace('"1/16"', "1.5").replace('"12 mm"', "12")


def unit(text: str, name: str) -> str:
    change = Change(at=["unit"], value=name)
    return changed(Draft(name="tried", text=text, changes=[change]))


def test_three_inches_and_a_half_are_88_9_millimetres() -> None:
    found = tomllib.loads(unit(INCHES, "mm"))
    assert found["unit"] == "mm"
    assert found["base"]["floor"] == [88.9, 69.85]  # 3.5 and 2.75 times 25.4
    assert found["base"]["depth"] == 19.05  # 0.75 times 25.4
    assert found["lid"] == {
        "style": "tray",
        "stock": "cardstock-270",
        "oversize": 1.5875,  # 25.4 / 16
        "depth": "12 mm",  # it says its unit itself
    }
    assert found["content"] == [{"item": "chocolate-coin", "count": 3}]


def test_comments_and_order_stay() -> None:
    expected = INCHES.replace('"in"', '"mm"').replace('["3 1/2", 2.75]', "[88.9, 69.85]")
    expected = expected.replace('"3/4"', "19.05").replace('"1/16"', "1.5875")
    assert unit(INCHES, "mm") == expected


@pytest.mark.parametrize(
    ("text", "other"),
    [(INCHES, "mm"), (INCHES, "cm"), (MILLIMETRES, "in"), (MILLIMETRES, "cm")],
)
def test_there_and_back_is_what_was_typed(text: str, other: str) -> None:
    own = tomllib.loads(text)
    back = tomllib.loads(unit(unit(text, other), own["unit"]))
    # a decimal inch comes back as the fraction that it is
    assert back == tomllib.loads(text.replace("2.75", '"2 3/4"'))


@pytest.mark.parametrize(
    ("typed", "other", "says", "mm"),
    [
        ('"1 3/64"', "mm", 26.59, 25.4 * 67 / 64),
        ('"-1 1/16"', "mm", -26.9875, -25.4 * 17 / 16),
        ("83", "in", "3.2677", 83.0),
        ("79.375", "in", "3 1/8", 25.4 * 25 / 8),
        ("82.55", "cm", 8.255, 82.55),
        ("0", "in", 0, 0.0),
        ("0.1", "in", "0.0039", 0.1),
    ],
)
def test_a_length_moves_by_no_more_than_anybody_sees(
    typed: str, other: str, says: object, mm: float
) -> None:
    own = {"mm": "in", "in": "mm", "cm": "mm"}[other]
    text = f'unit = "{own}"\n[base]\ndepth = {typed}\n'
    found = tomllib.loads(unit(text, other))["base"]["depth"]
    assert found == says
    if other == "in":
        whole, _, over = str(found).partition(" ")
        first, _, under = (over or "0/1").partition("/")
        inches = float(whole) + int(first) / int(under)
        assert inches * 25.4 == pytest.approx(mm, abs=0.0015)
    else:
        assert found * {"mm": 1, "cm": 10}[other] == pytest.approx(mm, abs=0.0015)


@pytest.mark.parametrize("typed", ['"snug"', '"3 1/x"', "true", '""'])
def test_what_is_no_length_stays(typed: str) -> None:
    text = f'unit = "mm"\ntools = "score-board-metric"\n[base]\nrim = {typed}\n'
    assert unit(text, "in") == text.replace('"mm"', '"in"')


def test_a_design_that_names_no_board_keeps_the_one_it_had() -> None:
    text = MILLIMETRES.replace('tools = "score-board-inch"\n', "")
    assert tomllib.loads(unit(text, "in"))["tools"] == "score-board-metric"
    assert "tools" not in tomllib.loads(unit(text, "cm"))


def test_a_unit_that_is_none_is_put_right_without_touching_a_number() -> None:
    text = MILLIMETRES.replace('"mm"', '"furlong"')
    assert unit(text, "in") == text.replace('"furlong"', '"in"')


def test_what_is_typed_after_the_unit_is_read_in_it() -> None:
    changes = [
        Change(at=["unit"], value="in"),
        Change(at=["base", "floor", 0], value="3 1/4"),
    ]
    text = changed(Draft(name="tried", text=MILLIMETRES, changes=changes))
    assert tomllib.loads(text)["base"]["floor"] == ["3 1/4", "2.2638"]  # 57.5 / 25.4


def test_sizes_come_to_the_marks_of_a_rule_only_where_that_is_asked() -> None:
    """A rule shows half millimetres, or 1/32 in (common practice, no source)."""
    inches = unit(MILLIMETRES, "in")
    # 83 mm are 104.57, 57.5 mm 72.44, 20 mm 25.20 and 12 mm 15.12 thirty-seconds of an inch
    assert marks_of(tomllib.loads(inches)) == {
        "between": 4,
        "most_mm": pytest.approx((57.5 / 25.4 * 32 - 72) / 32 * 25.4, abs=0.002),
    }
    change = Change(at=[], to_marks=True)
    found = tomllib.loads(changed(Draft(name="tried", text=inches, changes=[change])))
    assert found["base"]["floor"] == ["3 9/32", "2 1/4"]
    assert found["base"]["depth"] == "25/32"
    assert found["lid"]["depth"] == "15/32"
    assert found["lid"]["oversize"] == "0.0591"  # 1.5 mm: how a lid goes on is not rounded
    assert marks_of(found) == {"between": 0, "most_mm": 0.0}


def test_millimetres_come_to_halves() -> None:
    found = unit(INCHES, "mm")
    change = Change(at=[], to_marks=True)
    text = changed(Draft(name="tried", text=found, changes=[change]))
    assert tomllib.loads(text)["base"]["floor"] == [89, 70]
    assert tomllib.loads(text)["base"]["depth"] == 19


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_every_shipped_design_stays_the_box_that_it_is(path: Path) -> None:
    text = path.read_bytes().decode()
    tables = tomllib.loads(text)
    for other in {"in", "mm", "cm"} - {tables["unit"]}:
        new = tomllib.loads(unit(text, other))
        was, now = (
            design_from(one, "design", search_roots(), {}, name="tried") for one in (tables, new)
        )
        assert new["unit"] == other and now.tools == was.tools
        for one, same in zip(was.parts, now.parts, strict=True):
            assert same.size_mm == pytest.approx(one.size_mm, abs=0.0015)
            assert same.depth_mm == pytest.approx(one.depth_mm, abs=0.0015)
        back = tomllib.loads(unit(unit(text, other), tables["unit"]))
        assert back["base"] == tables["base"] and back.get("lid") == tables.get("lid")
