"""A set of files goes in place as one: what a kill interrupts is finished, or cleared, by the next.

All parts are staged beside their places under hidden names. A journal then says by one rename that
the set is to be; each part is moved, and the journal removed. Whoever writes into one of the
folders next finds the journal and moves what is still to be moved; without one, what is staged is
cleared. A set in several folders has its journal in the first, its home, and a note in each other.

A journal moves nothing but parts that carry its own mark to names in the very folder they lie in,
neither replaces nor removes a file that somebody has changed since, and reaches only folders that
have its note.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import re
import shutil
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError, reason_of
from fitcheck.workspace.filenames import HIDDEN
from fitcheck.workspace.locking import PASSING_LOCK, holding
from fitcheck.workspace.moves import Move
from fitcheck.workspace.reading import Most, read_bounded

JOURNAL = f"{HIDDEN}.journal"
NOTE = f"{HIDDEN}.elsewhere"
"""Names the home of the set that is under way in this folder, and the set's mark."""
_MARK = re.compile(r"[0-9a-f]{12}")
_LEFT = re.compile(
    rf"{re.escape(HIDDEN)}-[0-9a-f]{{12}}-(\d+\.(part|old)|forward\.part|back\.part)"
    r"|\.[0-9a-f]{12}\.part"
)

_NEVER_SYNCED = (errno.EINVAL, errno.EBADF, errno.ENOTSUP, errno.EACCES)
_UNREADABLE = (OSError, InputError, ValueError, KeyError, TypeError, AttributeError, RecursionError)


def journal_text(home: Path, moves: Iterable[Move], *, back: bool = False) -> bytes:
    """The journal of a set; its folders are told as they lie from its home."""
    rows = [
        {
            "folder": _from(home, move.folder),
            "name": move.name,
            "mark": move.mark,
            "number": move.number,
            "old": move.old,
            "new": move.new,
            "tree": move.tree,
        }
        for move in moves
    ]
    return json.dumps({"format": 1, "back": back, "moves": rows}).encode("ascii")


def note_text(home: Path, folder: Path, mark: str) -> bytes:
    """The note that a folder of a set has about the set's home."""
    return json.dumps({"format": 1, "home": _from(folder, home), "mark": mark}).encode("ascii")


def _from(start: Path, path: Path) -> str:
    try:
        return os.path.relpath(path, start)
    except ValueError:  # on another drive
        return str(path)


def recover(folders: Iterable[Path]) -> None:
    """Finish or clear what an interrupted program left in folders; they are held meanwhile.

    Raises ``InputError`` where that is not possible, or another program is writing there.
    """
    for folder in folders:
        if not _traces(folder):
            continue
        try:
            _recover_held(folder)
        except OSError as error:
            raise InputError(
                f"{error.filename or folder}: a set of files was left unfinished here and cannot "
                f"be finished ({reason_of(error)}); allowed: a place you may write to; mend "
                "its rights and try again; nothing was written"
            ) from error


def _recover_held(folder: Path) -> None:
    locked_folders = {folder}
    while True:
        with holding(locked_folders):
            home, moves, back = _under_way(folder)
            needed = {folder, *(move.folder for move in moves)} | ({home} if moves else set())
            if needed <= locked_folders:
                carry_out(moves, back=back)
                settle(needed)
                if moves:
                    (home / JOURNAL).unlink()
                for place in needed:
                    clear(place)
                return
        locked_folders = locked_folders | needed


def carry_out(moves: Iterable[Move], *, back: bool = False) -> None:
    """Make all the moves that were not made yet, or take back those that were."""
    for move in moves:
        if back:
            move.back()
        else:
            move.finish()


def clear(folder: Path) -> None:
    """Remove what sets left in a folder; it is held, and its journal, if any, was carried out."""
    for path in _traces(folder):
        if path.name == PASSING_LOCK:
            continue
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)


def settle(folders: Iterable[Path]) -> None:
    """Make folders' own lists of files safe against a loss of power, where systems do that.

    Raises ``OSError`` where it should have been possible.
    """
    for folder in folders:
        try:
            descriptor = os.open(folder, os.O_RDONLY)
        except OSError:  # a system that does not open folders
            continue
        try:
            os.fsync(descriptor)
        except OSError as error:
            if error.errno not in _NEVER_SYNCED:
                raise
        finally:
            os.close(descriptor)


def _traces(folder: Path) -> list[Path]:
    try:
        names = os.listdir(folder)
    except OSError:  # whoever wants to write there will be told
        return []
    ours = (JOURNAL, NOTE, PASSING_LOCK)
    return [folder / name for name in names if name in ours or _LEFT.fullmatch(name)]


def is_unsettled(folder: Path) -> bool:
    """Whether a set was left unfinished in a folder; it is held."""
    return any(path.name != PASSING_LOCK for path in _traces(folder))


def _under_way(folder: Path) -> tuple[Path, tuple[Move, ...], bool]:
    """The home of the set under way in a folder, its moves, and whether they are taken back."""
    home, mark = _noted(folder) or (folder, None)
    with contextlib.suppress(*_UNREADABLE):
        said = _loaded(home / JOURNAL)
        moves = tuple(_move(home, row) for row in said["moves"])
        if mark is None or all(move.mark == mark for move in moves):
            # Only where the folder itself has a note of it: else any journal could reach anywhere.
            agreed = (m for m in moves if m.folder == home or _noted(m.folder) == (home, m.mark))
            return home, tuple(agreed), bool(said["back"])
    return folder, (), False


def _noted(folder: Path) -> tuple[Path, str] | None:
    with contextlib.suppress(*_UNREADABLE):
        said = _loaded(folder / NOTE)
        return Path(os.path.realpath(folder / str(said["home"]))), str(said["mark"])
    return None


def _move(home: Path, row: dict[str, Any]) -> Move:
    folder = Path(os.path.realpath(home / str(row["folder"])))
    name, tree = str(row["name"]), {str(k): str(v) for k, v in row["tree"].items()}
    mark, number = str(row["mark"]), int(row["number"])
    inner = [part for path in tree for part in path.replace("\\", "/").split("/")]
    if (
        _MARK.fullmatch(mark) is None
        or any(part in ("", ".", "..") or Path(part).name != part for part in (name, *inner))
        or any(not isinstance(row[key], str | None) for key in ("old", "new"))
    ):
        raise ValueError(f"no move: {row}")
    return Move(mark, folder, name, number, row["old"], row["new"], tree)


def _loaded(path: Path) -> Any:
    """What a hidden file of ours says. Raises one of ``_UNREADABLE`` for a link or nonsense."""
    if path.is_symlink():
        raise ValueError(f"{path} is a link")
    return json.loads(read_bounded(path, Most.DESIGN))
