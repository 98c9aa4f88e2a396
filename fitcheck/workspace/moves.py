"""One step of a set on the disk: it can be made, finished after a kill, and taken back."""

from __future__ import annotations

import contextlib
import os
from dataclasses import dataclass, field
from pathlib import Path

from fitcheck.workspace.digests import digest_of
from fitcheck.workspace.filenames import HIDDEN

GONE = "gone"
"""Stands for a digest where a file is to be no more."""
OTHER = "not a file"


@dataclass(frozen=True)
class Move:
    """One file on its way into a folder or out of it, or one new folder with all that is in it."""

    mark: str
    """Twelve digits of the set that it belongs to."""
    folder: Path
    name: str
    number: int
    """Among the moves of its set."""
    old: str | None = None
    """The digest of the file that stood there; None where there was none."""
    new: str | None = None
    """The digest of the file to come, `GONE` where it is to go; None for a folder."""
    tree: dict[str, str] = field(default_factory=dict)
    """A folder's files and their digests."""

    @property
    def target(self) -> Path:
        """The place."""
        return self.folder / self.name

    @property
    def part(self) -> Path:
        """What is staged."""
        return staged(self.folder, self.mark, f"{self.number}.part")

    @property
    def backup(self) -> Path:
        """What stood there, kept until the set is whole."""
        return staged(self.folder, self.mark, f"{self.number}.old")

    def go(self) -> None:
        """Put it in place. Raises ``OSError`` where the place is not as it was."""
        if self.new is None:
            os.rename(self.part, self.target)
        elif what_stands(self.target) == self.old:
            self._put()
        else:
            raise FileExistsError(17, "another program has changed it meanwhile", str(self.target))

    def finish(self) -> None:
        """Put it in place, if that was not done and nobody has changed the place since."""
        if self.new != GONE and not os.path.lexists(self.part):
            return
        if self.new is None:
            self._finish_folder()
        elif what_stands(self.target) == self.old:
            self._put()

    def back(self) -> None:
        """Take it back, unless somebody has changed it since."""
        if self.new is None:
            for name, digest in self.tree.items():
                path = self.target / name
                if what_stands(path) == digest and _is_plain(path):
                    path.unlink()
            if _is_plain(self.target):
                _remove_empty(self.target)
        elif what_stands(self.target) == (None if self.new == GONE else self.new):
            if self.old is None:
                self.target.unlink()
            elif self.backup.is_file():
                os.replace(self.backup, self.target)

    def _put(self) -> None:
        if self.new == GONE:
            self.target.unlink(missing_ok=True)
        else:
            os.replace(self.part, self.target)

    def _finish_folder(self) -> None:
        if not os.path.lexists(self.target):
            os.rename(self.part, self.target)
            return
        for name in self.tree:  # somebody has made the folder since: add what is not there
            place = self.target / name
            if _is_plain(place) and not os.path.lexists(place) and (self.part / name).is_file():
                place.parent.mkdir(parents=True, exist_ok=True)
                os.replace(self.part / name, place)


def staged(folder: Path, mark: str, what: str) -> Path:
    """A hidden place in a folder for what belongs to the set of that mark."""
    return folder / f"{HIDDEN}-{mark}-{what}"


def what_stands(path: Path) -> str | None:
    """What stands in a place: a file's digest, a word for anything else, None for nothing."""
    return digest_of(path) or (OTHER if os.path.lexists(path) else None)


def _is_plain(path: Path) -> bool:
    """Whether no link leads to the place."""
    return os.path.realpath(path) == str(path)


def _remove_empty(folder: Path) -> None:
    if folder.is_dir() and not folder.is_symlink():
        for path in folder.iterdir():
            _remove_empty(path)
        with contextlib.suppress(OSError):
            folder.rmdir()
