"""Lengths are read as the bench writes them and shown so that they read back."""

import math
import re
import sys
import unicodedata
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.units import (
    MM_PER,
    Unit,
    parse_length,
    show_hands,
    show_inches,
    show_length,
    show_mm,
    show_number,
)

INCH = 25.4


@pytest.mark.parametrize(
    ("value", "unit", "mm"),
    [
        ("3 5/8", Unit.IN, 3.625 * INCH),
        ("3-5/8 in", Unit.MM, 3.625 * INCH),
        ("3.625in", Unit.MM, 3.625 * INCH),
        ('3 5/8"', Unit.MM, 3.625 * INCH),
        ("3 5/8\u2033", Unit.CM, 3.625 * INCH),
        ("5/8", Unit.IN, 0.625 * INCH),
        ("-1/16", Unit.IN, -0.0625 * INCH),
        ("-1 1/16", Unit.IN, -1.0625 * INCH),
        ("92 mm", Unit.IN, 92.0),
        ("9.2 cm", Unit.IN, 92.0),
        ("12pt", Unit.IN, 12 * 0.0254),
        ("  7 MM ", Unit.IN, 7.0),
        (".5", Unit.CM, 5.0),
        (2, Unit.IN, 2 * INCH),
        (9.2, Unit.CM, 92.0),
        ("2 inches", Unit.MM, 2 * INCH),
        ("0", Unit.MM, 0.0),
    ],
)
def test_a_length_is_read(value: str | float, unit: Unit, mm: float) -> None:
    assert parse_length(value, unit) == pytest.approx(mm, rel=1e-14)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("3/0", "divides by zero"),
        ("1 5/", "is not a length"),
        ("", "is empty"),
        ("   ", "is empty"),
        ("3,5", "write 3.5"),
        ("3,5 mm", "write 3.5 mm"),
        ("3 furlong", "unknown unit 'furlong'"),
        ("in", "is not a length"),
        ("3 4", "is not a length"),
        ("1.5 5/8", "is not a length"),
        ("5/8/2", "is not a length"),
        ("nan", "is not a length"),
        ("1e999", "not a finite"),
        (math.nan, "not a finite"),
        (math.inf, "not a finite"),
        (10**400, "not a finite"),
        (True, "is not a length"),
        (False, "is not a length"),
        (None, "is not a length"),
        ([1], "is not a length"),
        ("\u0663", "is not a length"),
    ],
)
def test_what_is_no_length_says_what_to_write(value: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        parse_length(value, Unit.IN)  # type: ignore[arg-type]


VULGAR = [
    sign
    for sign in map(chr, range(sys.maxunicode + 1))
    if unicodedata.name(sign, "").startswith("VULGAR FRACTION")
]
"""Every fraction that Unicode has as one sign, with its value in the same table."""


@pytest.mark.parametrize("sign", VULGAR)
def test_a_fraction_of_one_sign_is_read(sign: str) -> None:
    """The values are those of the Unicode Character Database."""
    part = unicodedata.numeric(sign)
    for text in (f"2{sign}", f"2 {sign}", f"2-{sign}in", f'2{sign}"'):
        assert parse_length(text, Unit.IN) == pytest.approx((2 + part) * INCH, rel=1e-12), text
    assert parse_length(f"-{sign} cm", Unit.IN) == pytest.approx(-10 * part, rel=1e-12)


def test_a_fraction_slash_is_a_slash() -> None:
    assert parse_length("2 3\u20444", Unit.IN) == 2.75 * INCH
    assert parse_length("\u215f8", Unit.IN) == INCH / 8  # FRACTION NUMERATOR ONE


@pytest.mark.parametrize("text", ["\u00bd5", "1/2\u00bd", "\u00bd\u00bd", "1.5\u00bd", "\u00bd/2"])
def test_what_stands_beside_a_fraction_of_one_sign_is_not_taken_into_it(text: str) -> None:
    with pytest.raises(ValueError, match="is not a length"):
        parse_length(text, Unit.IN)


lengths = st.floats(min_value=-2000, max_value=2000)


@given(lengths)
def test_shown_mm_read_back_to_the_digits_shown(mm: float) -> None:
    assert parse_length(show_mm(mm), Unit.IN) == pytest.approx(mm, abs=0.005 + 1e-9)


@given(lengths)
def test_shown_inches_read_back_to_a_twentieth_mm(mm: float) -> None:
    assert parse_length(show_inches(mm), Unit.MM) == pytest.approx(mm, abs=0.05 + 1e-9)


@given(st.integers(0, 80), st.integers(0, 31))
def test_thirty_seconds_come_back_as_the_same_fraction(whole: int, over: int) -> None:
    mm = (whole + over / 32) * INCH
    assert parse_length(show_inches(mm), Unit.IN) == pytest.approx(mm, abs=1e-9)
    assert "." not in show_inches(mm)


def test_a_fraction_is_shown_up_to_a_twentieth_of_a_mm_whatever_the_last_bit_says() -> None:
    """Lengths that are exactly 0.05 mm from k/32 in, and 0.0501 mm, by exact arithmetic."""
    for k in range(1, 33 * 12):
        for side in (-1, 1):
            groove = Fraction(254, 320) * k
            assert "." not in show_inches(float(groove + side * Fraction(1, 20))), k
            assert "." in show_inches(float(groove + side * Fraction(501, 10000))), k


@given(st.integers(-(10**6), 10**6))
def test_halves_are_shown_away_from_nought(ten_thousandths: int) -> None:
    """ROUND_HALF_UP of the decimal module, which rounds halves away from nought."""
    exact = Decimal(ten_thousandths) / 10_000
    rounded = exact.quantize(Decimal("0.001"), ROUND_HALF_UP)
    assert Decimal(show_number(float(exact), 3)) == rounded


@given(lengths, st.sampled_from(list(Unit)))
def test_a_number_means_the_unit_of_its_file(number: float, unit: Unit) -> None:
    assert parse_length(number, unit) == number * MM_PER[unit]
    assert parse_length(f"{number!r} {unit}", Unit.MM) == number * MM_PER[unit]


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (92.075, Unit.IN, "3 5/8 in (92.08 mm)"),
        (92.075, Unit.MM, "92.08 mm (3 5/8 in)"),
        (92.5, Unit.IN, "3.642 in (92.50 mm)"),
        (92.075, Unit.CM, "9.208 cm (3 5/8 in)"),
        (0.3048, Unit.PT, "12.0 pt (0.30 mm)"),
        (0.03, Unit.IN, "0.001 in (0.03 mm)"),
        (-0.001, Unit.MM, "0.00 mm (0 in)"),
        (25.4, Unit.IN, "1 in (25.40 mm)"),
    ],
)
def test_a_length_is_shown_in_its_unit_first(mm: float, unit: Unit, text: str) -> None:
    assert show_length(mm, unit) == text


@pytest.mark.parametrize("mm", [8.8, 15.2, 62.85, 73.63, 116.7])
def test_the_bracket_is_what_is_said_before_it(mm: float) -> None:
    """A reader who converts the fraction by hand finds the millimetres beside it, and no others."""
    said = re.fullmatch(r"(?:(\d+) )?(\d+)/(\d+) in \(([\d.]+) mm\)", show_hands([mm], Unit.IN))
    assert said is not None
    inches = int(said[1] or 0) + int(said[2]) / int(said[3])
    assert float(said[4]) == pytest.approx(25.4 * inches, abs=0.0501)
