"""A paper named alone is that of every part, in all commands; PART=NAME goes before it."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.commands import fitcheck

BOX = """format = 1
title = "A box for a ball of twine"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "cover-80"
floor = [70, 80]
depth = 30
[lid]
style = "tray"
stock = "cover-80"
oversize = 2
depth = 20
"""


def papers(*options: str, cwd: Path) -> dict[str, str]:
    """The paper of each part that a check says it was made of."""
    (cwd / "box.toml").write_text(BOX)
    ran = fitcheck("check", "box", "--no-odds", *options, "--json", "said.json", cwd=cwd)
    assert ran.status in (0, 1), ran.err
    said = json.loads((cwd / "said.json").read_text())
    (cwd / "said.json").unlink()
    return {name: part["stock"] for name, part in said["parts"].items()}


def test_a_check_takes_it_for_all(tmp_path: Path) -> None:
    own = {"base": "cover-80", "lid": "cover-80"}
    assert papers(cwd=tmp_path) == own
    assert papers("--stock", "index-110", cwd=tmp_path) == dict.fromkeys(own, "index-110")
    both = ("--stock", "lid=tag-165", "--stock", "index-110")
    assert papers(*both, cwd=tmp_path) == {"base": "index-110", "lid": "tag-165"}
    assert papers("--stock", "base=tag-165", cwd=tmp_path) == own | {"base": "tag-165"}


def test_a_proposal_takes_it_for_all(tmp_path: Path) -> None:
    room = ("--room", "60 x 60 x 20 mm", "--style", "tray", "--no-odds")
    fitcheck("new", "one", *room, "--stock", "index-110", cwd=tmp_path)
    both = ("--stock", "index-110", "--stock", "lid=tag-165")
    fitcheck("new", "two", *room, *both, cwd=tmp_path)
    assert (tmp_path / "one.toml").read_text().count('"index-110"') == 2
    text = (tmp_path / "two.toml").read_text()
    assert text.count('"index-110"') == 1 and text.count('"tag-165"') == 1


def test_other_papers_are_compared_and_published_with(tmp_path: Path) -> None:
    (tmp_path / "box.toml").write_text(BOX)
    ran = fitcheck("compare", "box", "--stock", "index-110", "--no-odds", cwd=tmp_path)
    assert "box, index-110" in ran.out and "cover-80" in ran.out
    given = ("--stock", "base=tag-165", "--for-stock", "index-110", "--no-odds")
    ran = fitcheck("publish", "box", "-o", "out", *given, cwd=tmp_path)
    assert ran.status in (0, 1), ran.err
    page = (tmp_path / "out" / "box.html").read_text()
    assert "tag-165" in page and "cover-80" in page and "index-110" in page


def test_a_box_is_held_against_the_forecast_of_its_papers(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "box.toml").write_text(BOX)
    ran = fitcheck("record", "box", "--forecast", "--stock", "index-110", cwd=tmp_path)
    assert ran.status == 0, ran.err
    (kept,) = tmp_path.rglob("*.json")
    frozen = json.loads(kept.read_text())
    assert frozen["instead"] == {"base": "index-110", "lid": "index-110"}
    ran = fitcheck("record", "box", "--outcome", "slid", "--stock", "index-110", cwd=tmp_path)
    assert ran.status == 0 and "no forecast" not in ran.out, ran.out + ran.err


def test_a_paper_that_nobody_knows_and_a_second_one_are_refused(tmp_path: Path) -> None:
    (tmp_path / "box.toml").write_text(BOX)
    for options, said in (
        (("--stock", "index-1100"), "--stock index-1100: no such stock"),
        (("--stock", "index-110", "--stock", "tag-165"), "the second one for every part"),
        (("--stock", "lid"), "allowed: PART=NAME, such as --stock lid=index-110, or NAME alone"),
        (("--stock", "lid="), "allowed: PART=NAME"),
    ):
        ran = fitcheck("check", "box", "--no-odds", *options, cwd=tmp_path)
        assert ran.status == 2 and said in ran.err and ran.err.count("\n") == 1, ran.err
