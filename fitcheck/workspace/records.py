"""Records of readings are files that are added, whole, and never changed again.

A record and the profile that names it are one set on the disk: what a loss of power leaves of it
in between is finished or cleared before anything in calibration is read to learn, or written.
"""

import os
import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.plain import LONGEST_SHOWN, shown
from fitcheck.workspace.journal import recover
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import CALIBRATION

RECORDS = "records"
DIGITS = 4
ENDING = ".csv"
FORECAST = "forecast"
FORECAST_ENDING = ".json"
LONGEST_NAME = 200


def records_folder(root: Path) -> Path:
    """Where a workspace keeps its records."""
    return root / CALIBRATION / RECORDS


def missing_records(names: Iterable[str], folders: Sequence[Path]) -> tuple[str, ...]:
    """Those of some records that are in none of some folders."""
    return tuple(name for name in names if not any((one / name).is_file() for one in folders))


def is_record_name(name: str) -> bool:
    """Whether it is the plain name of a CSV file: never a path, never hidden.

    >>> is_record_name("stock-mine-0001.csv"), is_record_name("../../etc/hosts.csv")
    (True, False)
    """
    return name.endswith(ENDING) and _is_plain(name)


def is_forecast_name(name: str) -> bool:
    """Whether it is the plain name of a frozen forecast.

    >>> is_forecast_name("forecast-harbour-0001.json"), is_forecast_name("../forecast-a.json")
    (True, False)
    """
    ours = name.startswith(f"{FORECAST}-") and name.endswith(FORECAST_ENDING)
    return ours and _is_plain(name)


def _is_plain(name: str) -> bool:
    return (
        len(name) <= LONGEST_NAME
        and not name.startswith(".")
        and not any(sign in '/\\:*?"<>|' or not sign.isprintable() for sign in name)
    )


def records_of(root: Path, kind: str, name: str, ending: str = ENDING) -> tuple[Path, ...]:
    """The records of one stock or printer, or forecasts of a design, oldest first."""
    return tuple(path for _, path in _numbered(root, kind, name, ending))


def _numbered(root: Path, kind: str, name: str, ending: str) -> list[tuple[int, Path]]:
    number = rf"(\d{{{DIGITS},{3 * DIGITS}}})"
    pattern = re.compile(rf"{re.escape(kind)}-{re.escape(name)}-{number}{re.escape(ending)}")
    return sorted(
        (int(match[1]), path)
        for path in records_folder(root).glob(f"{kind}-*{ending}")
        if (match := pattern.fullmatch(path.name))
    )


def next_record(root: Path, kind: str, name: str, ending: str = ENDING) -> Path:
    """Where the next record of one stock or printer, or forecast of a design, belongs."""
    known = _numbered(root, kind, name, ending)
    number = known[-1][0] + 1 if known else 1
    return records_folder(root) / f"{kind}-{name}-{number:0{DIGITS}d}{ending}"


def find_records(names: Iterable[str], roots: Iterable[Path]) -> tuple[Path, ...]:
    """The files of records named in a profile; raises ``InputError`` for those that are gone."""

    places = tuple(roots)
    found, lines = [], []
    for name in names:
        path = _find(name, places) if is_record_name(name) else None
        if path is None:
            known = [p.name for root in places for p in records_folder(root).glob(f"*{ENDING}")]
            lines.append(
                f"no such record; read {shown(name)}; allowed: the name of a file in "
                f"{CALIBRATION}/{RECORDS}; {did_you_mean(name[:LONGEST_SHOWN], known)}; bring the "
                "file back"
            )
        else:
            found.append(path)
    if lines:
        raise InputError(lines)
    return tuple(found)


def _find(name: str, roots: Iterable[Path]) -> Path | None:
    places = (records_folder(root) / name for root in roots)
    return next((path for path in places if os.path.lexists(path)), None)


def check_place(path: Path) -> None:
    """Raise ``InputError`` for what lies among the records and is a link that leads out of them."""
    if path.is_symlink() and (
        os.path.dirname(os.path.realpath(path)) != os.path.realpath(path.parent)
    ):
        raise InputError(
            f"{path}: is a link that leads out of the records; allowed: a file that lies there "
            "itself; put the file in its place"
        )


def clear_leftovers(folder: Path) -> None:
    """Finish or clear what a killed program left in the records' folder and all of calibration.

    Raises ``InputError`` where that is not possible.
    """
    calibration = folder.parent
    shelves = [path for path in calibration.glob("*") if path.is_dir()]
    recover([*shelves, calibration])
