"""Each kind of broken input gives one line that says where, what was read, and what is allowed."""

from pathlib import Path

import pytest

from tests.unit.samples import GOOD, TRAY, lines_of

BASE_SIZES = "exactly one of floor, inside, opening, slack"
LENGTH = "a length above 0 mm up to 2000 mm"
LEAVES_ANOTHER_MISSING = ("lit", "base.fram", "lid.slack")
"""Keys whose mistake leaves a needed key unsaid, which has a line of its own."""

# what is replaced, by what, the key, and words that the line must hold
BROKEN: list[tuple[str, str, str, tuple[str, ...]]] = [
    ("format = 1", "format = 2", "format", ("read 2", "the number 1", "write format = 1")),
    ("format = 1", "format = true", "format", ("read true", "the number 1")),
    ("format = 1", "format = 1.0", "format", ("read 1.0", "the number 1")),
    ("format = 1\n", "", "format", ("missing", "add format")),
    ('title = "Test box"', 'title = ""', "title", ("read ''", "not empty")),
    ('title = "Test box"', "title = 3", "title", ("read 3", "a text in quotes")),
    ('unit = "in"', 'unit = "inn"', "unit", ("read 'inn'", "in, mm, cm", "nearest known: 'in'")),
    ('unit = "in"', 'unit = "pt"', "unit", ("read 'pt'", "in, mm, cm")),
    (
        '"score-board-inch"',
        '"score-bord-inch"',
        "tools",
        ("read 'score-bord-inch'", "nearest known: 'score-board-inch'"),
    ),
    ("tools =", "tolls =", "tolls", ("unknown key", "nearest known: 'tools'")),
    ("joint =", "joint_mm =", "joint_mm", ("unknown key", "nearest known: 'joint'")),
    ('joint = "0.1 mm"', 'joint = "9 mm"', "joint", ("read '9 mm'", "from 0 mm up to 5 mm")),
    (
        'snug = "0.20 mm"',
        'snug = "2 mm"',
        "bands",
        ("read snug 2 mm and loose 1.5 mm", "snug below loose"),
    ),
    ('snug = "0.20 mm"', 'snugg = "2 mm"', "bands.snugg", ("unknown key", "nearest known: 'snug'")),
    (
        'stock = "cardstock-270"',
        'stock = "cardstok-270"',
        "base.stock",
        ("read 'cardstok-270'", "nearest known: 'cardstock-270'"),
    ),
    ('stock = "cardstock-270"\n', "", "base.stock", ("missing", "add stock")),
    (
        'style = "shadow-box"',
        'style = "shadow_box"',
        "base.style",
        ("read 'shadow_box'", "tray, shadow-box", "nearest known: 'shadow-box'"),
    ),
    ("frame =", "fram =", "base.fram", ("unknown key", "nearest known: 'frame'")),
    ('["3 1/4", "4 1/2"]', "[]", "base.floor", ("read []", "at least 2")),
    ('["3 1/4", "4 1/2"]', '["3", "4", "5"]', "base.floor", ("read ['3', '4', '5']", "at most 2")),
    ('["3 1/4", "4 1/2"]', '"3 1/4"', "base.floor", ("read '3 1/4'", "a list")),
    ('"4 1/2"]', "true]", "base.floor[2]", ("read true", "is not a length", LENGTH)),
    ('"4 1/2"]', "-4]", "base.floor[2]", ("read -4", "out of range", LENGTH)),
    ('depth = "7/8"', "depth = nan", "base.depth", ("read nan", "not a finite length", LENGTH)),
    ('depth = "7/8"', "depth = -inf", "base.depth", ("read -inf", "not a finite length")),
    ('depth = "7/8"', "depth = 1e9", "base.depth", ("read 1000000000.0", "out of range", LENGTH)),
    ('depth = "7/8"', "depth = 0", "base.depth", ("read 0", "out of range", LENGTH)),
    ('depth = "7/8"', 'depth = "3,5"', "base.depth", ("read '3,5'", "write 3.5")),
    ('depth = "7/8"', 'depth = "3/0"', "base.depth", ("read '3/0'", "divides by zero")),
    ('depth = "7/8"', 'depth = "7/8 ft"', "base.depth", ("unknown unit 'ft'", "mm, cm, in and pt")),
    ('depth = "7/8"', 'depth = ""', "base.depth", ("read ''", "is empty")),
    ('depth = "7/8"', "depth = [1]", "base.depth", ("read [1]", "is not a length")),
    ('depth = "7/8"\n', "", "base.depth", ("missing", "add depth")),
    (
        'depth = "7/8"',
        'depth = "1 mm"',
        "base.depth",
        ("too low a wall", "3 calipers of cardstock-270", "make it deeper"),
    ),
    (
        'frame = "3/8"',
        'frame = "1 5/8"',
        "base.frame",
        ("wider than half the floor", "read 1 5/8 in (41.28 mm)", "allowed: below 1.617 in"),
    ),
    ('frame = "3/8"\n', "", "base.frame", ("missing", "the frame's width, a length", "add frame")),
    (
        'flap = "11/32"\n',
        "",
        "base.flap",
        ("missing", "the flap glued on the floor, a length", "add flap"),
    ),
    ('"level"', '"levl"', "base.inner_wall", ("read 'levl'", 'or "level"')),
    ('"level"', "-1", "base.inner_wall", ("read -1", 'or "level"')),
    (
        'tabs = "width"',
        'tabs = "widht"',
        "base.tabs",
        ("read 'widht'", "width, length", "nearest known: 'width'"),
    ),
    (
        "tab_setback = 0",
        "tab_setback = -1",
        "base.tab_setback",
        ("read -1", "from 0 mm up to 50 mm"),
    ),
    (
        "tab_setback = 0",
        'tab_setback = "42 mm"',
        "base.tab_setback",
        ("leaves nothing", "below half the smaller floor side"),
    ),
    ('grain = "length"', "grain = true", "base.grain", ("read true", "width, length")),
    (
        "tab_setback = 0",
        "oversize = 1",
        "base.oversize",
        ("unknown key", "read 1", "belongs to [lid]"),
    ),
    (
        "tab_setback = 0",
        "inside = [1, 2]",
        "base",
        ("floor and inside are given together", BASE_SIZES),
    ),
    (
        "tab_setback = 0",
        'slack = "1 mm"',
        "base",
        ("floor and slack are given together", BASE_SIZES),
    ),
    ('floor = ["3 1/4", "4 1/2"]\n', "", "base", ("its size is missing", BASE_SIZES, "add floor")),
    (
        'floor = ["3 1/4", "4 1/2"]',
        'floor = ["0.5 mm", "4"]',
        "base.floor",
        ("too small to fold", "3 calipers"),
    ),
    ("[lid]", "[[lid]]", "lid", ("read a list of 1 tables", "one table [lid]", "write [lid] once")),
    ("[lid]", "[lit]", "lit", ("unknown key", "nearest known: 'lid'")),
    ('oversize = "1/16"', "oversize = -40", "lid.oversize", ("read -40", "from -50 mm")),
    (
        'oversize = "1/16"',
        "oversize = [1]",
        "lid.oversize",
        ("read [1]", "one length or a list [width, length]"),
    ),
    ('oversize = "1/16"', "slack = 1", "lid.slack", ("unknown key", "belongs to [base]")),
    ('depth = "5/8"', 'depth = "0.5 mm"', "lid.depth", ("too low a wall", "patterned-160")),
    (
        'depth = "5/8"',
        'depth = "5/8"\nframe = 1',
        "lid.frame",
        ("belongs to a shadow-box only", "read 1"),
    ),
    ("[[content]]", "[content]", "content", ("read a table", "[[content]]", "double brackets")),
    (
        '"card-id1"',
        '"card-id11"',
        "content[1].item",
        ("read 'card-id11'", "nearest known: 'card-id1'"),
    ),
    ('item = "card-id1"\n', "", "content[1].item", ("missing", "add item")),
    ("count = 1", "count = 0", "content[1].count", ("read 0", "from 1 to 500")),
    ("count = 1", "count = 501", "content[1].count", ("read 501", "from 1 to 500")),
    ("count = 1", "count = true", "content[1].count", ("read true", "a whole number")),
    ("count = 1", "count = 1.5", "content[1].count", ("read 1.5", "a whole number")),
    (
        'lay = "flat"',
        'lay = "flatt"',
        "content[1].lay",
        ("read 'flatt'", "flat, edge, end, any", "nearest known: 'flat'"),
    ),
    ("count = 1", "cuont = 1", "content[1].cuont", ("unknown key", "nearest known: 'count'")),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), BROKEN, ids=lambda value: str(value)[:40])
def test_broken_input_gives_its_line(
    tmp_path: Path, old: str, new: str, key: str, words: tuple[str, ...]
) -> None:
    assert old in GOOD
    lines = lines_of(tmp_path, GOOD.replace(old, new, 1))
    found = [line for line in lines if line.startswith(f"{tmp_path / 'box.toml'}: {key}: ")]
    assert len(found) == 1, lines
    assert "\n" not in found[0]
    for word in words:
        assert word in found[0]
    assert len(lines) == 1 or key in LEAVES_ANOTHER_MISSING, lines


def test_a_key_that_is_misspelt_is_not_told_missing_too(tmp_path: Path) -> None:
    text = TRAY.replace("floor =", "flor =").replace("depth =", "dept =").replace("stock", "stok")
    lines = lines_of(tmp_path, text)
    assert len(lines) == 3 and all(": unknown key; " in line for line in lines)


def test_a_size_that_has_one_key_is_told_missing_once(tmp_path: Path) -> None:
    """A sleeve is sized by its ease alone: one fault, one line."""
    sleeve = '[sleeve]\nstyle = "sleeve"\nstock = "cover-80"\nalong = "length"\n'
    (line,) = lines_of(tmp_path, f"{TRAY}\n{sleeve}")
    assert ": sleeve.ease: missing; " in line
    # without any of the ways to give a tray its size there is one line as well
    (line,) = lines_of(tmp_path, "\n".join(row for row in TRAY.split("\n") if "floor" not in row))
    assert "its size is missing; allowed: exactly one of floor, inside, slack" in line
