"""Files are written whole or not at all, one alone or several together."""

import contextlib
import os
import secrets
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path

from fitcheck.errors import InputError

Data = bytes | str


def write_whole(path: Path, data: Data) -> None:
    """Write one file whole; on failure what stood there before stands there still.

    Folders on the way are made. Raises ``InputError`` where the place cannot be written.
    """
    write_many({path: data})


def write_many(files: Mapping[Path, Data]) -> None:
    """Write all the files or none: after a failure every place is as it was before.

    Raises ``InputError`` where a place cannot be written; other errors pass through.
    """
    with contextlib.ExitStack() as undo:
        staged = {_target(path): data for path, data in files.items()}
        with _explained():
            parts = {path: _stage(path, data, undo) for path, data in staged.items()}
            backups = [_swap(path, part, undo) for path, part in parts.items()]
        undo.pop_all()
    for backup in backups:
        if backup is not None:
            backup.unlink(missing_ok=True)


def _target(path: Path) -> Path:
    return Path(os.path.realpath(path))


@contextlib.contextmanager
def _explained() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        place = error.filename2 or error.filename or "the output"
        raise InputError(
            f"{place}: cannot be written ({error.strerror or error}); allowed: a place you may "
            "write to; choose another with -o or mend its rights; nothing was written"
        ) from error


def _stage(path: Path, data: Data, undo: contextlib.ExitStack) -> Path:
    if path.is_dir():
        raise IsADirectoryError(21, "it is a folder", str(path))
    for above in path.parents:
        if above.exists() and not above.is_dir():
            raise NotADirectoryError(20, "it is a file, not a folder", str(above))
    for folder in reversed([folder for folder in path.parents if not folder.exists()]):
        folder.mkdir()
        undo.callback(_remove_folder, folder)
    part = _beside(path)
    undo.callback(part.unlink, missing_ok=True)
    raw = data.encode("utf-8") if isinstance(data, str) else data
    try:
        with part.open("xb") as stream:
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
    except OSError as error:
        error.filename = str(path)
        raise
    if path.exists():
        shutil.copymode(path, part)
    return part


def _swap(path: Path, part: Path, undo: contextlib.ExitStack) -> Path | None:
    """Put the staged part in place and say how to take it back."""
    if not path.exists():
        os.replace(part, path)
        undo.callback(path.unlink, missing_ok=True)
        return None
    backup = _beside(path)
    undo.callback(backup.unlink, missing_ok=True)
    shutil.copy2(path, backup)
    os.replace(part, path)
    undo.callback(os.replace, backup, path)
    return backup


def _beside(path: Path) -> Path:
    return path.with_name(f".{secrets.token_hex(6)}.part")


def _remove_folder(folder: Path) -> None:
    with contextlib.suppress(OSError):
        folder.rmdir()
