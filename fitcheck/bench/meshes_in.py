"""A mesh file that was chosen on the page is put into models, for a new item."""

from __future__ import annotations

import base64
import binascii
import os
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.meshes.formats import ENDINGS
from fitcheck.plain import shown
from fitcheck.workspace.atomic import write_many
from fitcheck.workspace.names import is_name

MOST_BYTES = 25_000_000
"""Of one file; larger ones are put into models by hand."""


def keep_mesh(models: Path, name: str, packed: str) -> str:
    """Write a mesh file, sent as base64, under its name in `models`; tells the name.

    Raises InputError for another name or ending, for what is too large or no base64, and where
    another file has the name; the same file may come twice.
    """
    if not is_name(name) or Path(name).suffix.lower() not in ENDINGS:
        raise InputError(
            f"the file: read {shown(name)}; allowed: a plain name with the ending "
            f"{', '.join(ENDINGS)}; name it duck.stl, say"
        )
    try:
        data = base64.b64decode(packed, validate=True)
    except (binascii.Error, ValueError):
        raise InputError("the file: did not come whole; choose it once more") from None
    if not 0 < len(data) <= MOST_BYTES:
        raise InputError(
            f"the file: has {len(data)} bytes; allowed: up to {MOST_BYTES}; make it coarser, or "
            "put it into models yourself"
        )
    path = models / name

    def free() -> dict[Path, bytes]:
        if os.path.islink(path) or (path.exists() and path.read_bytes() != data):
            raise InputError(
                f"the file: read {shown(name)}, and models has another file of that name; allowed: "
                "a name that is free; rename yours"
            )
        return {}

    models.mkdir(parents=True, exist_ok=True)
    write_many({path: data}, free)
    return name
