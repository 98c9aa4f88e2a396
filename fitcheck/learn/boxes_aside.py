"""Which recorded boxes do not count: a list beside the boxes, the last word on each holds.

A box that was recorded is never changed and never deleted. It is known by its place among the
boxes, and by its day and its design, so that rows that are moved by hand are noticed.
"""

from __future__ import annotations

import csv
import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import csv_file_text
from fitcheck.learn.made import BoxRecord
from fitcheck.learn.set_aside import ASIDE, BACK, LIST
from fitcheck.workspace.records import ENDING, records_folder
from fitcheck.workspace.spreadsheet import csv_rows, csv_text

COLUMNS = ("date", "box", "made", "design", "what")


def list_path(root: Path) -> Path:
    """Where the list stands."""
    return records_folder(root) / f"boxes{LIST}{ENDING}"


def counted(boxes: Sequence[BoxRecord], root: Path) -> tuple[BoxRecord, ...]:
    """The boxes in the order of recording, numbered from 1, those set aside said to be.

    Raises InputError for a list that is broken or that speaks of another box.
    """
    path = list_path(root)
    aside: dict[int, bool] = {}
    for row, (_, number, made, design, what) in enumerate(_rows(path), 2):
        if not number.isdecimal() or not 0 < int(number) <= len(boxes):
            raise _broken(path, row, f"there is no box {number}")
        box = boxes[int(number) - 1]
        if (made, design) != (box.date, box.design):
            raise _broken(path, row, f"box {number} is one of {box.date} and {box.design} now")
        aside[int(number)] = what == ASIDE
    return tuple(
        replace(box, number=number, aside=aside.get(number, False))
        for number, box in enumerate(boxes, 1)
    )


def with_word(root: Path, box: BoxRecord, aside: bool) -> str:
    """The list's text with a row more about a box."""
    day = datetime.date.today().isoformat()
    more = [day, str(box.number), box.date, box.design, ASIDE if aside else BACK]
    return csv_text([COLUMNS, *_rows(list_path(root)), more])


def _rows(path: Path) -> list[list[str]]:
    try:
        text = csv_file_text(path)
    except (FileNotFoundError, NotADirectoryError):
        return []
    try:
        rows = list(csv_rows(text))
    except csv.Error as error:
        raise _broken(path, 1, str(error)) from None
    if not rows or tuple(rows[0]) != COLUMNS:
        raise _broken(path, 1, "it is not the header of this list")
    for number, row in enumerate(rows[1:], 2):
        if len(row) != len(COLUMNS) or row[-1] not in (ASIDE, BACK):
            raise _broken(path, number, "it is no row of this list")
    return rows[1:]


def _broken(path: Path, row: int, why: str) -> InputError:
    return InputError(
        f"{path}: row {row}: cannot be understood ({why}); allowed: rows of {','.join(COLUMNS)} "
        f"with '{ASIDE}' or '{BACK}', about the boxes as they were recorded; bring the file back, "
        "or remove it to count all boxes again"
    )
