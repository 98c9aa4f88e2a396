"""A design is begun from what goes in: it fits, is scored in grooves, and writes over nothing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import check
from tests.cli.commands import fitcheck

BOARDS = ["score-board-metric", "score-board-inch"]
THINGS = [("chocolate-coin:9", "cover-80"), ("deck-poker:2", "index-110"), ("card-id1", "tag-165")]


@pytest.mark.parametrize("tools", BOARDS)
@pytest.mark.parametrize(("item", "stock"), THINGS)
@pytest.mark.parametrize("style", ["tray", "shadow-box", "hinged-tray", "tuck-end", "sleeve"])
def test_a_proposal_fits_and_is_scored_in_grooves(
    tmp_path: Path, style: str, item: str, stock: str, tools: str
) -> None:
    options = ("--item", item, "--style", style, "--stock", f"base={stock}", "--tools", tools)
    ran = fitcheck("new", "begun", *options, "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.out + ran.err
    assert "begun.toml" in ran.out and "everything fits" in ran.out
    design = read_design(tmp_path / "begun.toml")
    found = check(design)
    assert found.fits
    board = design.tools
    assert all(board.on_grid(side) for side in design.base.size_mm)
    assert board.on_grid(design.base.depth_mm)
    for fit in found.contents:
        assert fit.slack is not None and fit.slack.height_mm >= 0.5
    if style in ("tray", "shadow-box"):
        assert found.lid is not None and 0.7 < found.lid.slide.play_mm < 1.5
        for part in assemble(design).parts:
            assert all(board.on_grid(rule.at_mm) for rule in part.scores), part.recipe.part


def test_what_is_to_be_snug_has_less_to_spare(tmp_path: Path) -> None:
    common = ("--item", "card-id1", "--style", "tray", "--stock", "base=cover-80", "--no-odds")
    plays = {}
    for how in ("snug", "slides"):
        ran = fitcheck("new", how, *common, "--sits", how, cwd=tmp_path)
        assert ran.status == 0, ran.err
        lid = check(read_design(tmp_path / f"{how}.toml")).lid
        assert lid is not None
        plays[how] = lid.slide.play_mm
    assert 0.25 < plays["snug"] < 0.85 <= plays["slides"] + 0.1


def test_nothing_is_written_over(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("mine")
    ran = fitcheck("new", "mine", "--item", "card-id1", "--style", "tray", cwd=tmp_path)
    assert ran.status == 2 and "is there already" in ran.err
    assert (tmp_path / "mine.toml").read_text() == "mine"


def test_it_lands_among_the_designs_of_a_workspace(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    common = ("--item", "card-id1", "--style", "tray", "--stock", "base=cover-80", "--no-odds")
    ran = fitcheck("new", "pass", *common, cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert [one.name for one in (tmp_path / "models").glob("*.toml")] == ["pass.toml"]


def test_an_unknown_item_writes_nothing(tmp_path: Path) -> None:
    common = ("--style", "tray", "--stock", "base=cover-80")
    ran = fitcheck("new", "box", "--item", "unicorn", *common, cwd=tmp_path)
    assert ran.status == 2 and "no such item; read 'unicorn'" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_on_a_terminal_it_asks_for_what_is_missing(tmp_path: Path) -> None:
    ours, theirs = os.openpty()
    program = "from fitcheck.cli.main import run; run()"
    ran = subprocess.Popen(
        [sys.executable, "-c", program, "new", "asked", "--no-odds"],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        cwd=tmp_path,
        close_fds=True,
    )
    os.close(theirs)
    os.write(ours, b"chocolate-coin:4\n\n\n\n\n")  # as usual: how it sits, box, paper, board
    said = b""
    try:
        while chunk := os.read(ours, 4096):
            said += chunk
    except OSError:  # the other end is gone
        pass
    assert ran.wait(60) == 0, said
    asked = (b"What goes in", b"How is it to sit", b"Which box", b"Which paper", b"Which board")
    assert all(question in said for question in asked), said
    design = read_design(tmp_path / "asked.toml")
    assert (design.base.style, design.base.stock.name) == ("tray", "cover-80")
    assert [(one.item.name, one.count) for one in design.contents] == [("chocolate-coin", 4)]
