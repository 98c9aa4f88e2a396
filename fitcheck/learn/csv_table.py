"""The cells of a CSV from anybody's spreadsheet, by the names of its columns."""

import csv
import io
from collections.abc import Sequence

from fitcheck.errors import InputError
from fitcheck.workspace.nearest import did_you_mean

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
SEPARATORS = (",", ";", "\t")


def table_of(text: str, file: str) -> tuple[list[tuple[int, dict[str, str]]], bool]:
    """Rows with their line and their cells by column, and whether decimals may have a comma.

    Columns may stand in any order; empty rows are left out. Raises ``InputError``.
    """
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(SEPARATORS, key=first.count)
    try:
        listed = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error as error:
        raise InputError(
            f"{file}: is not CSV ({error}); allowed: rows of cells parted by commas or semicolons; "
            "save it again from the spreadsheet"
        ) from None
    numbered = [(k, row) for k, row in enumerate(listed, 1) if any(cell.strip() for cell in row)]
    if not numbered:
        raise InputError(f"{file}: is empty; allowed: the header {','.join(HEADER)}; start with it")
    given = len(numbered[0][1])
    header = [cell.strip().lower() for cell in numbered[0][1]]
    while header and not header[-1]:
        header.pop()
    _check_header(header, numbered[0][0], file)
    rows, lines = [], []
    for number, cells in numbered[1:]:
        short = [cell.strip() for cell in cells]
        if len(short) > given or any(short[len(header) :]):
            lines.append(
                f"{file}: row {number}: read {len(short)} cells; allowed: {len(header)}, as in the "
                "header; a decimal comma may have split one: write decimals with a point, or part "
                "the cells by semicolons"
            )
            continue
        short = [*short[: len(header)], *[""] * (len(header) - len(short))]
        rows.append((number, dict(zip(header, short, strict=True))))
    if lines:
        raise InputError(lines)
    return rows, separator != ","


def _check_header(header: Sequence[str], row: int, file: str) -> None:
    allowed = f"allowed: {','.join(HEADER)}"
    lines = [
        f"{file}: row {row}: unknown column; read '{name}'; {allowed}; "
        f"{did_you_mean(name, HEADER)}; correct it"
        for name in header
        if name not in HEADER
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
        for name in HEADER
        if header.count(name) > 1
    ]
    if lines:
        raise InputError(lines)
