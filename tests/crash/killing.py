"""Runs a command in a forked copy of this process and kills it at a chosen step on the disk.

A step is a call that changes what is on the disk below one folder: replace, rename, link, unlink,
mkdir, rmdir, fsync, and opening a file to write. The kill comes just before the call; as only such
calls change anything, that is just after the one before, too. A torn kill comes at an fsync with
half of the file's bytes gone, as when the power fails before they are on the disk.
"""

from __future__ import annotations

import builtins
import contextlib
import io
import os
import signal
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

STEPS = ("replace", "rename", "link", "unlink", "remove", "mkdir", "rmdir")
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    status: int
    """Exit status; -9 when it was killed."""
    steps: tuple[str, ...]
    """The names of the steps it took."""
    said: str
    """Both streams."""


def run_here(
    arguments: Sequence[str | Path], root: Path, kill_at: int | None = None, *, torn: bool = False
) -> Ended:
    """Run `fitcheck` in a copy of this process, its current folder `root`; kill it at a step."""
    said = root.with_name(f"{root.name}-said.txt")
    taken = root.with_name(f"{root.name}-steps.txt")
    child = os.fork()
    if child == 0:
        with contextlib.suppress(BaseException):
            _be_the_command([str(one) for one in arguments], root, kill_at, torn, said, taken)
        os._exit(99)
    _, ended = os.waitpid(child, 0)
    status = -os.WTERMSIG(ended) if os.WIFSIGNALED(ended) else os.WEXITSTATUS(ended)
    steps = tuple(taken.read_text().split())
    words = said.read_text(errors="replace")
    said.unlink()
    taken.unlink()
    return Ended(status, steps, words)


def _be_the_command(
    arguments: list[str], root: Path, kill_at: int | None, torn: bool, said: Path, taken: Path
) -> None:
    out = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(out, 1)
    os.dup2(out, 2)
    sys.stdout, sys.stderr = os.fdopen(1, "w"), os.fdopen(2, "w")
    os.chdir(root)
    log = os.open(taken, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    watch(root, log, kill_at, torn)
    from fitcheck.cli.main import run

    sys.argv = ["fitcheck", *arguments]
    status: Any = 0
    try:
        run()
    except SystemExit as end:
        status = end.code or 0
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(int(status))


def watch(root: Path, log: int, kill_at: int | None, torn: bool) -> None:
    """Count this process's steps below a folder from now on, and die at one of them."""
    inside = str(root.resolve())
    count = 0

    def step(name: str, descriptor: int | None = None) -> None:
        nonlocal count
        count += 1
        os.write(log, f"{name}\n".encode())
        if count == kill_at:
            if torn and descriptor is not None:
                os.ftruncate(descriptor, os.fstat(descriptor).st_size // 2)
            os.kill(os.getpid(), signal.SIGKILL)

    def here(path: Any) -> bool:
        if isinstance(path, int):
            return False
        text = os.fsdecode(path)
        return not os.path.isabs(text) or text.startswith(inside)

    def stepping(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(path: Any, *rest: Any, **named: Any) -> Any:
            if here(path):
                step(name)
            return real(path, *rest, **named)

        return call

    for name in STEPS:
        setattr(os, name, stepping(name, getattr(os, name)))
    real_sync, real_os_open, real_open = os.fsync, os.open, io.open

    def sync(descriptor: Any) -> None:
        number = descriptor if isinstance(descriptor, int) else descriptor.fileno()
        step("fsync", number if _writable(number) else None)
        real_sync(descriptor)

    def os_open(path: Any, flags: int, *rest: Any, **named: Any) -> int:
        if flags & WRITING and here(path):
            step("open")
        return real_os_open(path, flags, *rest, **named)

    def opened(file: Any, mode: str = "r", *rest: Any, **named: Any) -> Any:
        if set(mode) & set("wxa+") and here(file):
            step("open")
        return real_open(file, mode, *rest, **named)

    os.fsync, os.open = sync, os_open
    io.open = builtins.open = opened  # type: ignore[assignment]


def _writable(descriptor: int) -> bool:
    import fcntl

    return bool(fcntl.fcntl(descriptor, fcntl.F_GETFL) & (os.O_WRONLY | os.O_RDWR))
