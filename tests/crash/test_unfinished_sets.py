"""Sets that were interrupted are finished or cleared, and nothing that came since is lost.

Each kill is a real one: a forked copy of this process that writes, or that finishes what another
left, dies at a chosen step. What has to stand afterwards is written here, by hand.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.workspace.atomic import write_many
from fitcheck.workspace.journal import JOURNAL, NOTE, recover
from fitcheck.workspace.locking import holding
from tests.crash.killing import watch

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked copies")
OLD = {"a/one.txt": b"old one", "a/two.txt": b"old two", "b/three.txt": b"old three"}
NEW = {"a/one.txt": b"new", "b/three.txt": b"new three", "b/four.txt": b"4", "c/d/five.txt": b"5"}
BOTH = OLD | NEW


def fill(root: Path) -> Path:
    for name, data in OLD.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes(data)
    return root


def everything(root: Path) -> dict[str, bytes]:
    return {str(p.relative_to(root)): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def write_new(root: Path) -> None:
    write_many({root / name: data for name, data in NEW.items()})


def recover_all(root: Path) -> None:
    recover([root / "b", root / "a", root])


def dies(work: Callable[[Path], None], root: Path, step: int) -> bool:
    """Whether the work, done in a copy of this process, was killed at that step."""
    child = os.fork()
    if child == 0:
        try:
            watch(root, os.open(os.devnull, os.O_WRONLY), step, torn=False)
            work(root)
        finally:
            os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def test_a_kill_at_any_step_leaves_the_old_set_or_the_new_one(tmp_path: Path) -> None:
    seen = set()
    for step in range(1, 1000):
        root = fill(tmp_path / str(step))
        if not dies(write_new, root, step):
            break
        # the folder in the middle is touched first, and finds its way to the others
        recover([root / "b"])
        now = {k: v for k, v in everything(root).items() if "/." not in f"/{k}"}
        assert now in (OLD, BOTH), step
        recover_all(root)
        assert everything(root) == now, step
        seen.add(now == BOTH)
    assert step > 30 and seen == {False, True}


def test_finishing_may_be_killed_too(tmp_path: Path) -> None:
    points = 0
    for step in range(1, 1000, 4):
        for second in range(1, 1000, 3):
            root = fill(tmp_path / f"{step}-{second}")
            if not dies(write_new, root, step):
                assert points > 30
                return
            again = dies(recover_all, root, second)
            recover_all(root)
            assert everything(root) in (OLD, BOTH), (step, second)
            points += 1
            if not again:
                break


def stopped_half_way(place: Path) -> Path:
    """A set that was said to be, of which only part was moved."""
    for step in range(1, 1000):
        root = fill(place / str(step))
        assert dies(write_new, root, step)
        if (root / JOURNAL).is_file() and (root / "c").is_dir():
            return root
    raise AssertionError("there is no such moment")


def test_what_was_changed_since_is_kept(tmp_path: Path) -> None:
    root = stopped_half_way(tmp_path)
    (root / "a" / "one.txt").write_bytes(b"mine now")
    (root / "b" / "four.txt").write_bytes(b"mine too")
    recover_all(root)
    mine = {"a/one.txt": b"mine now", "b/four.txt": b"mine too"}
    assert everything(root) == BOTH | mine


def test_a_strangers_journal_reaches_nothing_outside_its_folder(tmp_path: Path) -> None:
    """It would take back, that is remove, a file whose bytes are known to everybody."""
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "licence.txt").write_bytes(b"known to all")
    came = tmp_path / "download"
    came.mkdir()
    (came / "way").symlink_to(tmp_path / "home")
    digest = hashlib.sha256(b"known to all").hexdigest()
    file = {"name": "licence.txt", "old": None, "new": digest, "tree": {}}
    tree = {"name": "way", "folder": ".", "old": None, "new": None, "tree": {"licence.txt": digest}}
    moves = [file | {"folder": "../home"}, file | {"folder": "way"}, tree]
    rows = [move | {"mark": "0" * 12, "number": k} for k, move in enumerate(moves)]
    (came / JOURNAL).write_text(json.dumps({"format": 1, "back": True, "moves": rows}))
    recover([came])
    assert (tmp_path / "home" / "licence.txt").read_bytes() == b"known to all"
    assert not (came / JOURNAL).exists()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"moves": 3}', "[" * 100_000, "\0" * 50])
def test_nonsense_under_our_names_is_cleared(tmp_path: Path, text: str) -> None:
    fill(tmp_path)
    (tmp_path / "a" / JOURNAL).write_text(text)
    (tmp_path / "b" / NOTE).write_text(text)
    recover_all(tmp_path)
    assert everything(tmp_path) == OLD


def test_what_a_running_program_stages_is_left_alone(tmp_path: Path) -> None:
    part = tmp_path / ".fitcheck-0123456789ab-0.part"
    seen = []

    def writing() -> None:
        with holding([tmp_path]):
            part.write_text("on its way")
            held.set()
            time.sleep(0.3)
            seen.append(part.exists())

    held = threading.Event()
    other = threading.Thread(target=writing)
    other.start()
    held.wait()
    recover([tmp_path])
    other.join()
    assert seen == [True] and everything(tmp_path) == {}


def test_two_programs_write_one_after_the_other(tmp_path: Path) -> None:
    """Both sets are whole, whoever comes last: each file of a set says the same."""

    def write(number: int) -> None:
        for turn in range(10):
            text = f"{number} {turn}"
            write_many({tmp_path / f"{name}.txt": text for name in "abc"})

    writers = [threading.Thread(target=write, args=(number,)) for number in range(3)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert len(set(everything(tmp_path).values())) == 1 and len(everything(tmp_path)) == 3


@pytest.mark.parametrize("lasting", [False, True])
@pytest.mark.parametrize("call", ["replace", "rename", "fsync", "link", "mkdir", "open"])
def test_an_error_at_any_call_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str, lasting: bool
) -> None:
    """A disk that is full from some moment on, or fails once. Taking back needs no room on it."""
    real = getattr(os, call)
    calls = fails_at = 0

    def failing(*given: object, **named: object) -> object:
        nonlocal calls
        calls += 1
        writes = call != "open" or int(given[1]) & os.O_CREAT  # type: ignore[call-overload]
        back = call == "replace" and str(given[0]).endswith(("back.part", ".old"))
        if writes and not back and (calls >= fails_at if lasting else calls == fails_at):
            raise OSError(errno.ENOSPC, "No space left on device", str(given[0]))
        return real(*given, **named)

    monkeypatch.setattr(os, call, failing)
    for number in range(1, 100):
        root = fill(tmp_path / str(number)) if call != "mkdir" else tmp_path / str(number)
        if call == "mkdir":
            monkeypatch.setattr(os, call, real)
            fill(root)
            monkeypatch.setattr(os, call, failing)
        calls, fails_at = 0, number
        if call == "link":  # it is copied instead
            write_new(root)
        else:
            try:
                write_new(root)
            except InputError as error:
                assert "nothing was written" in str(error) and len(error.lines) == 1
                monkeypatch.setattr(os, call, real)
                assert everything(root) == OLD, number
                monkeypatch.setattr(os, call, failing)
                continue
        assert everything(root) == BOTH
        return
    raise AssertionError("it never came to an end")


def test_a_file_goes_with_a_set_or_stays_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "old.txt").write_text("old")
    (tmp_path / "gone.txt").write_text("to go")
    removed = [tmp_path / "gone.txt", tmp_path / "never.txt"]
    before = everything(tmp_path)
    unlink: Callable[..., None] = Path.unlink

    def shut(path: Path, missing_ok: bool = False) -> None:
        if path.name == "gone.txt":
            raise PermissionError(13, "permission denied", str(path))
        unlink(path, missing_ok=missing_ok)

    with monkeypatch.context() as patched, pytest.raises(InputError, match="permission denied"):
        patched.setattr(Path, "unlink", shut)
        write_many({tmp_path / "old.txt": "new"}, removed=removed)
    assert everything(tmp_path) == before
    write_many({tmp_path / "old.txt": "new"}, removed=removed)
    assert everything(tmp_path) == {"old.txt": b"new"}
