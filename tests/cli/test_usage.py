"""A command line that cannot be read is told in one line: what was read, what is allowed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.commands import fitcheck

KINDS = "stocks, tools, printers, items, styles, kinds, records"
SAID = {
    "check harbour --odds abc": "--odds: read 'abc'; allowed: a whole number; `fitcheck check "
    "--help` says more",
    "bench --port x": "--port: read 'x'; allowed: a whole number from 0 to 65535; `fitcheck bench "
    "--help` says more",
    "list foo": f"KIND: read 'foo'; allowed: {KINDS}; choose one",
    "list": f"KIND: missing; read nothing; allowed: {KINDS}; add it, `fitcheck list --help` says "
    "more",
    "check": "DESIGN: missing; read nothing; add it, `fitcheck check --help` says more",
    "sheet harbour": "-o / --out: missing; read nothing; add it, `fitcheck sheet --help` says more",
    "nosuch": "no such command 'nosuch'; `fitcheck --help` says more",
}


@pytest.mark.parametrize("words", SAID)
def test_a_command_line_that_cannot_be_read_is_one_line(words: str, tmp_path: Path) -> None:
    ran = fitcheck(*words.split(), cwd=tmp_path)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == f"fitcheck: {SAID[words]}\n"


@pytest.mark.parametrize("words", ["check harbour --nope", "check harbour --odds", "check a b"])
def test_what_the_library_says_is_one_line_too(words: str, tmp_path: Path) -> None:
    ran = fitcheck(*words.split(), cwd=tmp_path)
    assert ran.status == 2
    (line,) = ran.err.splitlines()
    assert line.startswith("fitcheck: ") and line.endswith("--help` says more")


def test_statuses_are_what_they_were(tmp_path: Path) -> None:
    """0 everything fits, 1 something does not, 2 the input is wrong; help is no error."""
    assert fitcheck("--version", cwd=tmp_path).status == 0
    helped = fitcheck("check", "--help", cwd=tmp_path)
    assert helped.status == 0 and "Usage" in helped.out
    alone = fitcheck(cwd=tmp_path)
    assert alone.status == 2 and "Usage" in alone.err and "Traceback" not in alone.err
    (tmp_path / "tight.toml").write_text(
        'format = 1\ntitle = "Tight"\nunit = "mm"\n[base]\nstyle = "tray"\nstock = "cover-80"\n'
        'floor = [70, 80]\ndepth = 25\n[lid]\nstyle = "tray"\nstock = "cover-80"\n'
        "oversize = -2\ndepth = 20\n"
    )
    assert fitcheck("check", "tight.toml", "--no-odds", cwd=tmp_path).status == 1
    assert fitcheck("check", "lantern", "--no-odds", cwd=tmp_path).status == 0
