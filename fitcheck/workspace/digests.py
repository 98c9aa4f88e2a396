"""A hidden list in each folder tells which files fitcheck wrote there, and so which are its own.

It has the form that ``sha256sum`` writes and ``sha256sum --check`` reads (GNU coreutils manual,
"cksum output modes": digest, two spaces, name; a line whose name holds a backslash or a line break
starts with a backslash). Lines that begin with # are remarks there; here one says which command
wrote the files of the lines below it, for what and from what. Lists without them are read, too.
"""

import hashlib
import os
import re
import stat
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.workspace.filenames import HIDDEN
from fitcheck.workspace.reading import Most, read_bounded

DIGESTS = f"{HIDDEN}.sha256"
_MAKER = re.compile(rb"# ([a-z]+)(?: (\S+) ([0-9a-f]+))?")
_LINE = re.compile(rb"(\\?)([0-9a-f]{64}) [ *](.+)")
_CODES = {b"\\": b"\\\\", b"\n": b"\\n", b"\r": b"\\r"}
_SIGNS = {code: sign for sign, code in _CODES.items()}


@dataclass(frozen=True, order=True)
class Maker:
    """Who wrote a file."""

    command: str
    of: str = ""
    """What it was made for, told apart from all else; empty for a file whose name a user chose."""
    source: str = ""
    """A mark of what it was made from."""

    @property
    def line(self) -> bytes:
        """The remark above its files."""
        return " ".join(("#", self.command, self.of, self.source)).rstrip().encode() + b"\n"


@dataclass(frozen=True)
class Kept:
    """What is kept of a file that fitcheck wrote."""

    digest: str
    maker: Maker | None = None
    """None where a list does not say."""


def digest_of(path: Path) -> str | None:
    """The SHA-256 of a regular file in hexadecimal; None where there is none, or only a link."""
    if path.is_symlink() or not path.is_file():
        return None
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def digest_of_bytes(data: bytes) -> str:
    """The SHA-256 of bytes in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def is_ours(path: Path) -> bool:
    """Whether fitcheck wrote that file and nobody has changed it since."""
    known = read_list(path.parent).get(path.name)
    return known is not None and known.digest == digest_of(path)


def read_list(folder: Path) -> dict[str, Kept]:
    """What is kept of the files that fitcheck wrote into a folder, by name.

    Lines that say nothing of it are passed over. Raises ``InputError`` where the list is not a file
    of its own.
    """
    path = folder / DIGESTS
    if path.is_symlink():
        raise InputError(
            f"{path}: is a link; allowed: fitcheck's own list of what it wrote; remove the link; "
            "nothing was written"
        )
    try:
        raw = read_bounded(path, Most.DESIGN)
    except (FileNotFoundError, NotADirectoryError):
        return {}
    found, maker = {}, None
    for line in raw.split(b"\n"):
        if line.startswith(b"#"):
            said = _MAKER.fullmatch(line)
            maker = said and Maker(*(part.decode("utf-8", "replace") for part in said.groups(b"")))
            continue
        match = _LINE.fullmatch(line)
        if match is not None:
            name = _decoded(match[3]) if match[1] else match[3]
            found[os.fsdecode(name)] = Kept(match[2].decode("ascii"), maker)
    return found


def may_keep_digests(folder: Path) -> bool:
    """Whether the list there may be written anew: in a folder that all share, another's may not."""
    path = folder / DIGESTS
    if not hasattr(os, "geteuid") or not path.exists() or not folder.stat().st_mode & stat.S_ISVTX:
        return True
    return os.geteuid() in (0, path.stat().st_uid, folder.stat().st_uid)


def digests_text(folder: Path, written: Mapping[str, Kept], gone: Collection[str] = ()) -> bytes:
    """A folder's list with what is being written; what is gone from the folder goes from it too.

    `gone` are names that go with what is written.
    """
    known = {
        name: kept
        for name, kept in read_list(folder).items()
        if os.path.lexists(folder / name) and name not in gone
    }
    rows = sorted((known | dict(written)).items(), key=_order)
    return b"".join(_group(maker, list(some)) for maker, some in groupby(rows, _maker_of))


def _order(row: tuple[str, Kept]) -> tuple[tuple[Maker, ...], str]:
    """Those whose maker is not known come first, under no remark."""
    name, kept = row
    return () if kept.maker is None else (kept.maker,), name


def _maker_of(row: tuple[str, Kept]) -> Maker | None:
    return row[1].maker


def _group(maker: Maker | None, rows: Iterable[tuple[str, Kept]]) -> bytes:
    lines = b"".join(_row(os.fsencode(name), kept.digest.encode("ascii")) for name, kept in rows)
    return (b"" if maker is None else maker.line) + lines


def _row(name: bytes, digest: bytes) -> bytes:
    coded = re.sub(rb"[\\\n\r]", lambda found: _CODES[found[0]], name)
    return (b"\\" if coded != name else b"") + digest + b"  " + coded + b"\n"


def _decoded(name: bytes) -> bytes:
    return re.sub(rb"\\[\\nr]", lambda found: _SIGNS[found[0]], name)
