"""A bench that is killed while it saves or moves a design leaves the old text or the new one."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fitcheck.bench.shelf import PUT_AWAY, Shelf
from tests.crash.killing import watch
from tests.crash.scenes import copy_of, hidden
from tests.crash.trial import points_of
from tests.served import SMALL, workspace

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="killed in forked copies")
WIDE = SMALL.replace("[60, 40]", "[61, 40]")
OTHER = SMALL.replace("[60, 40]", "[62, 40]")
Work = Callable[[Shelf], object]
WORKS: dict[str, tuple[Work, bool]] = {
    "save": (lambda shelf: shelf.save("box", WIDE, shelf.read("box").version), False),
    "add": (lambda shelf: shelf.add("fresh", WIDE), False),
    "rename": (lambda shelf: shelf.rename("box", "case"), True),
    "put away": (lambda shelf: shelf.put_away("box"), True),
    "bring back": (lambda shelf: shelf.bring_back("old"), True),
}
"""What is done, and whether it moves a file."""


@pytest.fixture
def made(tmp_path: Path) -> Path:
    root = workspace(tmp_path / "made", box=SMALL, old=OTHER)
    Shelf(root).put_away("old")
    return root


def done(work: Work, root: Path, kill_at: int | None = None, *, torn: bool = False) -> list[str]:
    """Do it in a copy of this process; the steps it took on the disk."""
    taken = root.with_name("steps.txt")
    child = os.fork()
    if child == 0:
        with contextlib.suppress(BaseException):
            log = os.open(taken, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            watch(root, log, kill_at, torn)
            work(Shelf(root))
            os._exit(0)
        os._exit(99)
    _, ended = os.waitpid(child, 0)
    if kill_at is None:
        assert ended == 0
    else:
        assert os.WIFSIGNALED(ended)
    return taken.read_text().split()


def texts(root: Path) -> dict[str, str]:
    """Every design, wherever it stands."""
    models = root / "models"
    found = [*models.glob("*.toml"), *(models / PUT_AWAY).glob("*.toml")]
    return {str(path.relative_to(models)): path.read_text() for path in found}


def each_kill(work: Work, made: Path) -> Iterator[tuple[str, Path]]:
    root = made.with_name("killed")
    copy_of(made, root)
    steps = done(work, root)
    assert len(steps) >= 3
    for number, torn in points_of(steps):
        copy_of(made, root)
        done(work, root, number, torn=torn)
        yield f"{steps[number - 1]} {number} of {len(steps)}{', torn' if torn else ''}", root


@pytest.mark.parametrize("name", WORKS)
def test_killed_at_any_step_no_design_is_lost_or_cut(name: str, made: Path) -> None:
    work, moves = WORKS[name]
    old = texts(made)
    tried = made.with_name("tried")
    copy_of(made, tried)
    done(work, tried)
    new = texts(tried)
    assert new != old
    for where, root in each_kill(work, made):
        now = texts(root)
        allowed = [old, new, old | new] if moves else [old, new]
        assert now in allowed, where
        shelf = Shelf(root)
        shelf.add("another", OTHER)
        assert shelf.put_away("another") == "another"
        assert hidden(root) == set(), f"{where}: the next one clears up"
