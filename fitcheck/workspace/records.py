"""Records of readings are files that are added, whole, and never changed again.

A record is on the disk, folder entry and all, before a profile that names it is written: power
lost in between leaves a record more, never a profile without its record.
"""

import re
from collections.abc import Iterable
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.workspace import journal
from fitcheck.workspace.atomic import write_whole
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import CALIBRATION

RECORDS = "records"
DIGITS = 4


def records_folder(root: Path) -> Path:
    """Where a workspace keeps its records."""
    return root / CALIBRATION / RECORDS


def records_of(root: Path, kind: str, name: str) -> tuple[Path, ...]:
    """The records of one stock or printer in a workspace, oldest first."""
    pattern = re.compile(rf"{re.escape(kind)}-{re.escape(name)}-(\d{{{DIGITS},}})\.csv")
    found = [
        (int(match[1]), path)
        for path in records_folder(root).glob(f"{kind}-*.csv")
        if (match := pattern.fullmatch(path.name))
    ]
    return tuple(path for _, path in sorted(found))


def add_record(root: Path, kind: str, name: str, text: str) -> tuple[Path, bool]:
    """Keep ``text`` as a new record, or find the record that holds the very same text.

    Returns the record and whether it is new. The caller holds the records' lock.
    """
    known = records_of(root, kind, name)
    for path in known:
        if path.read_bytes() == text.encode():
            return path, False
    number = int(known[-1].stem.rpartition("-")[2]) + 1 if known else 1
    path = records_folder(root) / f"{kind}-{name}-{number:0{DIGITS}d}.csv"
    write_whole(path, text)
    settle(path.parent)
    return path, True


def find_records(names: Iterable[str], roots: Iterable[Path]) -> tuple[Path, ...]:
    """The files of records named in a profile; raises ``InputError`` for those that are gone."""
    places = tuple(roots)
    found, lines = [], []
    for name in names:
        path = next((p for root in places if (p := records_folder(root) / name).is_file()), None)
        if path is None:
            known = [p.name for root in places for p in records_folder(root).glob("*.csv")]
            lines.append(
                f"no such record; read '{name}'; allowed: a file in {CALIBRATION}/{RECORDS}; "
                f"{did_you_mean(name, known)}; bring the file back"
            )
        else:
            found.append(path)
    if lines:
        raise InputError(lines)
    return tuple(found)


def clear_leftovers(folder: Path) -> None:
    """Finish or clear what a killed program left in calibration; the records' lock is held."""
    shelves = (path for path in folder.parent.iterdir() if path.is_dir())
    journal.recover([folder, folder.parent, *shelves])


def settle(folder: Path) -> None:
    """Make the folder's own list of files safe against a loss of power, where that is possible."""
    journal.settle([folder])
