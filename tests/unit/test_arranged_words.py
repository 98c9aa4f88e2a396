"""How contents are arranged is told in the words of who packs them, counted here by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import Check, check
from fitcheck.kinds.poses import Pose
from fitcheck.outputs.arranged_words import arranged_words
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.report.figures import figures_of
from fitcheck.packing.placing import Placement
from fitcheck.sheet.job import sheet_job
from fitcheck.workspace.paths import search_roots

ITEMS = """
[sweet]
kind = "block"
size = [30, 30, 18]
source = "invented"
[bar]
kind = "block"
size = [80, 55, 20]
source = "invented"
"""
BOX = """
format = 1
title = "Sweets"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = [{floor}]
depth = {depth}
[lid]
style = "tray"
stock = "cardstock-270"
oversize = 2
depth = 25
"""
TABLE = '[[content]]\nitem = "{item}"\ncount = {count}\nlay = "flat"\n'
PIECE = Pose("flat", 20.0, 30.0, 10.0)


def checked(folder: Path, floor: str, depth: int, *tables: tuple[str, int]) -> Check:
    models = folder / "models"
    models.mkdir(exist_ok=True)
    (models / "items.toml").write_text(ITEMS)
    told = "".join(TABLE.format(item=item, count=count) for item, count in tables)
    (models / "sweets.toml").write_text(BOX.format(floor=floor, depth=depth) + told)
    return check(read_design(models / "sweets.toml", roots=[folder, *search_roots()]))


def arranged(found: Check) -> list[str]:
    lines = check_text(found).splitlines()
    return [line.split("arranged")[1].strip() for line in lines if "  arranged " in line]


def at(*places: tuple[float, float, float]) -> list[Placement]:
    return [Placement("piece", PIECE, *place) for place in places]


def test_a_grid_is_counted(tmp_path: Path) -> None:
    """Six of 30 x 30 mm on 65 x 95 mm: two side by side, three in a row."""
    found = checked(tmp_path, "65, 95", 25, ("sweet", 6))
    assert arranged(found) == ["2 x 3 in a grid, width x length"]
    (row,) = figures_of(found).contents
    assert row.lies.endswith("2 x 3 in a grid, width x length")


def test_two_tables_of_one_name_tell_their_layers(tmp_path: Path) -> None:
    """Twelve on the floor, 3 x 4 of 30 mm on 95 x 125 mm, and twelve on them."""
    found = checked(tmp_path, "95, 125", 45, ("sweet", 12), ("sweet", 12))
    told = "all 24: in 2 layers of 12, each 3 x 4 in a grid, width x length"
    assert arranged(found) == [told, told]
    job = sheet_job(found.design, Paper.A4, (), 1)
    assert job.together[0].text == "Put the contents in: 24 x sweet, flat."


def test_one_of_two_tables_lies_on_the_other(tmp_path: Path) -> None:
    found = checked(tmp_path, "85, 60", 45, ("bar", 1), ("bar", 1))
    assert arranged(found) == ["one on the other"] * 2


def test_a_single_piece_has_no_arrangement(tmp_path: Path) -> None:
    assert arranged(checked(tmp_path, "85, 60", 25, ("bar", 1))) == []


@pytest.mark.parametrize(
    ("places", "words"),
    [
        ([(10, 15, 0), (30, 15, 0), (50, 15, 0)], "3 in a row along the width"),
        ([(10, 15, 0), (10, 45, 0)], "2 in a row along the length"),
        ([(10, 15, 0), (10, 15, 10), (10, 15, 20)], "3 on each other"),
        (
            [(10, 15, 0), (30.4, 15.2, 0), (10.1, 46, 0), (30, 45, 0)],
            "2 x 2 in a grid, width x length",
        ),
        ([(10, 15, 0), (30, 20, 0), (10, 45, 0), (30, 50, 0)], "2 x 2 in a grid, width x length"),
        ([(10, 15, 0), (30, 30, 0), (10, 45, 0)], "side by side, not in rows"),
        (
            [(10, 15, 0), (30, 15, 0), (20, 15, 10)],
            "in 2 layers, from below: 2, 2 in a row along the width; 1",
        ),
    ],
)
def test_words_for_places(places: list[tuple[float, float, float]], words: str) -> None:
    """Pieces of 20 x 30 mm; a quarter of a side is still one row."""
    assert arranged_words(at(*places), len(places)) == words
