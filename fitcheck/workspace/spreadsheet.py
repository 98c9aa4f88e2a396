"""Every CSV is written and read here, so that no spreadsheet runs a text in it as a formula.

A spreadsheet takes a cell that begins with = + - or @ (also in full width, and behind blanks, a
tab or a line break) for a formula. Such a text gets an apostrophe before it in the file, which our
reader takes away again; a text that begins so with apostrophes of its own gets one more, so that
every text is read back as it was. Plain numbers are no formulas and stay as they are.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence

MARK = "'"
_FORMULA = re.compile(r"\A'*(?:[\t\r\n]|\s*[=+\-@\uff1d\uff0b\uff0d\uff20])")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")


def defused(text: str) -> str:
    """A text as its cell has it.

    >>> defused("=1+1"), defused("'=1+1"), defused("-0.3"), defused("piece B"), defused("'tis")
    ("'=1+1", "''=1+1", '-0.3', 'piece B', "'tis")
    """
    if not text or text[0].isalnum():
        return text
    return MARK + text if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def as_written(cell: str) -> str:
    """A cell's text as it was before ``defused``.

    >>> as_written("'=1+1"), as_written("''=1+1"), as_written("'tis")
    ('=1+1', "'=1+1", "'tis")
    """
    return cell[1:] if cell.startswith(MARK) and _FORMULA.match(cell[1:]) else cell


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows of cells as the text of a CSV file: the same text for the same rows."""
    out = io.StringIO()
    plain = csv.writer(out, lineterminator="\n")
    # A lone carriage return is not quoted by every version of the library.
    quoted = csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL)
    for row in rows:
        writer = quoted if "\r" in "".join(row) else plain
        writer.writerow([defused(cell) for cell in row])
    return out.getvalue()


def csv_rows(text: str, separator: str = ",") -> Iterator[list[str]]:
    """The rows of a CSV text as they were before ``csv_text``; ``csv.Error`` where it is none."""
    marked = MARK in text
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True):
        yield [as_written(cell) for cell in row] if marked else row
