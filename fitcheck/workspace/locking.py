"""One program at a time may change the records: the others wait, and a dead one holds nothing."""

import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

from fitcheck.errors import InputError

LOCK_FILE = ".lock"
WAIT_S = 60.0
PAUSE_S = 0.05


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
            f"{folder}: cannot be written ({error.strerror or error}); allowed: a workspace "
            "you may write to; mend its rights or work in another folder; nothing was written"
        ) from error
    try:
        _wait(descriptor, folder, wait_s)
        yield
    finally:
        os.close(descriptor)


def _wait(descriptor: int, folder: Path, wait_s: float) -> None:
    until = time.monotonic() + wait_s
    while not _try(descriptor):
        if time.monotonic() >= until:
            raise InputError(
                f"{folder}: another program has been changing the records for {wait_s:g} s; "
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
