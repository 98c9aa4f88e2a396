"""Every file is read through one door, which takes regular files of a bounded size only."""

import contextlib
import enum
import os
import stat
from collections.abc import Iterator, Mapping
from contextvars import ContextVar
from pathlib import Path

from fitcheck.errors import InputError, reason_of

_MB = 1_000_000
# A named pipe would wait for a writer for ever; where the system has no such flag it has no pipes.
_NO_WAITING: int = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class Most(enum.Enum):
    """The largest file that is read as one of a kind, in megabytes of a million bytes."""

    DESIGN = 1
    """Designs, items, stocks, tools and printers: what people write by hand."""
    READINGS = 50
    """Readings, and the records that keep them."""
    MESH = 200
    """Meshes of contents."""

    @property
    def size_bytes(self) -> int:
        """The size in bytes."""
        return self.value * _MB


def read_bounded(path: Path, most: Most) -> bytes:
    """The bytes of a regular file of at most that size.

    A folder, a device, a pipe, a file that may not be read and one that is larger raise
    ``InputError`` with one line; a missing file raises ``FileNotFoundError`` (or
    ``NotADirectoryError``), because the caller knows which names were near.
    """
    try:
        descriptor = os.open(path, os.O_RDONLY | _NO_WAITING)
    except (FileNotFoundError, NotADirectoryError):
        raise
    except (OSError, ValueError) as error:
        raise InputError(
            f"{path}: cannot be read ({reason_of(error)}); check its name and rights"
        ) from None
    try:
        state = os.fstat(descriptor)
        _refuse_what_is_no_file(path, state.st_mode)
        _NOTED.get({})[state.st_dev, state.st_ino] = path
        with open(descriptor, "rb", closefd=False) as stream:
            raw = stream.read(most.size_bytes + 1)
    except OSError as error:
        raise InputError(
            f"{path}: cannot be read ({reason_of(error)}); check its disk and rights"
        ) from None
    finally:
        os.close(descriptor)
    if len(raw) > most.size_bytes:
        raise InputError(
            f"{path}: is larger than {most.value} MB; allowed: at most {most.value} MB for "
            f"{_KINDS[most]}; check that it is the file you mean, or divide it"
        )
    return raw


def utf8_text(raw: bytes, place: str, row: str, cure: str) -> str:
    """The text of a file's bytes, with or without a byte order mark before it.

    Raises ``InputError`` for bytes that are not UTF-8: it names the ``place``, the line there by
    the word ``row``, and the ``cure``.
    """
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = raw.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"{place}: {row} {number}: read the byte 0x{raw[error.start]:02x}, which is not UTF-8; "
            f"allowed: UTF-8 text; {cure}"
        ) from None


_NOTED: ContextVar[dict[tuple[int, int], Path]] = ContextVar("files read in this run")


@contextlib.contextmanager
def noting_what_is_read() -> Iterator[None]:
    """Inside, the files that are read are noted, so that no output can be one of them."""
    before = _NOTED.set({})
    try:
        yield
    finally:
        _NOTED.reset(before)


def read_so_far() -> Mapping[tuple[int, int], Path]:
    """The files read in this run, by device and number on it; empty where none are noted."""
    return dict(_NOTED.get({}))


def _refuse_what_is_no_file(path: Path, mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise InputError(f"{path}: is a folder; allowed: a file; name a file in it")
    if not stat.S_ISREG(mode):
        raise InputError(
            f"{path}: is a device or a pipe; allowed: a file on the disk; save it as one first"
        )


_KINDS = {
    Most.DESIGN: "a design or another TOML file",
    Most.READINGS: "a file of readings",
    Most.MESH: "a mesh",
}
