"""Folders that are gone, shut or without rights: a line and status 2."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.commands import ROOT, fitcheck_here
from tests.cli.designs import TOFFEES
from tests.cli.test_hard_use import linux, one_after_another
from tests.cli.test_outputs_guarded import KEPT


@linux
def test_a_folder_that_was_deleted(tmp_path: Path) -> None:
    here = tmp_path / "gone"
    here.mkdir()
    commands = [
        "check harbour",
        "list records",
        "record harbour --outcome slid",
        "demo there",
        f"demo {tmp_path / 'demo'}",
        f"check {ROOT / 'models' / 'lantern.toml'} --no-odds",
    ]
    for command, ran in zip(commands, one_after_another(commands, here, gone=True), strict=True):
        assert (ran.status, ran.out) == (2, ""), command
        assert ran.err.startswith("fitcheck: the current folder cannot be found"), command
        assert ran.err.count("\n") == 1 and "change into a folder" in ran.err
    assert not here.exists()


@pytest.fixture
def closed(tmp_path: Path) -> Iterator[Path]:
    """A workspace whose folders of designs and papers may not be looked into."""
    (tmp_path / "box.toml").write_text(TOFFEES)
    shut = [tmp_path / "shut", tmp_path / "models", tmp_path / "calibration"]
    for folder in shut:
        (folder / "stocks").mkdir(parents=True)
        folder.chmod(0)
    yield tmp_path
    for folder in shut:
        folder.chmod(0o755)


SHUT = {
    "check shut/box.toml --no-odds": "shut/box.toml: cannot be read (Permission denied)",
    "check models/box.toml --no-odds": "models/box.toml: cannot be read",
    "check box.toml --no-odds --json shut/x.json": "shut/x.json: ",
    "sheet box.toml -o shut/sheets": "(Permission denied)",
    "check box.toml --no-odds": "models: cannot be looked into (Permission denied)",
    "check lantern --no-odds": "models: cannot be looked into (Permission denied)",
    "list items": "models: cannot be looked into (Permission denied)",
    "list stocks": "calibration/stocks: cannot be looked into (Permission denied)",
    "list records": "calibration/records",
    "learn index-110 shut/r.csv": "cannot be",
    "demo shut/new": "shut/new",
}


@linux
def test_a_folder_without_rights_is_a_line(closed: Path) -> None:
    """What is shipped does not stand in for the maker's own that cannot be seen."""
    rans = one_after_another([*SHUT], closed)
    for (command, told), ran in zip(SHUT.items(), rans, strict=True):
        assert ran.status == 2, command
        (line,) = ran.err.splitlines()
        assert line.startswith("fitcheck: ") and told in line and "rights" in line, command


@linux
def test_a_shelf_without_rights_alone(tmp_path: Path) -> None:
    shut = tmp_path / "calibration" / "tools"
    shut.mkdir(parents=True)
    (tmp_path / "box.toml").write_text(TOFFEES)
    shut.chmod(0o444)  # its names can be read, its files cannot be reached
    listed, checked = one_after_another(["list tools", "check box.toml --no-odds"], tmp_path)
    shut.chmod(0o755)
    for ran in (listed, checked):
        assert (ran.status, ran.out) == (2, "")
        assert "calibration/tools: cannot be looked into (Permission denied)" in ran.err


@pytest.mark.skipif(not hasattr(os, "fork"), reason="another user is a forked copy")
@pytest.mark.skipif(os.name == "posix" and os.geteuid() != 0, reason="only root can be another")
def test_a_shut_folder_is_told_before_the_work(tmp_path: Path) -> None:
    """As another user, since root may write anywhere: the system's own answer."""
    shut = Path(tempfile.mkdtemp())  # pytest's own folders are shut to others as a whole
    shut.chmod(0o755)
    said = shut / "said.txt"
    said.touch()
    said.chmod(0o666)
    child = os.fork()
    if child == 0:
        try:
            os.setuid(65534)
            options = ("--no-odds", "--picture", "pictures")
            ran = fitcheck_here("check", "harbour", *options, cwd=shut)
            said.write_text(f"{ran.status} {ran.out}{ran.err}")
        finally:
            os._exit(0)
    os.waitpid(child, 0)
    words = said.read_text()
    shutil.rmtree(shut)
    assert words.startswith("2 fitcheck: --picture: read 'pictures'") and KEPT in words, words
    assert len(words.splitlines()) == 1
