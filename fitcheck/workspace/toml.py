"""TOML files are read here, and a file that cannot be read is explained in one line."""

import tomllib
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.reading import Most, read_bounded


def read_toml(path: Path) -> dict[str, Any]:
    """The tables of a TOML file; raises ``InputError`` naming the file and the line."""
    try:
        raw = read_bounded(path, Most.DESIGN)
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(_missing(path)) from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"{path}: line {line}: read the byte 0x{raw[error.start]:02x}, which is not UTF-8; "
            "allowed: UTF-8 text; save the file as UTF-8"
        ) from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            f"{path}: is not TOML: {error}; mend that line (texts stand in quotes, keys before =)"
        ) from None
    except RecursionError:
        raise InputError(f"{path}: lists or tables are nested too deeply; flatten them") from None


def _missing(path: Path) -> str:
    folder = path.parent
    if not folder.is_dir():
        return f"{path}: no such file, and no folder {folder}; check the path"
    known = sorted(other.name for other in folder.glob("*.toml"))
    return f"{path}: no such file; {did_you_mean(path.name, known)}; check the name"
