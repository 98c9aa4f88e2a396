"""README.md is run: its commands, what they print, its pictures and its table of known values."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tests.cli.commands import ROOT, fitcheck
from tests.published.table import all_rows, line_of

README = (ROOT / "README.md").read_text()
CONSOLE = re.findall(r"```console\n\$ fitcheck (.*?)\n(.*?)```", README, flags=re.DOTALL)
PARTS = re.findall(r"```text\n\$ fitcheck (.*?) +\(.*?\)\n(.*?)```", README, flags=re.DOTALL)
"""Of what these print only some lines are shown."""


def test_there_is_something_to_run() -> None:
    assert len(CONSOLE) >= 1 and len(PARTS) >= 2


@pytest.mark.parametrize(("command", "printed"), CONSOLE, ids=[c for c, _ in CONSOLE])
def test_a_command_prints_what_the_readme_shows(command: str, printed: str, tmp_path: Path) -> None:
    ran = fitcheck(*shlex.split(command), cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert ran.out == printed


@pytest.mark.parametrize(("command", "lines"), PARTS, ids=[c for c, _ in PARTS])
def test_a_command_prints_the_parts_that_are_shown(
    command: str, lines: str, tmp_path: Path
) -> None:
    ran = fitcheck(*shlex.split(command), cwd=tmp_path)
    assert ran.status == 0, ran.err
    for part in lines.split("  ...\n"):
        assert part in ran.out


def test_the_steps_shown_are_those_of_the_demo(tmp_path: Path) -> None:
    ran = fitcheck("sheet", str(ROOT / "models" / "harbour.toml"), "-o", "out", cwd=tmp_path)
    assert ran.status == 0, ran.err
    told = (tmp_path / "out" / "harbour-steps.txt").read_text()
    shown = re.findall(r"```text\n(.*?)```", README, flags=re.DOTALL)
    assert [block in told for block in shown if block.startswith("1. From")] == [True]


def test_the_two_commands_set_everything_up() -> None:
    lines = re.findall(r"^    (python3 -m venv .*)$", README, flags=re.MULTILINE)
    assert len(lines) == 2
    assert lines[0].endswith("fitcheck demo") and lines[1].endswith("pytest")
    assert "README.md" in (ROOT / ".ci" / "run").read_text()


def test_every_command_is_listed(tmp_path: Path) -> None:
    from fitcheck.cli.main import app

    names = {command.name for command in app.registered_commands}
    listed = set(re.findall(r"fitcheck ([a-z]+)", README))
    assert names <= listed


@pytest.mark.parametrize("picture", re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README))
def test_every_picture_is_there(picture: str) -> None:
    assert (ROOT / picture).read_bytes().startswith(b"\x89PNG")


def test_the_table_of_known_values_is_made_of_the_tested_rows() -> None:
    table = README.split("| source | quantity |", 1)[1].split("\n\n", 1)[0].splitlines()[2:]
    known = {line_of(row) for row in all_rows()}
    assert len(table) >= 20
    assert [line for line in table if line not in known] == []
    assert len(known) >= 150
