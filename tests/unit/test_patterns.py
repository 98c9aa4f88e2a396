"""No pattern in the package takes more than linear time, whatever text it is held against.

The texts are runs of each kind of letter that a pattern knows, alone and in pairs, ended by a
letter that it does not take: what makes a backtracking matcher try every way to part a run.
"""

from __future__ import annotations

import ast
import itertools
import re
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from fitcheck import units
from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import parse_sheet
from fitcheck.learn.csv_table import HEADER

PACKAGE = Path(units.__file__).parent
LETTERS = 30_000
MOST_S = 1.0
"""Of one text; a pattern that is quadratic in 30 000 letters takes many times as long."""
PIECES = (" ", "1", ".", ",", "-", "/", "a", "mm", "\\", "\t", "=", "1 ", "- ", " -", "1.", ", ")
FLAGS = ("IGNORECASE", "I", "DOTALL", "MULTILINE")


@dataclass(frozen=True)
class Used:
    """A pattern, and how its module holds it against texts."""

    pattern: re.Pattern[str]
    whole: bool
    """Whether it has to match the whole text, or is looked for everywhere in it."""


def written() -> dict[str, Used]:
    """Every pattern that stands in the source as one text, by its file and line."""
    found: dict[str, Used] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(source)):
            if not (isinstance(node, ast.Call) and ast.unparse(node.func).startswith("re.")):
                continue
            text = node.args[0] if node.args else None
            if not (isinstance(text, ast.Constant) and isinstance(text.value, str)):
                continue
            rest = " ".join(ast.unparse(given) for given in (*node.args[1:], *node.keywords))
            flags = sum(getattr(re, name) for name in FLAGS if f"re.{name}" in rest.split())
            line = source.splitlines()[node.lineno - 1]
            names = f"{line.split(' = ')[0].strip()}."
            whole = "fullmatch(" in line or f"{names}fullmatch(" in source
            place = f"{path.relative_to(PACKAGE)}:{node.lineno}"
            found[place] = Used(re.compile(text.value, flags), whole)
    return found


PATTERNS = written() | {"units.py: a length": Used(units._LENGTH, whole=True)}


def test_patterns_are_found() -> None:
    assert len(PATTERNS) >= 15
    assert any(place.startswith("learn/csv_cells.py") for place in PATTERNS)
    assert any(place.startswith("workspace/toml.py") for place in PATTERNS)


@pytest.mark.parametrize("place", PATTERNS)
def test_no_text_makes_a_pattern_slow(place: str) -> None:
    used = PATTERNS[place]
    for piece, start in itertools.product(PIECES, ("", "1", '"')):
        text = start + piece * (LETTERS // len(piece)) + "?"
        begun = time.process_time()
        if used.whole:
            used.pattern.fullmatch(text)
        else:
            used.pattern.sub("", text)
        assert time.process_time() - begun < MOST_S, (place, piece)


def test_a_reading_of_blanks_is_told_at_once() -> None:
    """A cell of a spreadsheet holds up to 32 767 letters (its maker's documented limit)."""
    row = f"2026-11-20,kh,caliper,0.01,channel,60,,1{' ' * 32_000}?,,,"
    begun = time.process_time()
    with pytest.raises(InputError, match="reading_mm: read '1 "):
        parse_sheet("\n".join([",".join(HEADER), row]) + "\n", "r.csv")
    assert time.process_time() - begun < MOST_S
