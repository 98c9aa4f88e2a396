"""Published sizes of cards, coins, cells, paper and envelopes, held against the shipped items."""

import pytest

from fitcheck.design.items import known_items
from fitcheck.workspace.paths import shipped_workspace
from tests.published.rows import Row

ITEMS = known_items((shipped_workspace(),)).sound()[0]
ID = "ISO/IEC 7810"
ID_RANGE = "ISO/IEC 7810, clause 5 (value from memory)"
TRADE_CARD = "trade size of playing cards, no standard"
MINT = "US Mint, coin specifications"
EURO = "Regulation (EC) 975/98, Annex"
ROLL = "arithmetic on the US Mint's thickness"
CELL = "IEC 60086-2 in Linden, Handbook of Batteries, table 4.9a"
A_SIZE = "ISO 216"
C_SIZE = "ISO 269"
TRADE_ENVELOPE = "US trade size of envelopes, no standard"
SIDES = ("width", "length", "thickness")
ROUND = ("diameter", "height")


def sized(
    source: str, name: str, sizes: tuple[float, ...], digits: int, words: tuple[str, ...] = SIDES
) -> list[Row]:
    """A row for each size of an item that the source gives."""
    ours = ITEMS[name].size_mm
    return [
        Row(source, f"{name} {word}, mm", says, we_say, digits)
        for word, says, we_say in zip(words, sizes, ours, strict=False)
    ]


def ranged(
    source: str, name: str, index: int, limits: tuple[float, float], digits: int
) -> list[Row]:
    """Two rows for the least and the largest of one size."""
    ours = ITEMS[name].size_range_mm
    assert ours is not None
    return [
        Row(source, f"{name} {word} of size {index + 1}, mm", says, we_say, digits)
        for word, says, we_say in zip(("least", "largest"), limits, ours[index], strict=True)
    ]


COINS_US = {
    "cent": (19.05, 1.52),
    "nickel": (21.21, 1.95),
    "dime": (17.91, 1.35),
    "quarter": (24.26, 1.75),
    "half-dollar": (30.61, 2.15),
    "dollar": (26.49, 2.00),
}
COINS_EURO = {
    "1c": (16.25, 1.67),
    "2c": (18.75, 1.67),
    "5c": (21.25, 1.67),
    "10c": (19.75, 1.93),
    "20c": (22.25, 2.14),
    "50c": (24.25, 2.38),
    "1": (23.25, 2.33),
    "2": (25.75, 2.20),
}
MASSES_US = {
    "cent": 2.500,
    "nickel": 5.000,
    "dime": 2.268,
    "quarter": 5.670,
    "half-dollar": 11.340,
    "dollar": 8.1,
}
MASSES_EURO = {
    "1c": 2.30,
    "2c": 3.06,
    "5c": 3.92,
    "10c": 4.10,
    "20c": 5.74,
    "50c": 7.80,
    "1": 7.50,
    "2": 8.50,
}
ROLLED = {"dime": 40, "nickel": 40, "quarter": 40, "cent": 50}
"""Coins in a roll."""
ENVELOPES = {"a2": (111.125, 146.05), "a6": (120.65, 165.1), "a7": (133.35, 184.15)}
# The largest card that an envelope encloses: pages disagree on the A2's width, 4.125 or 4.25 in.
NOTES = {"a2": (107.95, 139.7), "a6": (114.3, 158.75), "a7": (127.0, 177.8)}


def weighs(source: str, name: str, grams: float, digits: int) -> Row:
    """What one weighs."""
    ours = ITEMS[name].mass_g
    assert ours is not None, name
    return Row(source, f"{name} mass, g", grams, ours, digits)


ROWS: list[Row] = [
    *sized(ID, "card-id1", (85.60, 53.98, 0.76), 2),
    *ranged(ID_RANGE, "card-id1", 0, (85.47, 85.72), 2),
    *ranged(ID_RANGE, "card-id1", 1, (53.92, 54.03), 2),
    *ranged(ID, "card-id1", 2, (0.68, 0.84), 2),
    Row(
        "ISO/IEC 7810 and 7813",
        "card-id1 corner radius, mm",
        3.18,
        ITEMS["card-id1"].corner_radius_mm,
        2,
    ),
    *sized(ID, "card-id2", (105, 74), 0),
    *sized(ID, "card-id3", (125, 88), 0),
    *sized(ID, "card-id000", (25, 15), 0),
    *sized(TRADE_CARD, "card-poker", (63.5, 88.9), 1),
    *sized(TRADE_CARD, "card-bridge", (57.15, 88.9), 2),
    *(
        row
        for name, size in COINS_US.items()
        for row in sized(MINT, f"coin-us-{name}", size, 2, ROUND)
    ),
    *(
        row
        for name, size in COINS_EURO.items()
        for row in sized(EURO, f"coin-euro-{name}", size, 2, ROUND)
    ),
    *sized(ROLL, "roll-us-dime", (17.91, 54.0), 1, ROUND)[1:],
    *sized(ROLL, "roll-us-nickel", (21.21, 78.0), 1, ROUND)[1:],
    *sized(ROLL, "roll-us-quarter", (24.26, 70.0), 1, ROUND)[1:],
    *sized(ROLL, "roll-us-cent", (19.05, 76.0), 1, ROUND)[1:],
    *(weighs(MINT, f"coin-us-{name}", grams, 3) for name, grams in MASSES_US.items()),
    *(weighs(EURO, f"coin-euro-{name}", grams, 2) for name, grams in MASSES_EURO.items()),
    *(
        weighs("arithmetic on the US Mint's mass", f"roll-us-{name}", count * MASSES_US[name], 2)
        for name, count in ROLLED.items()
    ),
    *ranged(CELL, "cell-aa", 0, (13.5, 14.5), 1),
    *ranged(CELL, "cell-aa", 1, (49.2, 50.5), 1),
    *ranged(CELL, "cell-aaa", 0, (9.5, 10.5), 1),
    *ranged(CELL, "cell-aaa", 1, (43.3, 44.5), 1),
    *ranged("IEC 60086 code rule (least: value from memory)", "cell-cr2032", 0, (19.7, 20.0), 1),
    *ranged("IEC 60086 code rule (least: value from memory)", "cell-cr2032", 1, (2.9, 3.2), 1),
    *sized(A_SIZE, "note-iso-a6", (105, 148), 0),
    *sized(A_SIZE, "note-iso-a7", (74, 105), 0),
    *ranged("ISO 216, 1.5 mm up to 150 mm", "note-iso-a6", 0, (103.5, 106.5), 1),
    *ranged("ISO 216, 1.5 mm up to 150 mm", "note-iso-a6", 1, (146.5, 149.5), 1),
    *ranged("ISO 216, 1.5 mm up to 150 mm", "note-iso-a7", 0, (72.5, 75.5), 1),
    *sized(C_SIZE, "envelope-c6", (114, 162), 0),
    *sized(C_SIZE, "envelope-c7", (81, 114), 0),
    *sized(C_SIZE, "envelope-dl", (110, 220), 0),
    *(
        row
        for name, size in ENVELOPES.items()
        for row in sized(TRADE_ENVELOPE, f"envelope-{name}", size, 3)
    ),
    *(
        row
        for name, size in NOTES.items()
        for row in sized(TRADE_ENVELOPE, f"note-{name}", size, 2)
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_published_size(row: Row) -> None:
    assert row.agrees, str(row)


def test_a_size_lies_within_its_published_range() -> None:
    """Linden's table gives least and largest only: our size is their middle."""
    for name in ("cell-aa", "cell-aaa"):
        item = ITEMS[name]
        assert item.size_range_mm is not None
        middles = [sum(limits) / 2 for limits in item.size_range_mm]
        assert list(item.size_mm) == pytest.approx(middles)
