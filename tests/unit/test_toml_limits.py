"""Small files that would take a parser for ever are refused in a line, before it sees them.

Time is processor time, with room for a slow machine: without the limits each of these takes
minutes, or ends in a stack that is too deep.
"""

from __future__ import annotations

import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import InputError
from fitcheck.units import Unit, parse_length
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.strict import STRICT, validate
from fitcheck.workspace.toml import read_toml
from tests.unit.samples import TRAY, lines_of, read

MOST_S = 5.0
HUGE = {
    "digits": (f"depth = {'9' * 5000}\n", "over 400 letters (line 9)"),
    "hex": (f"depth = 0x{'f' * 4500}\n", "over 400 letters"),
    "nested keys": (".".join("a" * 400) + " = 1\n", "over 400 letters"),
    "nested keys apart": (" . ".join("a" * 400) + " = 1\n", "nested too deeply; allowed: up to 20"),
    "nested quoted keys": (".".join(['"a"'] * 100_000) + " = 1\n", "nested too deeply"),
    "a key of 100 000 parts": (".".join("a" * 100_000) + " = 1\n", "over 400 letters"),
    "a header of many parts": ("[" + " . ".join("a" * 100_000) + "]\n", "nested too deeply"),
    "lists within lists": ("a = " + "[" * 300 + "]" * 300 + "\n", "nested too deeply"),
    "tables within tables": ("a = " + "{a=" * 300 + "1" + "}" * 300 + "\n", "nested too deeply"),
    "a million tables": ("[[content]]\n" * 80_000, "160000 tables and lists; allowed: up to 20000"),
    "many keys": ("".join(f"k{n}=1\n" for n in range(80_000)), "80000 keys; allowed: up to 20000"),
    "quotes": ("'" * 990_000, "is not TOML"),
    "double quotes": ('"' * 990_000, "is not TOML"),
    "texts never closed": ('"""' + '\\"""' * 200_000, "is not TOML"),
}


@pytest.mark.parametrize("name", HUGE)
def test_a_small_file_that_takes_for_ever_is_refused(tmp_path: Path, name: str) -> None:
    text, words = HUGE[name]
    path = tmp_path / "box.toml"
    path.write_text(("# line\n" * 8 if "line 9" in words else "") + text)
    begun = time.process_time()
    with pytest.raises(InputError) as caught:
        read_toml(path)
    assert time.process_time() - begun < MOST_S
    (line,) = caught.value.lines
    assert line.startswith(f"{path}: ") and words in line and len(line) < 400


def test_texts_and_comments_are_no_structure(tmp_path: Path) -> None:
    """What stands in quotes or behind # counts for nothing, however it is quoted."""
    odd = "a.b.c" * 200 + "[[[{{{" * 10_000 + "=" * 30_000
    path = tmp_path / "box.toml"
    text = (
        f'a = "{odd} \\" {odd}"  # {odd}\n'
        f"b = '{odd}'\n"
        f'c = """{odd}\n"" \\""" {odd}"""\n'
        f"d = '''{odd}\n'' {odd}'''\n"
        'e."f.g.h.i.j.k.l.m.n.o.p.q.r.s.t.u.v.w.x.y.z" = 1.5\n'
    )
    path.write_text(text)
    assert read_toml(path) == tomllib.loads(text)


toml_texts = st.text(st.sampled_from("ab.=\"'[]{}#\n\\ ,1"), max_size=40)


@given(text=toml_texts)
def test_a_file_within_the_limits_reads_as_the_parser_alone_reads_it(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    path = tmp_path_factory.mktemp("toml") / "box.toml"
    path.write_bytes(text.encode())
    try:
        expected = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        with pytest.raises(InputError):
            read_toml(path)
    else:
        assert read_toml(path) == expected


BLANKS = {
    "blanks before a unit": "1" + " " * 900_000 + "?",
    "blanks alone": " " * 900_000,
    "blanks in a fraction": "1" + " " * 450_000 + "/" + " " * 450_000,
    "digits": "1" * 900_000 + "?",
    "digits and blanks": "1 " * 400_000 + "/",
    "hyphens": "1 - " * 200_000,
    "a comma": "1" * 400_000 + "," + "1" * 400_000 + "?",
    "an exponent": "1e" + "1" * 900_000,
    "a unit": "1" + "m" * 900_000,
}


@pytest.mark.parametrize("name", BLANKS)
def test_no_text_takes_long_to_be_no_length(name: str) -> None:
    begun = time.process_time()
    with pytest.raises(ValueError) as caught:
        parse_length(BLANKS[name], Unit.MM)
    assert time.process_time() - begun < MOST_S
    assert len(str(caught.value)) < 200


def test_blanks_and_tabs_between_the_parts_of_a_length_count_for_nothing() -> None:
    for text in ("3 5/8 in", "  3\t5 / 8\u00a0in ", "3" + " " * 5000 + "5/8in", "3 -  5/8 in"):
        assert parse_length(text, Unit.MM) == pytest.approx(3.625 * 25.4)


def test_thousands_of_names_take_no_long_time_to_be_compared() -> None:
    known = [f"{'a' * 190}{number}" for number in range(20_000)]
    begun = time.process_time()
    told = did_you_mean("a" * 180 + "b" * 900_000, known)
    assert time.process_time() - begun < MOST_S
    assert len(told) < 300


def test_thousands_of_unknown_keys_are_the_first_ones(tmp_path: Path) -> None:
    begun = time.process_time()
    lines = lines_of(tmp_path, "".join(f"k{n} = 1\n" for n in range(15_000)) + TRAY)
    assert time.process_time() - begun < MOST_S
    assert len(lines) == 15_000 and "k39: unknown key; read 1" in lines[39]
    assert lines[40].endswith("k40: wrong too")


def test_only_so_many_contents_are_read(tmp_path: Path) -> None:
    tables = '[[content]]\nitem = "nowhere"\n' * 8000
    begun = time.process_time()
    (line,) = lines_of(tmp_path, TRAY + tables)
    assert time.process_time() - begun < MOST_S
    assert "content: wrong list length; read a list of 8000 tables; allowed: at most 100" in line


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("depth = 20", "depth = 1e-320", "base.depth: is 0.00 mm (0 in), out of range"),
        ("depth = 20", f"depth = 0x{'f' * 390}", "read a whole number of about 470 digits"),
        ("depth = 20", "depth = 1e400", "is not a finite length"),
        ("depth = 20", "depth = 1979-05-27", "is not a length"),
        ('"Plain tray"', "1979-05-27T07:32:00+23:59", "read 1979-05-27T07:32:00+23:59"),
        ('"Plain tray"', '"\\u001b\\u202e"', "has no letters that are seen"),
        ("format = 1", f"format = 0x{'f' * 390}", "read a whole number of about 470 digits"),
        ("depth = 20", "depth = 20\n'' = 1", 'base."": unknown key'),
        ("depth = 20", 'depth = 20\n"a\\nb\\u001b[2J" = 1', "base.a b [2J: unknown key"),
        ("depth = 20", f"depth = 20\n{'k' * 399} = 1", "kkk...: unknown key"),
        ("index-110", "x" * 190, "no such stock; read 'xxx"),
    ],
)
def test_odd_values_are_told_in_a_short_line(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    lines = lines_of(tmp_path, TRAY.replace(old, new))
    assert any(words in line for line in lines), lines
    assert all(len(line) < 700 for line in lines)


def test_a_title_is_one_plain_line(tmp_path: Path) -> None:
    text = TRAY.replace('"Plain tray"', '"""Plain\\u001b[2J\ntray\\u202e"""')
    assert read(tmp_path, text).title == "Plain [2J tray"


def test_line_ends_and_a_mark_at_the_start_do_not_matter(tmp_path: Path) -> None:
    plain = read(tmp_path, TRAY)
    path = tmp_path / "box.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TRAY.replace("\n", "\r\n").encode())
    assert read_toml(path) == tomllib.loads(TRAY)
    assert read(tmp_path, TRAY) == plain


def test_a_model_tells_the_first_problems_only() -> None:
    from pydantic import BaseModel

    class Empty(BaseModel):
        model_config = STRICT

    with pytest.raises(InputError) as caught:
        validate(Empty, {f"k{n}": n for n in range(20_000)}, "box.toml")
    lines = caught.value.lines
    assert len(lines) == 20_000 and lines[0].startswith("box.toml: k0: unknown key; read 0")
