"""Which records do not count: a list beside the records, of which the last word on each holds.

A record itself is never changed and never deleted. Each stock and printer has a list of its own, so
that one broken list stops no other name.
"""

import csv
import datetime
from collections.abc import Callable, Iterable
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import csv_file_text
from fitcheck.workspace.records import ENDING, is_record_name, records_folder
from fitcheck.workspace.spreadsheet import csv_rows, csv_text

LIST = "-set-aside"
COLUMNS = ("date", "record", "what")
ASIDE, BACK = "set aside", "taken back"


def list_of(root: Path, kind: str, name: str) -> Path:
    """Where the list of one stock or printer stands."""
    return records_folder(root) / f"{kind}-{name}{LIST}{ENDING}"


def is_list(path: Path) -> bool:
    """Whether a file among the records is such a list."""
    return path.stem.endswith(LIST)


def set_aside_in(path: Path) -> frozenset[str]:
    """The names of records that do not count; raises ``InputError`` for a list that is broken."""
    aside: dict[str, bool] = {}
    for _, record, what in _rows(path):
        aside[record] = what == ASIDE
    return frozenset(record for record, out in aside.items() if out)


def with_words(path: Path, words: Iterable[tuple[Iterable[str], str]]) -> str | None:
    """The list's text with a row more for each record of which something new is said, or None."""
    day, aside = datetime.date.today().isoformat(), set_aside_in(path)
    more = [
        [day, record, what]
        for records, what in words
        for record in records
        if (what == ASIDE) != (record in aside)
    ]
    return csv_text([COLUMNS, *_rows(path), *more]) if more else None


def _rows(path: Path) -> list[list[str]]:
    return list_rows(path, COLUMNS, lambda row: is_record_name(row[1]))


def list_rows(
    path: Path, columns: tuple[str, ...], is_sound: Callable[[list[str]], bool]
) -> list[list[str]]:
    """The rows of such a list, each with a word of it in its last column; none where none stands.

    Raises ``InputError`` for a list that is broken.
    """
    try:
        text = csv_file_text(path)
    except (FileNotFoundError, NotADirectoryError):
        return []
    try:
        rows = list(csv_rows(text))
    except csv.Error as error:
        raise broken_list(path, columns, 1, str(error)) from None
    if not rows or tuple(rows[0]) != columns:
        raise broken_list(path, columns, 1, "it is not the header of this list")
    for number, row in enumerate(rows[1:], 2):
        if len(row) != len(columns) or row[-1] not in (ASIDE, BACK) or not is_sound(row):
            raise broken_list(path, columns, number, "it is no row of this list")
    return rows[1:]


def broken_list(path: Path, columns: tuple[str, ...], row: int, why: str) -> InputError:
    """What is told of a list that cannot be used."""
    return InputError(
        f"{path}: row {row}: cannot be understood ({why}); allowed: rows of {','.join(columns)} "
        f"with '{ASIDE}' or '{BACK}'; bring the file back, or remove it to count all records again"
    )
