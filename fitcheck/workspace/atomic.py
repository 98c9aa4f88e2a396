"""Files are written whole or not at all, one alone or several together, whatever interrupts it."""

import contextlib
import errno
import os
import secrets
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from fitcheck.errors import InputError, reason_of
from fitcheck.workspace.digests import digest_of_bytes
from fitcheck.workspace.filenames import HIDDEN
from fitcheck.workspace.journal import (
    JOURNAL,
    NOTE,
    carry_out,
    clear,
    is_unsettled,
    journal_text,
    note_text,
    recover,
    settle,
)
from fitcheck.workspace.locking import holding
from fitcheck.workspace.moves import GONE, Move, staged, what_stands

FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
"""What the system says of a place without room."""
Data = bytes | str
Files = Mapping[Path, Data]


def write_whole(path: Path, data: Data) -> None:
    """Write one file whole; on failure what stood there before stands there still.

    Folders on the way are made. Raises ``InputError`` where the place cannot be written.
    """
    write_many({path: data})


def write_many(
    files: Files, and_then: Callable[[], Files] = dict, *, removed: Iterable[Path] = ()
) -> None:
    """Write all the files or none: after a failure every place is as it was before.

    Files that are ``removed`` go with the set, as far as they are there. A new folder appears
    whole, by one rename; what goes into folders that are there goes by a journal, so that a program
    killed on the way leaves a set that the next one finishes or clears. The folders are held
    meanwhile, and ``and_then`` is asked for more files in them once they are. Raises ``InputError``
    where a place cannot be written; other errors pass through.
    """
    gone = [_target(path.parent) / path.name for path in removed if os.path.lexists(path)]
    places = {path: _target(path) for path in files} | {path: path for path in gone}
    if len(set(places.values())) < len(places):
        raise InputError("two files have one place; allowed: a place for each; nothing was written")
    with _explained():
        while places:
            folders = {_folder_that_is_there(place) for place in places.values()}
            recover(folders)
            with holding(folders):
                if any(is_unsettled(folder) for folder in folders):
                    continue  # another program wrote here and was stopped, just now
                more = {**files, **and_then()}
                made = {_target(path): bytes_of(data) for path, data in more.items()}
                _write_set(_packages({**made, **dict.fromkeys(gone)}))
                return


@dataclass(frozen=True)
class _Package:
    """A move and what it brings: files by their names in a new folder, or one file under ``""``."""

    move: Move
    contents: Mapping[str, bytes]


def _target(path: Path) -> Path:
    try:
        return Path(os.path.realpath(path))
    except (OSError, ValueError) as error:
        raise InputError(
            f"{path}: cannot be written ({error}); allowed: a place you may write to; choose "
            "another; nothing was written"
        ) from None


def bytes_of(data: Data) -> bytes:
    """What a file of it holds: text is UTF-8."""
    return data.encode("utf-8") if isinstance(data, str) else data


@contextlib.contextmanager
def _explained() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        place = Path(error.filename2 or error.filename or "the output")
        place = place.parent if place.name.startswith(HIDDEN) else place
        cure = "make room on its disk" if error.errno in FULL else "mend its rights"
        raise InputError(
            f"{place}: cannot be written ({reason_of(error)}); allowed: a place you may "
            f"write to; {cure} or choose another; nothing was written"
        ) from error


def _folder_that_is_there(place: Path) -> Path:
    """The nearest folder above a place that there is. Raises OSError where a file is in the way."""
    above = next(folder for folder in place.parents if os.path.lexists(folder))
    if not above.is_dir():
        raise NotADirectoryError(20, "it is a file, not a folder", str(above))
    return above


def _packages(files: Mapping[Path, bytes | None]) -> list[_Package]:
    """The moves that bring the files: one for each topmost new folder, then one for each file.

    A file of which nothing is to be is taken away.
    """
    mark = secrets.token_hex(6)
    trees: dict[Path, dict[str, bytes]] = {}
    single: dict[Path, bytes | None] = {}
    for place, data in files.items():
        above = _folder_that_is_there(place)
        inner = place.relative_to(above)
        if data is None:
            single[place] = None
        elif len(inner.parts) == 1:
            if place.is_dir():
                raise IsADirectoryError(21, "it is a folder", str(place))
            if os.path.lexists(place) and not place.is_file():
                raise FileExistsError(17, "it is a device or a pipe", str(place))
            single[place] = data
        else:
            tree = trees.setdefault(above / inner.parts[0], {})
            tree[str(Path(*inner.parts[1:]))] = data
    found: list[_Package] = []
    for place, tree in trees.items():
        digests = {name: digest_of_bytes(data) for name, data in tree.items()}
        move = Move(mark, place.parent, place.name, len(found), tree=digests)
        found.append(_Package(move, tree))
    for place, data in single.items():
        new = GONE if data is None else digest_of_bytes(data)
        move = Move(mark, place.parent, place.name, len(found), what_stands(place), new)
        found.append(_Package(move, {} if data is None else {"": data}))
    return found


def _write_set(packages: list[_Package]) -> None:
    moves = [package.move for package in packages]
    folders = sorted({move.folder for move in moves})
    try:
        for package in packages:
            _stage(package)
        if len(moves) == 1:
            moves[0].go()
            with contextlib.suppress(OSError):  # it is in place
                settle(folders)
        else:
            _commit(moves, folders)
    finally:
        if not os.path.lexists(folders[0] / JOURNAL):
            for folder in folders:
                with contextlib.suppress(OSError):
                    clear(folder)


def _stage(package: _Package) -> None:
    move = package.move
    try:
        if move.new is None:
            for name, data in package.contents.items():
                path = move.part / name
                path.parent.mkdir(parents=True, exist_ok=True)
                _put(path, data)
            settle([move.part, *(path for path in move.part.rglob("*") if path.is_dir())])
        elif move.new != GONE:
            _put(move.part, package.contents[""])
            if move.old is not None:
                shutil.copymode(move.target, move.part)
    except OSError as error:
        error.filename, error.filename2 = str(move.target), None
        raise


def _put(path: Path, data: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _commit(moves: list[Move], folders: list[Path]) -> None:
    """Say by one rename that the set is to be, and make its moves; on failure take all back."""
    home, mark = folders[0], moves[0].mark
    forward, back = (staged(home, mark, f"{way}.part") for way in ("forward", "back"))
    for move in moves:
        if move.old is not None:
            _keep(move.target, move.backup)
    for folder in folders[1:]:
        _put(folder / NOTE, note_text(home, folder, mark))
    _put(forward, journal_text(home, moves))
    _put(back, journal_text(home, moves, back=True))
    settle(folders)
    os.replace(forward, home / JOURNAL)
    try:
        settle([home])
        for move in moves:
            move.go()
        settle(folders)
    except BaseException:
        _take_back(moves, back, home)
        raise
    (home / JOURNAL).unlink()


def _take_back(moves: list[Move], back: Path, home: Path) -> None:
    try:
        os.replace(back, home / JOURNAL)
        carry_out(moves, back=True)
        (home / JOURNAL).unlink()
    except OSError as error:
        raise InputError(
            f"{home}: the set could be neither written nor taken back ({reason_of(error)}); "
            "mend the disk or its rights: the next fitcheck command that writes there does it"
        ) from error


def _keep(path: Path, backup: Path) -> None:
    try:
        os.link(path, backup)
    except OSError:  # a disk without links, or somebody else's file
        shutil.copy2(path, backup)
