"""What Python gives that no design file could say is refused in words, never with a bare error."""

from __future__ import annotations

import typing
from pathlib import Path

import pytest

import fitcheck
from tests.face_designs import LIDDED

NONE = "allowed: a value that a design file may have; give one, or leave the key out"


def with_base(**keys: object) -> dict[str, object]:
    return {**LIDDED, "base": {**LIDDED["base"], **keys}}


@pytest.mark.parametrize(
    ("data", "key"),
    [
        ({**LIDDED, "lid": None}, "lid"),
        ({**LIDDED, "tools": None}, "tools"),
        ({**LIDDED, "joint": None}, "joint"),
        (with_base(floor=None), "base.floor"),
        (with_base(floor=[80, None]), "base.floor[2]"),
        ({**LIDDED, "lid": {**LIDDED["lid"], "oversize": None}}, "lid.oversize"),
        ({**LIDDED, "content": [None]}, "content[1]"),
        ({**LIDDED, "content": [{"item": "card-id1", "count": None}]}, "content[1].count"),
    ],
)
def test_none_is_no_value_of_a_design(data: typing.Any, key: str) -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build(data)
    assert told.value.lines == (f"design: {key}: read None; {NONE}",)


def test_every_none_is_told() -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build({**LIDDED, "lid": None, "tools": None})
    assert [line.split(":")[1] for line in told.value.lines] == [" lid", " tools"]


@pytest.mark.parametrize("given", [None, 3, b"harbour.toml", ["harbour.toml"]])
def test_what_is_no_path_is_refused(given: typing.Any) -> None:
    rule = "allowed: a path as a text or a pathlib.Path; give one"
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.read(given)
    assert told.value.lines[0].startswith("path: read ") and told.value.lines[0].endswith(rule)
    if given is None:
        return
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build(LIDDED, workspace=given)
    assert told.value.lines[0].startswith("workspace: read ")


def test_a_name_is_a_text() -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build(LIDDED, name=None)  # type: ignore[arg-type]
    assert told.value.lines == ("name: read None; allowed: a text; give one",)


def test_what_gives_its_values_once_is_no_list() -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build(with_base(floor=(side for side in (80, 120))))
    (line,) = told.value.lines
    assert line.startswith("design: base.floor: ") and "read a generator; allowed: " in line


@pytest.mark.parametrize("contents", [[3], ["card-id1"]])
def test_contents_are_tables(contents: typing.Any) -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build({**LIDDED, "content": contents})
    (line,) = told.value.lines
    assert line.startswith("design: content[1]: wrong type; read ")
    assert line.endswith("allowed: tables [[content]]; write double brackets")


def test_half_a_pair_that_no_encoding_can_write_is_told() -> None:
    # Unicode 15, 3.2 C1: a surrogate code point is no character
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build({**LIDDED, "title": "Box \ud800"})
    (line,) = told.value.lines
    assert "Input should be" not in line and "unicode string" not in line
    assert "allowed: a text" in line


@pytest.mark.parametrize("want", [[3], ["bind"], "snug", [None]])
def test_only_what_can_be_right_is_allowed_to_be_wanted(want: typing.Any) -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build({**LIDDED, "want": want})
    allowed = told.value.lines[0].partition("allowed: ")[2]
    assert "binds" not in allowed


def test_a_choice_that_is_none_names_those_that_are() -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build({**LIDDED, "want": [3]})
    assert "read 3; allowed: tight, snug, slides, loose; choose one" in told.value.lines[0]


def test_findings_can_stand_in_a_set() -> None:
    checked = fitcheck.check(fitcheck.build({**LIDDED, "base": {**LIDDED["base"], "depth": 3}}))
    again = fitcheck.check(fitcheck.build({**LIDDED, "base": {**LIDDED["base"], "depth": 3}}))
    assert checked.findings
    assert set(checked.findings) == set(again.findings)
    assert len(set(checked.findings)) == len(checked.findings)


def test_a_file_that_is_read_is_still_a_path_or_a_text(tmp_path: Path) -> None:
    for given in (tmp_path / "none.toml", str(tmp_path / "none.toml")):
        with pytest.raises(fitcheck.InputError, match="no such file"):
            fitcheck.read(given)
