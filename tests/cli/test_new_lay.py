"""How what goes in lies: as it is asked for, and in words that a maker uses.

What a jar takes is arithmetic: 80 mm across and 95 mm high, so a base in which it stands is square
and one in which it lies is longer by 15 mm. That jars and tins are packed standing is common
practice, no source.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from tests.cli.commands import fitcheck

JAR = ("--describe", "jar=cylinder 80 x 95 mm", "--stock", "cardstock-270", "--no-odds")
METRIC = ("--tools", "score-board-metric")


def proposal(cwd: Path, *options: str) -> tuple[str, tuple[float, float]]:
    """What is said of a new box for a jar, and its floor."""
    ran = fitcheck("new", "box", *JAR, *METRIC, *options, cwd=cwd)
    assert ran.status == 0, ran.err
    return " ".join(ran.out.split()), read_design(cwd / "models" / "box.toml").base.size_mm


def test_a_jar_lies_on_its_side_and_is_said_to(tmp_path: Path) -> None:
    said, floor = proposal(tmp_path, "--style", "collar")
    assert "jar lies on its side: with --lay end a new box has it stand" in said
    assert "lies on its side room to spare" in said and " flat " not in said
    assert max(floor) - min(floor) >= 10.0


@pytest.mark.parametrize("style", ["collar", "tray"])
def test_a_jar_stands_where_that_is_asked_for(tmp_path: Path, style: str) -> None:
    said, floor = proposal(tmp_path, "--style", style, "--lay", "end")
    assert "lies standing" in said and "on its side" not in said
    assert floor[0] == floor[1] and 80.0 < floor[0] < 90.0 + 2 * 20.0
    assert 'lay = "end"' in re.sub(" +", " ", (tmp_path / "models" / "box.toml").read_text())


def test_a_carton_has_a_tin_stand_by_itself(tmp_path: Path) -> None:
    tin = ("--describe", "tin=cylinder 40 x 60 mm", "--stock", "cardstock-270", "--no-odds")
    ran = fitcheck("new", "box", *tin, *METRIC, "--style", "tuck-end", cwd=tmp_path)
    assert "lies           standing" in ran.out and "on its side" not in ran.out, ran.err


@pytest.mark.parametrize(("lay", "words"), [("flat", "on its side"), ("end", "standing")])
def test_every_text_says_so(tmp_path: Path, lay: str, words: str) -> None:
    """Steps, recipe and report; the JSON's `orientation` names the lay as it always did."""
    proposal(tmp_path, "--style", "collar", "--lay", lay)
    options = ("--no-odds", "--json", "box.json", "--report", "box.report.html")
    ran = fitcheck("check", "box", *options, cwd=tmp_path)
    assert f"lies           {words}" in ran.out
    (content,) = json.loads((tmp_path / "box.json").read_text())["contents"]
    assert content["orientation"] == {"flat": "flat", "end": "on end"}[lay]
    assert content["lies"] == words
    assert f"jar, {words}" in (tmp_path / "box.report.html").read_text()
    fitcheck("publish", "box", "-o", "out", "--no-odds", cwd=tmp_path)
    assert f"1 x jar, {words}" in (tmp_path / "out" / "box.html").read_text()


def test_a_coin_stays_flat(tmp_path: Path) -> None:
    given = ("--item", "coin-us-cent:4", "--style", "tray", "--stock", "cover-80", "--no-odds")
    ran = fitcheck("new", "coins", *given, cwd=tmp_path)
    assert "lies           flat" in ran.out and "side:" not in ran.out


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--item", "coin-us-cent", "--lay", "stand"), "--lay: read 'stand'; allowed: flat, edge"),
        (("--room", "70 x 80 x 20 mm", "--lay", "end"), "--lay: read 'end' beside --room"),
        (("--item", "coin-us-cent", "--lay", "end", "--lay", "flat"), "allowed: one of them"),
    ],
)
def test_other_lays_are_refused(tmp_path: Path, options: tuple[str, ...], said: str) -> None:
    given = ("--style", "tray", "--stock", "cover-80", "--no-odds")
    ran = fitcheck("new", "coins", *options, *given, cwd=tmp_path)
    assert ran.status == 2 and said in ran.err and not list(tmp_path.iterdir()), ran.err
