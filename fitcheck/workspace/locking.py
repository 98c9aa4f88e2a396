"""One program at a time may change a folder: the others wait, and a dead one holds nothing."""

import contextlib
import os
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

from fitcheck.errors import InputError, reason_of
from fitcheck.workspace.filenames import HIDDEN

LOCK_FILE = ".lock"
"""Of the records: it stays there."""
PASSING_LOCK = f"{HIDDEN}.lock"
"""Of a folder while something is written to it: it goes again."""
WAIT_S = 60.0
PAUSE_S = 0.05
_NO_LINK: int = getattr(os, "O_NOFOLLOW", 0)


@contextlib.contextmanager
def locked(folder: Path, wait_s: float = WAIT_S) -> Iterator[None]:
    """Hold the folder's lock; it is made if missing, and the system lets go when a program dies.

    Raises ``InputError`` when the folder cannot be written or another program holds on to it.
    """
    path = folder / LOCK_FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as error:
        raise InputError(
            f"{folder}: cannot be written ({reason_of(error)}); allowed: a workspace "
            "you may write to; mend its rights or work in another folder; nothing was written"
        ) from error
    try:
        _wait(descriptor, folder, time.monotonic() + wait_s)
        yield
    finally:
        os.close(descriptor)


@contextlib.contextmanager
def holding(folders: Iterable[Path], wait_s: float = WAIT_S) -> Iterator[None]:
    """Hold folders that are there while they are written to; their locks are gone afterwards.

    They are taken in one order, so that two programs never wait for each other. Raises ``OSError``
    where a folder cannot be written, ``InputError`` when another program holds on to one.
    """
    until = time.monotonic() + wait_s
    with contextlib.ExitStack() as locks:
        for folder in sorted(set(folders)):
            locks.enter_context(_passing(folder, until))
        yield


@contextlib.contextmanager
def _passing(folder: Path, until: float) -> Iterator[None]:
    path = folder / PASSING_LOCK
    while True:
        descriptor = _opened(path)
        if descriptor is None:
            continue
        try:
            _wait(descriptor, folder, until)
            # Whoever held it before has removed it: hold the one that others will find.
            if _is_there(path, descriptor):
                break
        except BaseException:
            os.close(descriptor)
            raise
        os.close(descriptor)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            path.unlink()
        os.close(descriptor)


def _opened(path: Path) -> int | None:
    """The lock file, made if missing; None if another program was quicker."""
    try:
        return os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o644)
    except FileExistsError:
        pass
    try:
        return os.open(path, os.O_RDONLY | _NO_LINK)  # it may be another user's
    except FileNotFoundError:
        return None


def _is_there(path: Path, descriptor: int) -> bool:
    try:
        return os.path.samestat(os.stat(path), os.fstat(descriptor))
    except FileNotFoundError:
        return False


def _wait(descriptor: int, folder: Path, until: float) -> None:
    began = time.monotonic()
    while not _try(descriptor):
        if time.monotonic() >= until:
            raise InputError(
                f"{folder}: another program has been writing here for {until - began:.0f} s; "
                "let it finish and try again; nothing was written"
            )
        time.sleep(PAUSE_S)


def _try(descriptor: int) -> bool:
    try:
        _take(descriptor)
    except OSError:
        return False
    return True


try:
    import fcntl

    def _take(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)

except ImportError:  # a system without flock
    import msvcrt

    def _take(descriptor: int) -> None:
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
