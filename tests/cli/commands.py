"""Runs the program as a person does: a fresh process, its two streams and its exit status."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

ROOT = Path(__file__).resolve().parents[2]
FRAMED = ROOT / "tests" / "designs" / "framed.toml"
"""A framed box whose scores lie between the grooves."""


@dataclass(frozen=True)
class Ran:
    """What came of a command."""

    status: int
    out: str
    err: str


def fitcheck(*arguments: str | Path, cwd: Path, timeout: float = 300.0) -> Ran:
    """Run `fitcheck` with this checkout's code."""
    environment = os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": "100"}
    done = subprocess.run(
        [sys.executable, "-c", "from fitcheck.cli.main import run; run()", *map(str, arguments)],
        cwd=cwd,
        env=environment,
        capture_output=True,
        text=True,
        timeout=timeout,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


@contextlib.contextmanager
def as_called(
    arguments: Sequence[str | Path], cwd: Path
) -> Iterator[tuple[io.StringIO, io.StringIO]]:
    """Inside, this process stands where a person called `fitcheck`; gives both its streams."""
    out, err = io.StringIO(), io.StringIO()
    with (
        contextlib.chdir(cwd),
        mock.patch.object(sys, "argv", ["fitcheck", *map(str, arguments)]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        yield out, err


def fitcheck_here(*arguments: str | Path, cwd: Path) -> Ran:
    """Run `fitcheck` within this process, which saves loading it anew."""
    from fitcheck.cli.main import run

    status = 0
    with as_called(arguments, cwd) as (out, err):
        try:
            run()
        except SystemExit as end:
            status = int(end.code or 0)
    return Ran(status, out.getvalue(), err.getvalue())
