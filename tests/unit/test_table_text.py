"""The measurement table's CSV says the same numbers as its Markdown, halves rounded alike."""

from __future__ import annotations

import csv
import io
from decimal import ROUND_HALF_UP, Decimal

from fitcheck.outputs.table_text import table_csv
from fitcheck.sheet.table import PartTable, PieceRow
from fitcheck.units import show_mm


def table(*lengths_mm: float) -> PartTable:
    pieces = tuple(PieceRow(f"piece {n}", mm, mm) for n, mm in enumerate(lengths_mm))
    return PartTable("base", "tray", "card", 0.3, (100.0, 120.0), (), pieces)


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
