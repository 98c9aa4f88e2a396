"""Nothing is collected while the program is loaded; when work begins, and after it, things are."""

from __future__ import annotations

import gc

import pytest

from fitcheck.cli.collector import SELDOM, USUAL, collect_as_usual, hold_collector
from fitcheck.cli.main import run
from fitcheck.cli.progress_bar import Bar


def test_work_collects_what_it_leaves_behind() -> None:
    assert gc.isenabled()
    hold_collector()
    try:
        assert not gc.isenabled()
        with Bar():
            assert gc.isenabled()
            assert gc.get_threshold() == SELDOM
    finally:
        collect_as_usual()
        gc.unfreeze()
    assert gc.get_threshold() == USUAL


def test_it_collects_again_where_no_work_was_done(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["fitcheck", "--version"])
    with pytest.raises(SystemExit) as stopped:
        run()
    assert stopped.value.code == 0 and gc.isenabled()
    gc.unfreeze()
