"""What a maker is told of a line that TOML does not take."""

from __future__ import annotations

import re

import pytest

from fitcheck.errors import InputError
from fitcheck.workspace.toml import tables_of


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("floor = [4 1/8, 6 1/8]", 'a fraction stands in quotes, "4 1/8"'),
        ("depth = 7/8", 'a fraction stands in quotes, "7/8"'),
        ("depth = 0,875", "a number has a point, 0.875"),
        ("style = tray", "texts stand in quotes, keys before ="),
        ('by = "1/2 or 0,5" and more', "texts stand in quotes, keys before ="),
    ],
)
def test_a_number_that_is_written_otherwise_is_told_how(line: str, told: str) -> None:
    with pytest.raises(InputError) as error:
        tables_of(f'title = "Box"\n{line}\n', "box.toml")
    assert "is not TOML" in str(error.value) and told in str(error.value)
    assert "line 2" in str(error.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[base]\n[base]\n", "[base] stands there twice (at line 2); write it once"),
        ("[a.b]\n[a.b]\n", "[a.b] stands there twice (at line 2); write it once"),
        (
            "a = [3]\n[[a]]\nb = 1\n",
            "a has a value already (at line 2); keep one of them",
        ),
        ("a = {b = 1}\na.c = 2\n", "a has a value already (at line 2); keep one of them"),
        ("a = 1\na = 2\n", "a key stands there twice (at line 2); keep one of them"),
        ("a = {b = 1, b = 2}\n", "b stands there twice (at line 1); keep one of them"),
    ],
)
def test_what_is_said_twice_is_told_in_our_words(text: str, told: str) -> None:
    with pytest.raises(InputError) as error:
        tables_of(text, "box.toml")
    (line,) = error.value.lines
    assert re.sub(", column [0-9]+", "", line) == f"box.toml: is not TOML: {told}"
