"""The shipped workspace is the first example: it is copied whole, and nothing is overwritten."""

from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.workspace.atomic import write_many
from fitcheck.workspace.paths import CALIBRATION, MODELS, shipped_workspace

RECORDS = "records"


def copy_example(folder: Path) -> tuple[Path, ...]:
    """Copy models and calibration profiles into a folder that does not have them yet.

    Raises InputError when the folder already holds a workspace's files.
    """
    taken = [name for name in (MODELS, CALIBRATION) if (folder / name).exists()]
    if taken:
        raise InputError(
            f"{folder}: already has {' and '.join(taken)}; allowed: a new or empty folder; "
            "give another one, so that nothing of yours is overwritten"
        )
    source = shipped_workspace()
    files = {
        folder / path.relative_to(source): path.read_bytes()
        for top in (MODELS, CALIBRATION)
        for path in sorted((source / top).rglob("*"))
        if path.is_file() and RECORDS not in path.relative_to(source).parts
    }
    write_many(files)
    return tuple(files)
