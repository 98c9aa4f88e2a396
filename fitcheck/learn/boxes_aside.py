"""Which recorded boxes do not count: a list beside the boxes, the last word on each holds.

A box that was recorded is never changed and never deleted. It is known by its place among the
boxes, and by its day and its design, so that rows that are moved by hand are noticed.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from fitcheck.learn.made import BoxRecord
from fitcheck.learn.set_aside import ASIDE, BACK, LIST, broken_list, list_rows
from fitcheck.workspace.records import ENDING, records_folder
from fitcheck.workspace.spreadsheet import csv_text

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
        if not 0 < int(number) <= len(boxes):
            raise broken_list(path, COLUMNS, row, f"there is no box {number}")
        box = boxes[int(number) - 1]
        if (made, design) != (box.date, box.design):
            now = f"box {number} is one of {box.date} and {box.design} now"
            raise broken_list(path, COLUMNS, row, now)
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
    return list_rows(path, COLUMNS, lambda row: row[1].isdecimal())
