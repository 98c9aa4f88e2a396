"""No text that we write into a CSV is a formula to a spreadsheet, and each is read back as it was.

The signs are those of OWASP, "CSV Injection": a cell is taken for a formula when it begins with
= + - or @, with a tab or a carriage return (from memory; the full-width signs as well).
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.learn.csv_rows import as_recorded, parse_sheet, write_sheet
from fitcheck.learn.csv_table import HEADER
from fitcheck.learn.paper_coupon import empty_sheet
from fitcheck.outputs.table_text import table_csv
from fitcheck.pattern.sheet import Sheet
from fitcheck.sheet.table import PartTable
from fitcheck.workspace.spreadsheet import csv_rows, csv_text

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
NASTY = [
    "=cmd|' /C calc'!A0",
    "+1+1",
    "-2+3",
    "@SUM(A1:A9)",
    "\t=1+1",
    "\r=1+1",
    "  =1+1",
    "'=1+1",
    "''@x",
    "'",
    "''",
    "'tis plain",
    "-",
    "- 0.3 mm off",
    "\uff1d1+1",
    'a "quoted", =1',
    "two\nlines",
    "",
]


def is_number(cell: str) -> bool:
    try:
        float(cell.replace(",", "."))
    except ValueError:
        return False
    return True


def cells_of(text: str) -> list[list[str]]:
    """By the library alone, as any other program reads the file."""
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize("text", NASTY)
def test_known_attacks_are_texts_in_the_file_and_come_back(text: str) -> None:
    written = csv_text([["plain", text]])
    (cell,) = (row[1] for row in cells_of(written))
    assert not cell.lstrip(" ").startswith(STARTS)
    assert list(csv_rows(written)) == [["plain", text]]


SIGNS = st.sampled_from("=+-@'\t\r\n ,;\"09.aé\uff1d\u00a0")
TEXTS = st.text(SIGNS, max_size=8) | st.text(max_size=8).filter(lambda t: "\x00" not in t)


@given(st.lists(st.lists(TEXTS, min_size=2, max_size=4), min_size=1, max_size=4))
def test_every_text_comes_back_and_none_is_a_formula(rows: list[list[str]]) -> None:
    written = csv_text(rows)
    assert list(csv_rows(written)) == rows
    for cell in (cell for row in cells_of(written) for cell in row):
        assert is_number(cell) or not re.match(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20]", cell)


@pytest.mark.parametrize("number", ["-0.3", "+0.25", "-1.5e-05", "-0,3", "12", ".5", "-7"])
def test_numbers_stay_numbers(number: str) -> None:
    assert cells_of(csv_text([[number]])) == [[number]]


def test_a_record_keeps_texts_to_the_letter() -> None:
    head = ",".join(HEADER)
    row = "2026-11-20,{by},caliper,0.01,stack,,10,3.31,,,{note}"
    (reading,) = parse_sheet(f"{head}\n{row.format(by='kh', note='n')}\n", "r.csv").readings
    texts = [("=HYPERLINK(0)", "+1"), ("'=x", "\t@x"), ("-kh", "two\r\nlines"), ("a", "\ra")]
    readings = [replace(reading, by=by, note=note) for by, note in texts]
    text = write_sheet(readings)
    assert parse_sheet(text, "r.csv").readings == as_recorded(readings, "r.csv")
    assert write_sheet(parse_sheet(text, "r.csv").readings) == text


def test_every_csv_that_is_written_is_defused() -> None:
    sheet = Sheet(10.0, 20.0)
    table = PartTable("=part", "tray", "@stock", 0.3, sheet, sheet.sides_mm, "outside", (), ())
    (row,) = cells_of(table_csv([table]))[1:]
    assert row[:3] == ["'=part", "tray", "'@stock"] and "10.000" in row
    empty = empty_sheet((dict.fromkeys(HEADER, "") | {"note": "=1+1", "nominal_mm": "-0.3"},))
    cells = dict(zip(HEADER, cells_of(empty)[1], strict=True))
    assert cells["note"] == "'=1+1" and cells["nominal_mm"] == "-0.3"
