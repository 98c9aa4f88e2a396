"""Calls the program in this process, as its console script does, and keeps what it said."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fitcheck.cli.main import run
from tests.cli.commands import Ran

Call = Callable[..., Ran]


def caller(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Call:
    """A function that calls `fitcheck` with the arguments it is given."""

    def call(*arguments: object) -> Ran:
        monkeypatch.setattr("sys.argv", ["fitcheck", *map(str, arguments)])
        capfd.readouterr()
        with pytest.raises(SystemExit) as stopped:
            run()
        said = capfd.readouterr()
        return Ran(int(stopped.value.code or 0), said.out, said.err)

    return call
