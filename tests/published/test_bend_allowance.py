"""Bend allowances of handbooks, held against the crease that folds our panels.

Sheet metal and paper share the formula; the paper case is the limit of no inside radius.
"""

import math

import pytest

from fitcheck.stock.crease import Crease
from tests.published.rows import Row

RIGHT = math.pi / 2
WORKBENCH = "an open sheet-metal workbench's worked coupon"
FAA = "FAA-H-8083-31, chapter 4, U-channel"
NAVY = "US Navy training text, empirical rule"
MACHINERY = "Machinery's Handbook, 90 degree bends (value from memory)"
DIN = "DIN 6935 (value from memory)"
PAPER = "arithmetic, bend of no radius"

COUPON = Crease(radius_mm=1.64, neutral=0.38, caliper_mm=2.0)
CHANNEL = Crease(radius_mm=0.16, neutral=0.5, caliper_mm=0.040)  # inches: the formula has no unit
DIN_3 = Crease(radius_mm=3.0, neutral=0.65 / 2, caliper_mm=3.0)  # K is half of DIN's k
SHEET = Crease(radius_mm=0.0, neutral=0.5, caliper_mm=0.25)


def thickness_part(neutral: float, angle: float = RIGHT) -> float:
    """Flat length per unit of thickness, with no radius."""
    return Crease(radius_mm=0.0, neutral=neutral, caliper_mm=1.0).flat_length(angle)


def radius_part(angle: float = RIGHT) -> float:
    """Flat length per unit of radius."""
    return Crease(radius_mm=1.0, neutral=0.0, caliper_mm=1.0).flat_length(angle)


ROWS: list[Row] = [
    Row(
        WORKBENCH, "allowance, T 2, R 1.64, K 0.38, 90 deg", 3.769911, COUPON.flat_length(RIGHT), 6
    ),
    Row(
        WORKBENCH,
        "bend line from the cut edge, flat 48.12",
        50.0,
        48.12 + COUPON.flat_length(RIGHT) / 2,
        0,
    ),
    Row(
        WORKBENCH,
        "outside flange, flat 48.12",
        51.76,
        48.12 + COUPON.flat_length(RIGHT) / 2 + COUPON.growth(RIGHT),
        2,
    ),
    Row(FAA, "setback, in", 0.2, CHANNEL.growth(RIGHT) + CHANNEL.flat_length(RIGHT) / 2, 1),
    Row(
        FAA,
        "flat of a 1 in flange, in",
        0.8,
        1.00 - CHANNEL.growth(RIGHT) - CHANNEL.flat_length(RIGHT) / 2,
        1,
    ),
    Row(
        FAA,
        "flat of the 2 in web, in",
        1.6,
        2.00 - 2 * CHANNEL.growth(RIGHT) - CHANNEL.flat_length(RIGHT),
        1,
    ),
    Row(
        "arithmetic, 2 pi (R + T/2) / 4", "FAA channel, in", 0.282743, CHANNEL.flat_length(RIGHT), 6
    ),
    Row(
        NAVY,
        "per degree and thickness, K 0.44691",
        0.0078,
        thickness_part(0.44691, math.radians(1)),
        4,
    ),
    Row(NAVY, "per degree and radius", 0.017453, radius_part(math.radians(1)), 6),
    Row(MACHINERY, "per thickness, soft (K 0.350)", 0.55, thickness_part(0.350), 2),
    Row(MACHINERY, "per thickness, half-hard (K 0.407)", 0.64, thickness_part(0.407), 2),
    Row(MACHINERY, "per thickness, hard (K 0.452)", 0.71, thickness_part(0.452), 2),
    Row(MACHINERY, "per radius", 1.57, radius_part(), 2),
    Row(DIN, "arc, s = r = 3 mm, 90 deg, mm", 6.243915, DIN_3.flat_length(RIGHT), 6),
    Row(DIN, "correction v, s = r = 3 mm, mm", -5.756085, -2 * DIN_3.growth(RIGHT), 6),
    Row(DIN, "flat length of legs 50 + 50, mm", 94.243915, 100 - 2 * DIN_3.growth(RIGHT), 6),
    Row(PAPER, "allowance, T 0.25, K 0.5, mm", 0.196350, SHEET.flat_length(RIGHT), 6),
    Row(PAPER, "deduction 2T - BA, T 0.25, K 0.5, mm", 0.303650, 2 * SHEET.growth(RIGHT), 6),
    Row(PAPER, "allowance, T 0.25, K 0.33, mm", 0.129591, 0.25 * thickness_part(0.33), 6),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_handbooks_value(row: Row) -> None:
    assert row.agrees, str(row)


def test_the_angle_is_the_one_turned_through() -> None:
    """DIN 6935 and handbooks turn through 120 where 60 degrees are left: a trap of 2 to 1."""
    turned, left = SHEET.flat_length(math.radians(120)), SHEET.flat_length(math.radians(60))
    assert turned == pytest.approx(2 * left)


def test_dins_own_factor_taken_as_k_is_wrong() -> None:
    """K is half of DIN's k; taken whole the arc of its example comes out as 7.78, not 6.24 mm."""
    whole = Crease(radius_mm=3.0, neutral=0.65, caliper_mm=3.0).flat_length(RIGHT)
    assert whole - DIN_3.flat_length(RIGHT) > 1.5
