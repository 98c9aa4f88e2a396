"""Text from outside steers no terminal, breaks no line and stays short, whatever it holds."""

from __future__ import annotations

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import InputError
from fitcheck.plain import LONGEST_LINE, MOST_LINES, first_lines, one_line, plain, short_line, shown

# The formatting characters that change the order in which letters are shown, as named in UAX 9
# (Unicode bidirectional algorithm), sections 2.1 to 2.6.
BIDIRECTIONAL = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c"
# ECMA-48: escape, the 8-bit control sequence introducer and operating system command, bell,
# backspace, carriage return; beside them ASCII delete.
CONTROLS = "\x1b\x9b\x9d\x07\x08\r\x0b\x0c\x7f\x00\x85"

texts = st.text(st.characters(exclude_categories=[]), max_size=60)


def steers(text: str) -> bool:
    """By the standard library's own tables, not by the pattern under test."""
    return any(
        unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp")
        or unicodedata.bidirectional(sign)
        in ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")
        or sign in "\u200e\u200f\u061c\ufeff"
        for sign in text
        if sign not in "\n\t"
    )


@pytest.mark.parametrize("sign", BIDIRECTIONAL + CONTROLS, ids=lambda sign: f"{ord(sign):04x}")
def test_no_sign_that_steers_is_left(sign: str) -> None:
    assert sign not in plain(f"a{sign}b") and sign not in one_line(f"a{sign}b")
    assert one_line(f"a{sign}b") == "a b"


@given(text=texts)
def test_what_is_plain_can_be_shown_and_written(text: str) -> None:
    for made in (plain(text), one_line(text), short_line(text)):
        assert not steers(made)
        made.encode("utf-8")
    assert plain(text).count("\n") == text.count("\n")
    assert len(one_line(text).splitlines()) <= 1
    assert one_line(one_line(text)) == one_line(text)


def test_letters_of_every_alphabet_and_joined_signs_stay() -> None:
    for text in (
        "Schachtel f\u00fcr \u00d8ystein",
        "\u65e5\u672c\u306e\u7bb1",
        "\u05e9\u05dc\u05d5\u05dd",
        "\U0001f468\u200d\U0001f373",
        "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645",
    ):
        assert plain(text) == one_line(text) == text


def test_a_byte_that_is_no_utf8_is_named() -> None:
    given_name = b"caf\xe9.toml".decode("utf-8", "surrogateescape")
    assert one_line(given_name) == plain(given_name) == "caf\\xe9.toml"


@pytest.mark.parametrize(
    "text", ["x" * 1_000_000, "x y " * 250_000, "\x1b" * 1_000_000, "'" * 1_000_000]
)
def test_an_error_repeats_no_huge_text(text: str) -> None:
    error = InputError(f"models/box.toml: title: read {text}; allowed: 200 letters; shorten it")
    (line,) = error.lines
    assert len(line) <= LONGEST_LINE and len(str(error)) <= LONGEST_LINE
    assert line.startswith("models/box.toml: title: read")
    assert line.endswith("allowed: 200 letters; shorten it")
    assert len(shown(text)) <= 60 and len(shown([text, text])) <= 60
    assert len(shown({text: 1})) <= 60


def test_thousands_of_problems_are_told_as_the_first_ones() -> None:
    every = InputError(f"row {k}: wrong" for k in range(100_000)).lines
    lines = first_lines(every)
    assert lines[:2] == ["row 0: wrong", "row 1: wrong"]
    assert (
        len(lines) == MOST_LINES + 1
        and f"at least {100_000 - MOST_LINES} more problems" in lines[-1]
    )


@pytest.mark.parametrize("digits", [80, 4299, 4301, 100_000])
def test_a_huge_number_is_told_by_its_digits(digits: int) -> None:
    """The interpreter refuses to write integers of over 4300 digits (its documented limit)."""
    told = re.findall(r"\d+", shown(10 ** (digits - 1)))
    assert len(told) == 1 and abs(int(told[0]) - digits) <= 1
    assert shown(1234) == "1234" and shown(-(10**20)) == "-100000000000000000000"
