"""A CSV from anybody's spreadsheet becomes readings, or one clear line for each thing wrong."""

import csv
import datetime
import io
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.csv_table import HEADER, table_of
from fitcheck.learn.readings import INCH, Feature, Kind, Reading, problems
from fitcheck.workspace.nearest import did_you_mean

NUMBERS = ("resolution_mm", "nominal_mm", "reading_mm", "go_mm", "nogo_mm")
NEEDED = ("date", "by", "instrument", "resolution_mm", "feature")
FOUND = ("reading_mm", "go_mm", "nogo_mm")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+")
# The number ends in no blank, so that blanks before a unit are tried in one way only.
_UNIT = re.compile(
    r"(?P<number>[0-9.,/ -]*[0-9.,/-])\s*(?P<unit>mm|cm|in|inch|inches|\"|\u2033)", re.I
)


@dataclass(frozen=True)
class Sheet:
    """A file's readings and what the reader should know about them."""

    readings: tuple[Reading, ...]
    notes: tuple[str, ...]

    @property
    def kind(self) -> Kind:
        """What they are about: all the same."""
        return self.readings[0].kind


@dataclass(frozen=True)
class _Row:
    file: str
    number: int
    cells: dict[str, str]
    comma: bool
    """Whether this file may write its decimals with a comma."""
    lines: list[str] = field(default_factory=list)

    def fault(self, column: str, read: str, allowed: str, do: str) -> None:
        self.lines.append(
            f"{self.file}: row {self.number}: {column}: {read}; allowed: {allowed}; {do}"
        )

    def number_in(self, column: str) -> float | None:
        text = self.cells[column]
        if not text:
            return None
        plain = text.replace(",", ".") if self.comma and _COMMA.fullmatch(text) else text
        if _NUMBER.fullmatch(plain) and math.isfinite(float(plain)):
            return float(plain)
        self.fault(column, f"read '{text}'", "a number of millimetres such as 12.34", _cure(text))
        return None


def _cure(text: str) -> str:
    if _COMMA.fullmatch(text):
        return f"it has a decimal comma: write {text.replace(',', '.')}"
    found = _UNIT.fullmatch(text)
    if found is None:
        return "write the number alone"
    number = found["number"].strip().replace(",", ".")
    unit = found["unit"].lower()
    if not _NUMBER.fullmatch(number):
        return "write decimals in millimetres, without the unit"
    if unit == "mm":
        return f"leave the unit out: write {number}"
    scale = 10.0 if unit == "cm" else INCH
    name = "centimetres" if unit == "cm" else "inches"
    return f"it is in {name}: write {float(number) * scale:.10g}"


def read_sheet(path: Path) -> Sheet:
    """The readings of a CSV file; raises ``InputError`` with a line for each problem."""
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"{path}: cannot be read ({error.strerror or error}); allowed: a CSV file; check its "
            "name and rights"
        ) from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"{path}: row {line}: read the byte 0x{raw[error.start]:02x}, which is not UTF-8; "
            "allowed: UTF-8 text; save the sheet as 'CSV UTF-8'"
        ) from None
    return parse_sheet(text, path.name if path.parent.name == "records" else str(path))


def parse_sheet(text: str, file: str) -> Sheet:
    """The readings in ``text``; ``file`` is what problems are told to be in."""
    rows, comma = table_of(text, file)
    readings: list[Reading] = []
    lines: list[str] = []
    notes: list[str] = []
    for number, cells in rows:
        row = _Row(file, number, cells, comma)
        if not any(cells[column] for column in FOUND):
            what = f"{cells['feature']} {cells['nominal_mm']}".strip()
            notes.append(
                f"{file}: row {number}: {what or 'this row'} has no reading and no go or no-go "
                "size: left out"
            )
            continue
        reading = _reading(row)
        if reading is not None:
            for problem in problems(reading):
                row.fault(*problem)
            readings.append(reading)
        lines += row.lines
    lines += _one_kind(readings, file)
    if not lines and not readings:
        lines.append(
            f"{file}: has no readings; allowed: one row per reading; fill in reading_mm, or go_mm "
            "and nogo_mm"
        )
    if not lines:
        lines += _pasted_twice(readings, file)
    if lines:
        raise InputError(lines)
    return Sheet(tuple(readings), (*notes, *_twins(readings, file)))


def _reading(row: _Row) -> Reading | None:
    for column in NEEDED:
        if not row.cells[column]:
            row.fault(column, "read nothing", _WORDS[column], "fill it in")
    feature = _feature(row)
    _check_date(row)
    values = {column: row.number_in(column) for column in NUMBERS}
    count = _count(row)
    resolution = values["resolution_mm"]
    if row.lines or feature is None or resolution is None:
        return None
    return Reading(
        file=row.file,
        row=row.number,
        date=row.cells["date"],
        by=row.cells["by"],
        instrument=row.cells["instrument"],
        resolution_mm=resolution,
        feature=feature,
        nominal_mm=values["nominal_mm"],
        count=count,
        reading_mm=values["reading_mm"],
        go_mm=values["go_mm"],
        nogo_mm=values["nogo_mm"],
        note=" ".join(row.cells["note"].split()),
    )


_WORDS = {
    "date": "the day of the reading as YYYY-MM-DD",
    "by": "who took it, a name or initials",
    "instrument": "what it was taken with, such as caliper",
    "resolution_mm": "the step of the instrument's display in mm, such as 0.01",
    "feature": "one of " + ", ".join(Feature),
}


def _feature(row: _Row) -> Feature | None:
    text = row.cells["feature"].lower()
    if text in set(Feature):
        return Feature(text)
    if text:
        near = did_you_mean(text, list(Feature))
        row.fault("feature", f"read '{text}'", ", ".join(Feature), f"{near}; correct it")
    return None


def _check_date(row: _Row) -> None:
    text = row.cells["date"]
    try:
        datetime.date.fromisoformat(text)
    except ValueError:
        if not text:
            return
        swapped = re.fullmatch(r"\d{4}-\d{2}-\d{2}", row.cells["by"])
        do = "it seems to stand in 'by': exchange them" if swapped else _other_date(text)
        row.fault("date", f"read '{text}'", _WORDS["date"], do)


def _other_date(text: str) -> str:
    found = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", text)
    return f"write {found[3]}-{found[2]:0>2}-{found[1]:0>2}" if found else "write it so"


def _count(row: _Row) -> int | None:
    text = row.cells["count"]
    if not text:
        return None
    if re.fullmatch(r"[0-9]+(?:[.,]0*)?", text):
        return int(re.split("[.,]", text)[0])
    row.fault("count", f"read '{text}'", "a whole number of sheets or pieces", "correct it")
    return None


def _one_kind(readings: Sequence[Reading], file: str) -> list[str]:
    kinds = {reading.kind for reading in readings}
    if len(kinds) < 2:
        return []
    first = readings[0]
    other = next(reading for reading in readings if reading.kind is not first.kind)
    return [
        f"{file}: row {other.row}: feature: read '{other.feature}' of a {other.kind}, and "
        f"'{first.feature}' of a {first.kind} in row {first.row}; allowed: one kind in a file; "
        "part it in two"
    ]


def same_row(reading: Reading) -> tuple[object, ...]:
    """All that a row says, wherever it stands."""
    return tuple(getattr(reading, name) for name in HEADER)


def _pasted_twice(readings: Sequence[Reading], file: str) -> list[str]:
    half, odd = divmod(len(readings), 2)
    said = [same_row(reading) for reading in readings]
    if odd or half < 3 or said[:half] != said[half:] or len(set(said[:half])) < 2:
        return []
    return [
        f"{file}: row {readings[half].row}: duplicates: this and all later rows repeat the rows "
        "before them; allowed: each reading once; remove the second half"
    ]


def _twins(readings: Sequence[Reading], file: str) -> list[str]:
    rows: dict[tuple[object, ...], list[int]] = {}
    for reading in readings:
        rows.setdefault(same_row(reading), []).append(reading.row)
    return [
        f"{file}: rows {', '.join(map(str, numbers))} say the same in every column: counted as "
        f"{len(numbers)} readings; remove those that were copied by mistake"
        for numbers in rows.values()
        if len(numbers) > 1
    ]


def write_sheet(readings: Sequence[Reading]) -> str:
    """Readings as the text of a record: the same text for the same readings."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for reading in readings:
        cells = [getattr(reading, name) for name in HEADER]
        writer.writerow([_shown(cell) for cell in cells])
    return out.getvalue()


def _shown(cell: object) -> str:
    if cell is None:
        return ""
    return f"{cell:.10g}" if isinstance(cell, float) else str(cell)
