"""What a session changes is written in an order that no loss of power turns round."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from fitcheck.errors import InputError
from fitcheck.workspace.atomic import write_whole
from fitcheck.workspace.locking import locked
from fitcheck.workspace.paths import CALIBRATION
from fitcheck.workspace.records import clear_leftovers, records_folder, settle

ATTEMPTS = 100
"""So often others may change the records while a session works on them."""
Text = tuple[Path, str]
Result = TypeVar("Result")
State = frozenset[tuple[str, int, int, int]]


@dataclass(frozen=True)
class Change:
    """Everything that a session writes, in the order in which it is written."""

    turned: Text | None
    """The list of records that do not count."""
    record: Text | None
    profile: Text | None
    removed: Path | None
    """A profile that no record stands behind any more."""

    @property
    def is_nothing(self) -> bool:
        """Whether all stays as it is."""
        return self == Change(None, None, None, None)

    def write(self) -> None:
        """Write it all; on failure all is as it was before."""
        with contextlib.ExitStack() as undo:
            for text in (self.turned, self.record, self.profile):
                if text is not None:
                    _put(*text, undo)
            if self.removed is not None:
                _remove(self.removed)
            undo.pop_all()


def write_change(work: Callable[[], tuple[Change, Result]], root: Path) -> Result:
    """Do the work, then write its change under the lock of the records.

    When another program has changed records or profiles meanwhile the work is done again. Raises
    ``InputError`` when nothing can be written.
    """
    folder = records_folder(root)
    for _ in range(ATTEMPTS):
        seen = _state(root)
        change, result = work()
        if change.is_nothing:
            return result
        with locked(folder):
            clear_leftovers(folder)
            if _state(root) == seen:
                change.write()
                return result
    raise InputError(
        f"{folder}: other programs have been changing the records all the while; let them finish "
        "and try again; nothing was written"
    )


def _put(path: Path, text: str, undo: contextlib.ExitStack) -> None:
    before = path.read_bytes() if path.is_file() else None
    write_whole(path, text)
    undo.callback(_put_back, path, before)
    settle(path.parent)


def _put_back(path: Path, before: bytes | None) -> None:
    with contextlib.suppress(OSError, InputError):
        if before is None:
            path.unlink(missing_ok=True)
        else:
            write_whole(path, before)


def _remove(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise InputError(
            f"{path}: cannot be removed ({error.strerror or error}); allowed: a workspace you may "
            "write to; mend its rights; nothing was written"
        ) from error
    settle(path.parent)


def _state(root: Path) -> State:
    """Names, sizes and times of everything that a session may read or write there."""
    found = []
    for folder in (root / CALIBRATION).glob("*"):
        for path in folder.glob("*"):
            if not path.name.startswith("."):
                with contextlib.suppress(OSError):
                    told = path.lstat()
                    found.append((str(path), told.st_ino, told.st_size, told.st_mtime_ns))
    return frozenset(found)
