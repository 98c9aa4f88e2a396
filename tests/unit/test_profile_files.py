"""Stock, tool and item files are read strictly, and each mistake in them gives its line."""

from pathlib import Path

import pytest

from fitcheck.design.items import known_items
from fitcheck.errors import InputError
from fitcheck.stock.profile_files import read_stock
from fitcheck.stock.tools import Tools
from fitcheck.stock.tools_files import read_tools
from fitcheck.workspace.paths import shipped_workspace

ROOTS = (shipped_workspace(),)
STOCK = 'format = 1\nkind = "card"\ncaliper_mm = 0.3\ncaliper_u_mm = 0.01\nsource = "here"\n'
TOOLS = """format = 1
grid = "1/8 in"
score_u_mm = {on_grid = 0.1, off_grid = 0.25}
fence_u_mm = 0.05
cut_u_mm = 0.2
joint_mm = 0.1
joint_u_mm = 0.03
source = "here"
"""
ITEM = '[thing]\nkind = "card"\nsize = [80, 50, 1]\nsource = "here"\n'


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            "caliper_mm = 0.3",
            "caliper_mm = 0",
            "caliper_mm: out of range; read 0; allowed: greater than or equal to 0.01",
        ),
        (
            "caliper_mm = 0.3",
            "caliper_mm = nan",
            "caliper_mm: wrong type; read nan; allowed: a finite number",
        ),
        (
            "caliper_mm = 0.3",
            'caliper_mm = "0.3"',
            "caliper_mm: wrong type; read '0.3'; allowed: a number",
        ),
        (
            "caliper_mm = 0.3",
            "caliper_mm = true",
            "caliper_mm: wrong type; read true; allowed: a number",
        ),
        (
            "caliper_u_mm = 0.01",
            "caliper_u_mm = 0.2",
            "caliper_u_mm is 0.2; allowed: up to half the caliper",
        ),
        ("caliper_u_mm = 0.01\n", "", "caliper_u_mm: missing"),
        ('source = "here"\n', "", "neither source nor records is given"),
        ('source = "here"\n', "records = []", "records: wrong list length; read []"),
        ("source", "crease_allowance_mm = 0.2\nsource", "stand together or not at all"),
        (
            "source",
            "crease_allowance_mm = 0.7\ncrease_allowance_u_mm = 0.1\nsource",
            "0 to 2 calipers, here 0 to 0.600 mm",
        ),
        ("caliper_mm", "calliper_mm", "calliper_mm: unknown key; read 0.3"),
        (
            "source",
            "hygroexpansion = {along = 0.1, across = 0.0001}\nsource",
            "hygroexpansion.along: out of range; read 0.1",
        ),
    ],
)
def test_a_broken_stock_gives_its_line(tmp_path: Path, old: str, new: str, words: str) -> None:
    path = tmp_path / "paper.toml"
    path.write_text(STOCK)
    assert read_stock(path).name == "paper"
    path.write_text(STOCK.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        read_stock(path)
    assert any(words in line and line.startswith(f"{path}: ") for line in caught.value.lines)


def test_a_measured_allowance_is_calibrated(tmp_path: Path) -> None:
    path = tmp_path / "paper.toml"
    path.write_text(STOCK + "crease_allowance_mm = 0.25\ncrease_allowance_u_mm = 0.02\n")
    stock = read_stock(path)
    assert (stock.calibrated, stock.crease_allowance_mm, stock.crease_allowance_u_mm) == (
        True,
        0.25,
        0.02,
    )


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"1/8 in"', '"0 in"', "grid: is 0.00 mm (0 in), out of range; read '0 in'"),
        ("on_grid", "ongrid", "score_u_mm.ongrid: unknown key"),
        ("fence_u_mm = 0.05", "fence_u_mm = -0.05", "fence_u_mm: out of range; read -0.05"),
        ('source = "here"\n', "", "neither source nor records is given"),
    ],
)
def test_broken_tools_give_their_line(tmp_path: Path, old: str, new: str, words: str) -> None:
    path = tmp_path / "board.toml"
    path.write_text(TOOLS)
    assert read_tools(path).grid_mm == pytest.approx(3.175)
    path.write_text(TOOLS.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        read_tools(path)
    assert any(words in line for line in caught.value.lines)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"card"', '"crad"', "thing.kind: not a known choice; read 'crad'"),
        ("[80, 50, 1]", "[80, 50]", "thing: size has 2 members; allowed: 3 for a card"),
        ("[80, 50, 1]", "[80, 50, -1]", "thing.size[3]: is -1.00 mm"),
        ("source", "size_u = [1, 1]\nsource", "size_u has 2 members"),
        ("source", "range = [[81, 82], [49, 51], [1, 1]]\nsource", "does not hold the size 80 mm"),
        ("source", "corner_radius = 26\nsource", "corner_radius is 26 mm on a card"),
        ("source", 'file = "x.stl"\nsource', "file is given on a card"),
        (
            "source",
            'hazards = ["coins"]\nsource',
            "thing.hazards[1]: not a known choice; read 'coins'",
        ),
        ('source = "here"\n', "", "thing.source: missing"),
        ("[thing]", "[[thing]]", "thing: wrong type; read a list of 1 tables"),
        ('"card"', '"mesh"', "file is missing"),
        ('"card"', '"mesh"\nfile = "x.stl"', "thing.file: no such mesh file; read 'x.stl'"),
    ],
)
def test_a_broken_item_gives_its_line(tmp_path: Path, old: str, new: str, words: str) -> None:
    path = tmp_path / "models" / "items.toml"
    path.parent.mkdir()
    path.write_text(ITEM)
    items, lines = known_items((tmp_path,)).sound()
    assert items["thing"].size_u_mm == (0, 0, 0) and lines == ()
    path.write_text(ITEM.replace(old, new, 1))
    items, lines = known_items((tmp_path,)).sound()
    assert any(words in line for line in lines), lines


def test_an_items_unit_and_range_are_used(tmp_path: Path) -> None:
    path = tmp_path / "models" / "items.toml"
    path.parent.mkdir()
    path.write_text(
        ITEM.replace("source", 'unit = "cm"\nrange = [[79, 81], [50, 50], [1, 1]]\nsource')
    )
    item = known_items((tmp_path, *ROOTS))["thing"]
    assert item.size_mm == (800, 500, 10)
    assert item.size_u_mm == pytest.approx((20 / 12**0.5, 0, 0))


def test_a_mesh_is_found_beside_its_items(tmp_path: Path) -> None:
    path = tmp_path / "models" / "items.toml"
    path.parent.mkdir()
    (path.parent / "fish.stl").touch()
    path.write_text(ITEM.replace('"card"', '"mesh"\nfile = "fish.stl"'))
    item = known_items((tmp_path,))["thing"]
    assert item.mesh_path == path.parent / "fish.stl"
    assert item.size_mm == (80, 50, 1)


@pytest.mark.parametrize(
    ("grid_mm", "unit"),
    [(25.4 / 8, "in"), (25.4 * 3 / 16, "in"), (25.4 / 64, "in"), (25.4 / 10, "in"), (5.0, "mm"),
     (2.5, "mm"), (None, None)],
)  # fmt: skip
def test_a_board_is_in_the_unit_that_its_grooves_are_whole_parts_of(
    grid_mm: float | None, unit: str | None
) -> None:
    board = Tools("board", grid_mm, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
    assert board.grid_unit == unit
