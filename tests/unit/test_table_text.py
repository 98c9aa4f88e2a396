"""The measurement table's CSV says the same numbers as its Markdown, halves rounded alike."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.outputs.table_text import table_csv, table_markdown
from fitcheck.pattern.sheet import Sheet
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.table import PartTable, PieceRow, SlantRow, measurement_tables
from fitcheck.units import show_mm


def table(*lengths_mm: float) -> PartTable:
    pieces = tuple(PieceRow(f"piece {n}", mm, mm) for n, mm in enumerate(lengths_mm))
    sheet = Sheet(100.0, 120.0)
    return PartTable("base", "tray", "card", 0.3, sheet, sheet.sides_mm, "outside", (), pieces)


def test_every_32nd_of_an_inch_is_rounded_as_by_hand() -> None:
    """k/32 in = k x 0.79375 mm exactly: half of them end in a 5 at the fourth decimal."""
    exact = [Decimal("0.79375") * k for k in range(1, 385)]
    rows = list(csv.DictReader(io.StringIO(table_csv([table(*map(float, exact))]))))[1:]
    assert len(rows) == len(exact)
    for row, mm in zip(rows, exact, strict=True):
        assert Decimal(row["width_mm"]) == mm.quantize(Decimal("0.001"), ROUND_HALF_UP)
        inches = mm / Decimal("25.4")
        assert Decimal(row["width_in"]) == inches.quantize(Decimal("0.0001"), ROUND_HALF_UP)


def test_the_csv_and_the_table_never_part_by_more_than_their_digits() -> None:
    for k in range(1, 2000):
        mm = k * 0.0125  # halves of a hundredth and of a thousandth
        (_, row) = list(csv.DictReader(io.StringIO(table_csv([table(mm)]))))
        shown = Decimal(show_mm(mm).removesuffix(" mm"))
        assert Decimal(row["width_mm"]).quantize(Decimal("0.01"), ROUND_HALF_UP) == shown


def test_a_score_at_a_slant_is_in_both_by_its_two_ends() -> None:
    design = read_design(Path(__file__).resolve().parents[2] / "models" / "rope.toml")
    slant = SlantRow("front web / left web", (12.5, 0.0), (21.0, 8.25))
    one = replace(table(30.0), slants=(slant,))
    text = table_markdown(design, [one])
    (line,) = [line for line in text.splitlines() if "12.5 mm" in line]
    assert [cell.split(" mm")[0].strip() for cell in line.split("|")[1:5]] == [
        "12.5",
        "0",
        "21",
        "8",  # drawn at 8.25
    ]
    rows = [row for row in csv.DictReader(io.StringIO(table_csv([one]))) if "slant" in row["what"]]
    assert [(row["width_mm"], row["length_mm"]) for row in rows] == [
        ("12.500", "0.000"),
        ("21.000", "8.250"),
    ]
    assert "lanted" not in table_markdown(design, [table(30.0)])


def test_both_say_how_many_of_a_part_are_cut() -> None:
    """Four rows of three compartments take 4 - 1 strips across and 3 - 1 along; a tray is one.

    The columns that were there before stay where they were.
    """
    root = Path(__file__).resolve().parents[2]
    design = read_design(root / "models" / "ferry.toml")
    wanted = {"base": "1", "lid": "1", "dividers across": "3", "dividers along": "2"}
    tables = measurement_tables(sheet_job(design, Paper.A4, (), 1))
    rows = list(csv.DictReader(io.StringIO(table_csv(tables))))
    assert list(rows[0])[-2:] == ["face_up", "copies"]
    assert {(row["part"], row["copies"]) for row in rows} == set(wanted.items())
    lines = [line.split("|") for line in table_markdown(design, tables).splitlines()]
    heads = [[cell.strip() for cell in lines[k + 2]] for k in range(len(lines)) if _head(lines[k])]
    assert {cells[1]: cells[-2] for cells in heads} == wanted


def _head(cells: list[str]) -> bool:
    """Whether it heads the line of a part's sheet, how many last."""
    return len(cells) > 4 and cells[4].strip() == "sheet width" and "how many" in cells[-2]


def test_two_strips_of_one_ring_are_two() -> None:
    two = replace(table(30.0), copies=2)
    rows = list(csv.DictReader(io.StringIO(table_csv([two, table(30.0)]))))
    assert [row["copies"] for row in rows] == ["2", "2", "1", "1"]
