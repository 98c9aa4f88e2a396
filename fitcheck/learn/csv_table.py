"""The cells of a CSV from anybody's spreadsheet, by the names of its columns."""

import csv
from collections.abc import Iterator, Sequence
from itertools import islice

from fitcheck.errors import InputError
from fitcheck.plain import LONGEST_SHOWN, shown
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.spreadsheet import csv_rows

HEADER = (
    "date",
    "by",
    "instrument",
    "resolution_mm",
    "feature",
    "nominal_mm",
    "count",
    "reading_mm",
    "go_mm",
    "nogo_mm",
    "note",
)
UNIT = "unit"
"""A column that may stand there too: what the readings of a row are in."""
SEPARATORS = (",", ";", "\t")
MOST_PROBLEMS = 50
"""After so many problems the rest of a file is not looked at."""
Numbered = tuple[int, list[str]]


def table_of(text: str, file: str) -> tuple[Iterator[tuple[int, dict[str, str]]], bool]:
    """Rows with their line and their cells by column, and whether decimals may have a comma.

    Columns may stand in any order; empty rows are left out. Raises ``InputError``: for the header
    at once, for rows once they have all been handed out.
    """
    first = text.lstrip().partition("\n")[0]
    separator = max(SEPARATORS, key=first.count)
    numbered = _numbered(text, separator, file)
    row, cells = next(numbered, (0, []))
    if not cells:
        raise InputError(f"{file}: is empty; allowed: the header {','.join(HEADER)}; start with it")
    header = [cell.strip().lower() for cell in cells]
    while header and not header[-1]:
        header.pop()
    _check_header(header, row, file)
    return _by_column(numbered, header, len(cells), file), separator != ","


def _numbered(text: str, separator: str, file: str) -> Iterator[Numbered]:
    """The rows in which something stands, each with its number."""
    try:
        for number, row in enumerate(csv_rows(text, separator), 1):
            if "".join(row).strip():
                yield number, row
    except csv.Error as error:
        raise InputError(
            f"{file}: is not CSV ({error}); allowed: rows of cells parted by commas or semicolons; "
            "save it again from the spreadsheet"
        ) from None


def _by_column(
    numbered: Iterator[Numbered], header: Sequence[str], given: int, file: str
) -> Iterator[tuple[int, dict[str, str]]]:
    wide = len(header)
    lines = []
    for number, cells in numbered:
        if len(cells) == wide:
            yield number, dict(zip(header, cells, strict=True))
        elif len(cells) > given or any(cell.strip() for cell in cells[wide:]):
            lines.append(
                f"{file}: row {number}: read {len(cells)} cells; allowed: {wide}, as in the "
                "header; a decimal comma may have split one: write decimals with a point, or part "
                "the cells by semicolons"
            )
            if len(lines) == MOST_PROBLEMS:
                break
        else:
            padded = [*cells[:wide], *[""] * (wide - len(cells))]
            yield number, dict(zip(header, padded, strict=True))
    if lines:
        raise InputError(lines)


def _check_header(header: Sequence[str], row: int, file: str) -> None:
    allowed = f"allowed: {','.join(HEADER)}"
    lines = [
        f"{file}: row {row}: unknown column; read {shown(name)}; {allowed}; "
        f"{did_you_mean(name[:LONGEST_SHOWN], HEADER)}; correct it"
        for name in islice(header, 2 * MOST_PROBLEMS)
        if name not in HEADER and name != UNIT
    ]
    lines += [
        f"{file}: row {row}: the column {name} is missing; {allowed}; add it (its cells may be "
        "empty where they do not apply)"
        for name in HEADER
        if name not in header
    ]
    lines += [
        f"{file}: row {row}: the column {name} stands there {header.count(name)} times; {allowed}; "
        "keep one"
        for name in (*HEADER, UNIT)
        if header.count(name) > 1
    ]
    if lines:
        raise InputError(lines)
