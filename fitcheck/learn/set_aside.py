"""What was said of records: a list beside them, of which the last word on each holds.

It says which do not count, and whether a record's pieces were made anew where their letters are
those of older ones. A record itself is never changed and never deleted. Each stock and printer has
a list of its own, so that one broken list stops no other name.
"""

import csv
import datetime
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import csv_file_text
from fitcheck.workspace.records import ENDING, is_record_name, records_folder
from fitcheck.workspace.spreadsheet import csv_rows, csv_text

LIST = "-set-aside"
PROFILE_ENDING = ".toml"
COLUMNS = ("date", "record", "what")
ASIDE, BACK = "set aside", "taken back"
ANEW, SAME = "pieces made anew", "pieces read again"
WORDS = ((ASIDE, BACK), (ANEW, SAME))
"""Of those that stand together the last one holds."""
_ALLOWED = tuple(word for words in WORDS for word in words)


def list_of(root: Path, kind: str, name: str) -> Path:
    """Where the list of one stock or printer stands."""
    return records_folder(root) / f"{kind}-{name}{LIST}{ENDING}"


def taken_away(root: Path, kind: str, name: str) -> Path:
    """Where a profile is kept while no record counts that it was made of: what its readings were
    learnt with comes back with them."""
    return list_of(root, kind, name).with_suffix(PROFILE_ENDING)


def is_list(path: Path) -> bool:
    """Whether a file among the records is such a list."""
    return path.stem.endswith(LIST)


def set_aside_in(path: Path) -> frozenset[str]:
    """The names of records that do not count; raises ``InputError`` for a list that is broken."""
    return said_in(path, ASIDE)


def said_in(path: Path, word: str) -> frozenset[str]:
    """The names of records of which a word holds; raises ``InputError`` for a broken list."""
    return frozenset(record for (record, _), what in _said(path).items() if what == word)


def with_words(path: Path, words: Iterable[tuple[Iterable[str], str]]) -> str | None:
    """The list's text with a row more for each record of which something new is said, or None."""
    day, said = datetime.date.today().isoformat(), _said(path)
    more = [
        [day, record, what]
        for records, what in words
        for record in records
        if said.get((record, _topic(what)), BACK) != what
    ]
    return csv_text([COLUMNS, *_rows(path), *more]) if more else None


def _said(path: Path) -> dict[tuple[str, int], str]:
    """The last word on each record, by the record and what it is about."""
    return {(record, _topic(what)): what for _, record, what in _rows(path)}


def _topic(what: str) -> int:
    return next(place for place, words in enumerate(WORDS) if what in words)


def _rows(path: Path) -> list[list[str]]:
    return list_rows(path, COLUMNS, lambda row: is_record_name(row[1]), _ALLOWED)


def list_rows(
    path: Path,
    columns: tuple[str, ...],
    is_sound: Callable[[list[str]], bool],
    words: Sequence[str] = (ASIDE, BACK),
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
        raise broken_list(path, columns, 1, str(error), words) from None
    if not rows or tuple(rows[0]) != columns:
        raise broken_list(path, columns, 1, "it is not the header of this list", words)
    for number, row in enumerate(rows[1:], 2):
        if len(row) != len(columns) or row[-1] not in words or not is_sound(row):
            raise broken_list(path, columns, number, "it is no row of this list", words)
    return rows[1:]


def broken_list(
    path: Path,
    columns: tuple[str, ...],
    row: int,
    why: str,
    words: Sequence[str] = (ASIDE, BACK),
) -> InputError:
    """What is told of a list that cannot be used."""
    return InputError(
        f"{path}: row {row}: cannot be understood ({why}); allowed: rows of {','.join(columns)} "
        f"with {', '.join(map(repr, words))}; bring the file back, or remove it to count all "
        "records again"
    )
