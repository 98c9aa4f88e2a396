"""A hidden list in each folder tells which files fitcheck wrote there, and so which are its own.

It has the form that ``sha256sum`` writes and ``sha256sum --check`` reads (GNU coreutils manual,
"cksum output modes": digest, two spaces, name; a line whose name holds a backslash or a line break
starts with a backslash).
"""

import hashlib
import os
import re
import stat
from collections.abc import Mapping
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.workspace.filenames import HIDDEN
from fitcheck.workspace.reading import Most, read_bounded

DIGESTS = f"{HIDDEN}.sha256"
_LINE = re.compile(rb"(\\?)([0-9a-f]{64}) [ *](.+)")
_CODES = {b"\\": b"\\\\", b"\n": b"\\n", b"\r": b"\\r"}
_SIGNS = {code: sign for sign, code in _CODES.items()}


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
    known = read_digests(path.parent).get(path.name)
    return known is not None and known == digest_of(path)


def read_digests(folder: Path) -> dict[str, str]:
    """The digests of what fitcheck wrote into a folder, by name; other lines are passed over.

    Raises ``InputError`` where the list is not a file of its own.
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
    found = {}
    for line in raw.split(b"\n"):
        match = _LINE.fullmatch(line)
        if match is not None:
            name = _decoded(match[3]) if match[1] else match[3]
            found[os.fsdecode(name)] = match[2].decode("ascii")
    return found


def may_keep_digests(folder: Path) -> bool:
    """Whether the list there may be written anew: in a folder that all share, another's may not."""
    path = folder / DIGESTS
    if not hasattr(os, "geteuid") or not path.exists() or not folder.stat().st_mode & stat.S_ISVTX:
        return True
    return os.geteuid() in (0, path.stat().st_uid, folder.stat().st_uid)


def digests_text(folder: Path, written: Mapping[str, str]) -> bytes:
    """A folder's list with what is being written; what is gone from the folder goes from it too."""
    known = {
        name: digest
        for name, digest in read_digests(folder).items()
        if os.path.lexists(folder / name)
    }
    rows = sorted((known | dict(written)).items())
    return b"".join(_row(os.fsencode(name), digest.encode("ascii")) for name, digest in rows)


def _row(name: bytes, digest: bytes) -> bytes:
    coded = re.sub(rb"[\\\n\r]", lambda found: _CODES[found[0]], name)
    return (b"\\" if coded != name else b"") + digest + b"  " + coded + b"\n"


def _decoded(name: bytes) -> bytes:
    return re.sub(rb"\\[\\nr]", lambda found: _SIGNS[found[0]], name)
