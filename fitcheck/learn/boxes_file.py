"""What happened when boxes were made, kept beside what was predicted."""

import csv
import datetime
import math
import re
from dataclasses import replace
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.boxes_aside import counted, list_path, with_word
from fitcheck.learn.made import BoxOutcome, BoxRecord, Corner, Forecast, Frozen
from fitcheck.plain import shown
from fitcheck.workspace.atomic import write_whole
from fitcheck.workspace.locking import locked
from fitcheck.workspace.reading import Most, read_bounded, utf8_text
from fitcheck.workspace.records import (
    check_place,
    clear_leftovers,
    is_forecast_name,
    records_folder,
)
from fitcheck.workspace.spreadsheet import csv_rows, csv_text

BOXES_FILE = "boxes.csv"
_SHA256 = re.compile(r"[0-9a-f]{64}")
MOST_NAMED = 12
LONGEST_ECHO = 120
"""Of what is told of a row that cannot be understood."""


COLUMNS = (
    "date",
    "by",
    "design",
    "title",
    "outcome",
    "play_go_mm",
    "play_nogo_mm",
    "contents",
    "predicted_verdict",
    "predicted_play_mm",
    "odds_bound",
    "odds_slid",
    "odds_loose",
    "note",
    "odds_right",
    "fitted",
    "split",
    "right",
    "frozen_forecast",
    "frozen_sha256",
)
EARLIER = (COLUMNS[:14], COLUMNS[:15])
"""Those of files from before the share of right boxes was kept, and before forecasts froze."""
NO_SPLIT = "none"


def add_box(root: Path, box: BoxRecord) -> Path:
    """Add a box to the workspace's records; those that are there are kept as they are.

    The file is replaced as a whole under a lock, so that a loss of power or a second program
    leaves every line. Raises ``InputError`` when it cannot be read or written.
    """
    folder = records_folder(root)
    path = folder / BOXES_FILE
    line = _line(box)
    with locked(folder):
        clear_leftovers(folder)
        known = _read_text(path) or csv_text([COLUMNS])
        _parse(known, path)
        text = _widened(known) + line
        if len(text.encode()) > Most.READINGS.size_bytes:
            raise InputError(
                f"{path}: would be larger than {Most.READINGS.value} MB; allowed: at most that "
                "much; move the file away, a new one is begun; nothing was written"
            )
        write_whole(path, text)
    return path


def _line(box: BoxRecord) -> str:
    """A box as one more line, which is sure to be read back as it is."""

    cells = _cells(box)
    line = csv_text([cells])
    try:
        line.encode()
        if _parse(csv_text([COLUMNS, cells]), Path(BOXES_FILE)):
            return line
    except (UnicodeEncodeError, InputError):
        pass
    longest = max(cells, key=len)
    raise InputError(
        f"the box cannot be kept as it is described; read {shown(longest)}; allowed: UTF-8 texts "
        f"of up to {csv.field_size_limit()} letters; shorten or retype it; nothing was written"
    )


def _widened(text: str) -> str:
    """A file's text ready for one more line: with the last columns, if it was from before them."""
    rows = list(csv_rows(text))
    missing = len(COLUMNS) - len(rows[0])
    if missing:
        return csv_text([COLUMNS, *([*row, *missing * [""]] for row in rows[1:])])
    return text if text.endswith("\n") else text + "\n"


def read_boxes(root: Path) -> tuple[BoxRecord, ...]:
    """The boxes of a workspace in the order of recording."""
    path = records_folder(root) / BOXES_FILE
    text = _read_text(path)
    return counted(_parse(text, path), root) if text else ()


def turn_box(root: Path, design: str, number: int, *, aside: bool) -> BoxRecord:
    """Set a box of a design aside, or take it back; 0 is the last one.

    Raises ``InputError`` where there is no such box or it is so already.
    """
    option = "--set-aside" if aside else "--take-back"
    folder = records_folder(root)
    with locked(folder):
        clear_leftovers(folder)
        own = [box for box in read_boxes(root) if box.design == design]
        known = [box for box in own if box.aside is not aside]
        found = next((box for box in reversed(known) if number in (0, box.number)), None)
        if found is None:
            numbers = ", ".join(str(box.number) for box in known[-MOST_NAMED:]) or "none is known"
            raise InputError(
                f"{option}: read {number or 'last'}; allowed: the number of a box of "
                f"{shown(design)} that {'counts' if aside else 'was set aside'}: {numbers}; see "
                "'fitcheck list records'; nothing was written"
            )
        write_whole(list_path(root), with_word(root, found, aside))
    return replace(found, aside=aside)


def _cells(box: BoxRecord) -> list[str]:
    chances = box.forecast.chances or (None, None, None)
    return [
        box.date,
        box.by,
        box.design,
        box.title,
        box.outcome,
        *map(_shown, (box.go_mm, box.nogo_mm)),
        box.contents,
        box.forecast.verdict,
        _shown(box.forecast.play_mm),
        *map(_shown, chances),
        box.note,
        _shown(box.forecast.right),
        _YES_NO[box.fitted],
        NO_SPLIT if box.split == () else " ".join(box.split or ()),
        _YES_NO[box.right],
        *((box.frozen.name, box.frozen.sha256) if box.frozen else ("", "")),
    ]


_YES_NO = {None: "", True: "yes", False: "no"}


def _shown(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def _read_text(path: Path) -> str:
    """The file's text; empty when there is none."""
    check_place(path)
    try:
        raw = read_bounded(path, Most.READINGS)
    except (FileNotFoundError, NotADirectoryError):
        return ""
    return utf8_text(raw, f"{path}", "row", "bring the file back as it was")


def _parse(text: str, path: Path) -> tuple[BoxRecord, ...]:
    try:
        rows = list(csv_rows(text))
    except csv.Error as error:
        raise InputError(f"{path}: is not CSV ({error}); bring the file back as it was") from None
    columns = tuple(rows[0]) if rows else ()
    if columns not in (COLUMNS, *EARLIER):
        raise InputError(
            f"{path}: row 1: is not the header of this file; allowed: {','.join(COLUMNS)}; bring "
            "the header back"
        )
    boxes, lines = [], []
    for number, row in enumerate(rows[1:], 2):
        try:
            boxes.append(_box(dict(zip(columns, row, strict=True))))
        except ValueError as error:
            lines.append(
                f"{path}: row {number}: cannot be understood ({str(error)[:LONGEST_ECHO]}); "
                "allowed: rows as 'fitcheck record' writes them; mend or remove it"
            )
    if lines:
        raise InputError(lines)
    return tuple(boxes)


def _box(cells: dict[str, str]) -> BoxRecord:
    datetime.date.fromisoformat(cells["date"])
    odds = [cells[key] for key in ("odds_bound", "odds_slid", "odds_loose")]
    chances = None
    if any(odds):
        bound, slid, loose = (float(text) for text in odds)
        chances = (bound, slid, loose)
        if not math.isclose(sum(chances), 1.0, abs_tol=1e-3) or min(chances) < 0:
            raise ValueError(f"the odds {odds} do not add up to 1")
    return BoxRecord(
        date=cells["date"],
        by=cells["by"],
        design=cells["design"],
        title=cells["title"],
        outcome=BoxOutcome(cells["outcome"]),
        go_mm=float(cells["play_go_mm"]) if cells["play_go_mm"] else None,
        nogo_mm=float(cells["play_nogo_mm"]) if cells["play_nogo_mm"] else None,
        contents=cells["contents"],
        forecast=Forecast(
            cells["predicted_verdict"],
            float(cells["predicted_play_mm"]),
            chances,
            float(cells["odds_right"]) if cells.get("odds_right") else None,
        ),
        note=cells["note"],
        fitted=_yes_no(cells.get("fitted", "")),
        split=_corners(cells.get("split", "")),
        right=_yes_no(cells.get("right", "")),
        frozen=_frozen(cells.get("frozen_forecast", ""), cells.get("frozen_sha256", "")),
    )


def _yes_no(cell: str) -> bool | None:
    for value, word in _YES_NO.items():
        if cell == word:
            return value
    raise ValueError(f"{shown(cell)} is neither yes nor no")


def _corners(cell: str) -> tuple[Corner, ...] | None:
    if cell == NO_SPLIT:
        return ()
    return tuple(map(Corner, cell.split())) or None


def _frozen(name: str, sha256: str) -> Frozen | None:
    if not name and not sha256:
        return None
    if not is_forecast_name(name) or _SHA256.fullmatch(sha256) is None:
        raise ValueError(f"{shown(name)} with {shown(sha256)} is no frozen forecast")
    return Frozen(name, sha256)
