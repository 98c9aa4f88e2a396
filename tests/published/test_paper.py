"""Grammages and calipers of published paper standards, held against the shipped stocks."""

import math

import pytest

from fitcheck.stock.profile_files import read_stock
from fitcheck.units import Unit, parse_length
from fitcheck.workspace.paths import shipped_workspace
from tests.published.rows import Row

K10 = "US GPO JCP K10 (1999), index"
P20 = "US GPO JCP P20 (1999), folder and tag"
A91 = "US GPO JCP A91 (1999), smooth text"
CARD = "a tabulating-card stock's manufacturing specification"
POUNDS = "arithmetic: lb x 453.59237 / (500 x area), cover 20 x 26 in"
STOCKS = {
    path.stem: read_stock(path)
    for path in (shipped_workspace() / "calibration" / "stocks").glob("*.toml")
}


def half_width(name: str) -> float:
    """The tolerance that a stock's standard uncertainty stands for, as a rectangle (JCGM 100)."""
    return STOCKS[name].caliper_u_mm * math.sqrt(3)


def grammage(name: str) -> float:
    """Of a shipped stock, g/m2."""
    value = STOCKS[name].grammage_gsm
    assert value is not None
    return value


# source, stock, g/m2, decimals, caliper, decimals, tolerance, decimals
TABLE = [
    (K10, "index-90", 165, 0, 0.190, 3, 0.013, 3),
    (K10, "index-110", 200, 0, 0.230, 3, 0.013, 3),
    (K10, "index-140", 255, 0, 0.290, 3, 0.013, 3),
    (K10, "index-170", 305, 0, 0.350, 3, 0.020, 3),
    (P20, "tag-165", 270, 0, 0.35, 2, 0.025, 3),
    (A91, "text-80", 120, 0, 0.160, 3, 0.008, 3),
    (CARD, "tabulating-99", 161.12, 1, 0.1778, 4, 0.0102, 4),
]
ROWS: list[Row] = [
    row
    for source, name, gsm, gsm_digits, caliper, digits, tolerance, tolerance_digits in TABLE
    for row in (
        Row(source, f"{name} grammage, g/m2", gsm, grammage(name), gsm_digits),
        Row(source, f"{name} caliper, mm", caliper, STOCKS[name].caliper_mm, digits),
        Row(source, f"{name} tolerance, mm", tolerance, half_width(name), tolerance_digits),
    )
]
ROWS += [
    # The shipped grammage is given in whole g/m2, so the tolerance is half of one.
    Row(POUNDS, "65 lb cover, g/m2", 175.767, grammage("cover-65"), 0),
    Row(POUNDS, "80 lb cover, g/m2", 216.329, grammage("cover-80"), 0),
    Row(POUNDS, "100 lb cover, g/m2", 270.411, grammage("cover-100"), 0),
    Row(
        "trade definition of the paper point", "1 pt, mm", 0.0254, parse_length("1 pt", Unit.IN), 4
    ),
    Row(
        "trade definition of the paper point",
        "7 pt card, mm",
        0.1778,
        parse_length("7pt", Unit.MM),
        4,
    ),
]
_STRAIN = STOCKS["tabulating-99"].hygroexpansion
assert _STRAIN is not None
ROWS += [
    Row(CARD, "along the grain, 20 to 75 % humidity, %", 0.25, _STRAIN.along * 55 * 100, 2),
    Row(CARD, "across the grain, 20 to 75 % humidity, %", 0.70, _STRAIN.across * 55 * 100, 2),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_published_value(row: Row) -> None:
    assert row.agrees, str(row)


def test_110_lb_index_is_not_110_lb_cover() -> None:
    """Arithmetic: 110 lb are 198.9 g/m2 as index (25.5 x 30.5 in) and 297.5 as cover (20 x 26)."""
    grams = 110 * 453.59237 / 500 / 0.00064516
    index, cover = grams / (25.5 * 30.5), grams / (20 * 26)
    ours = grammage("index-110")
    assert ours == pytest.approx(index, rel=0.10), "K10 allows 10 % in basis weight"
    assert ours < 0.7 * cover


def test_printers_charts_lie_within_the_doubt_of_our_covers() -> None:
    """Two printers' charts: 65 lb 8 pt, 80 lb 8 to 9.5 pt, 100 lb 10 to 11 pt."""
    charts = {"cover-65": (8, 8), "cover-80": (8, 9.5), "cover-100": (10, 11)}
    for name, points in charts.items():
        for point in points:
            off = abs(parse_length(f"{point} pt", Unit.MM) - STOCKS[name].caliper_mm)
            assert off <= half_width(name), name
        assert half_width(name) == pytest.approx(0.20 * STOCKS[name].caliper_mm, rel=0.03)
