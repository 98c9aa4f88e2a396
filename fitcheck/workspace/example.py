"""The shipped workspace is the first example: it is copied whole, and nothing is overwritten."""

import os
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.workspace.atomic import write_many
from fitcheck.workspace.filenames import HIDDEN
from fitcheck.workspace.paths import CALIBRATION, MODELS, shipped_workspace
from fitcheck.workspace.records import RECORDS

UNFINISHED = f"{HIDDEN}.demo"
"""Lies in an example from the moment it is copied until all of it was made."""
WHY = "fitcheck demo was not finished here: give it again in this folder, and it goes on.\n"


def copy_example(folder: Path) -> tuple[Path, ...]:
    """Copy models and calibration profiles into a folder that does not have them yet.

    An example that was not finished is gone on with: what is missing is copied again, what is there
    stays as it is. Raises InputError when the folder already holds another workspace's files.
    """
    marker = folder / UNFINISHED
    going_on = marker.is_file() and not marker.is_symlink()
    taken = [name for name in (MODELS, CALIBRATION) if os.path.lexists(folder / name)]
    if taken and not going_on:
        raise InputError(
            f"{folder}: already has {' and '.join(taken)}; allowed: a new or empty folder; "
            "give another one, so that nothing of yours is overwritten"
        )
    source = shipped_workspace()
    files: dict[Path, bytes | str] = {
        folder / path.relative_to(source): path.read_bytes()
        for top in (MODELS, CALIBRATION)
        for path in sorted((source / top).rglob("*"))
        if path.is_file()
        and RECORDS not in path.relative_to(source).parts
        and not path.name.startswith(".")
    }
    missing = {path: data for path, data in files.items() if not os.path.lexists(path)}
    for path in missing:
        _refuse_link(folder, path)
    if not going_on:
        missing[marker] = WHY
    write_many(missing)
    return tuple(files)


def _refuse_link(folder: Path, path: Path) -> None:
    if os.path.realpath(path) != str(Path(os.path.realpath(folder)) / path.relative_to(folder)):
        raise InputError(
            f"{path}: lies behind a link to {os.path.realpath(path)}; allowed: a new or empty "
            "folder; give another one; nothing was written"
        )


def finish_example(folder: Path) -> None:
    """Say that all of the example was made."""
    (folder / UNFINISHED).unlink(missing_ok=True)
