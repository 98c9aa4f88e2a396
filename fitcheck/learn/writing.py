"""What a session changes is written as one set, if nobody has changed the records meanwhile."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from fitcheck.errors import InputError
from fitcheck.workspace.atomic import write_many
from fitcheck.workspace.locking import locked
from fitcheck.workspace.paths import CALIBRATION
from fitcheck.workspace.records import clear_leftovers, records_folder

ATTEMPTS = 100
"""So often others may change the records while a session works on them."""
Text = tuple[Path, str]
Result = TypeVar("Result")
State = frozenset[tuple[str, int, int, int]]


@dataclass(frozen=True)
class Change:
    """Everything that a session writes."""

    turned: Text | None
    """The list of records that do not count."""
    record: Text | None
    profile: Text | None
    """The profile; where no record counts any more, its text in the place where it is kept."""
    removed: Path | None
    """A profile that no record stands behind any more, or what was kept of one that came back."""

    @property
    def is_nothing(self) -> bool:
        """Whether all stays as it is."""
        return self == Change(None, None, None, None)

    def write(self) -> None:
        """Write it all or nothing. Raises ``InputError`` where that is not possible."""
        texts = (self.turned, self.record, self.profile)
        removed = [] if self.removed is None else [self.removed]
        write_many(dict(text for text in texts if text is not None), removed=removed)


def write_change(work: Callable[[], tuple[Change, Result]], root: Path) -> Result:
    """Do the work, then write its change under the lock of the records.

    What a killed session left is finished or cleared before. When another program has changed
    records or profiles meanwhile the work is done again. Raises ``InputError`` when nothing can be
    written.
    """
    folder = records_folder(root)
    for _ in range(ATTEMPTS):
        clear_leftovers(folder)
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


def _state(root: Path) -> State:
    """Names, sizes and times of everything that a session may read or write there."""
    found = []
    for folder in (root / CALIBRATION).glob("*"):
        for path in folder.glob("*"):
            if not path.name.startswith("."):
                with contextlib.suppress(OSError):
                    status = path.lstat()
                    found.append((str(path), status.st_ino, status.st_size, status.st_mtime_ns))
    return frozenset(found)
