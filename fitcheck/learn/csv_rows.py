"""A CSV from anybody's spreadsheet becomes readings, or one clear line for each thing wrong."""

import datetime
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.csv_table import HEADER, MOST_LINES, table_of
from fitcheck.learn.readings import INCH, Feature, Kind, Reading, listed, problems
from fitcheck.workspace.explain import LONGEST_SHOWN, shown
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.reading import Most, read_bounded
from fitcheck.workspace.spreadsheet import csv_text

NEEDED = ("date", "by", "instrument", "resolution_mm", "feature")
REMEMBERED = 10_000
"""So many different texts and numbers are kept to be used again."""
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+")
_UNIT = re.compile(r"(?P<number>[0-9.,/ -]+?)\s*(?P<unit>mm|cm|in|inch|inches|\"|\u2033)", re.I)


@dataclass(frozen=True)
class Sheet:
    """A file's readings and what the reader should know about them."""

    readings: tuple[Reading, ...]
    notes: tuple[str, ...]

    @property
    def kind(self) -> Kind:
        """What they are about: all the same."""
        return self.readings[0].kind


class _Cells:
    """Understands the cells of one file; what stands in many rows is looked at once."""

    def __init__(self, file: str, comma: bool) -> None:
        self.file = file
        self.comma = comma
        """Whether this file may write its decimals with a comma."""
        self.row = 0
        self.lines: list[str] = []
        self._numbers: dict[str, float] = {}
        self._texts: dict[str, str] = {}

    def fault(self, column: str, read: str, allowed: str, do: str) -> None:
        """One line about the row at hand."""
        self.lines.append(
            f"{self.file}: row {self.row}: {column}: {read}; allowed: {allowed}; {do}"
        )

    def number(self, column: str, cell: str) -> float | None:
        """A number as a record keeps it; None for an empty cell and for what is none."""
        if not cell:
            return None
        known = self._numbers.get(cell)
        if known is not None:
            return known
        text = cell.strip()
        if not text:
            return None
        plain = text.replace(",", ".") if self.comma and _COMMA.fullmatch(text) else text
        if not (_NUMBER.fullmatch(plain) and math.isfinite(float(plain))):
            do = _cure(text)
            self.fault(column, f"read {shown(text)}", "a number of millimetres such as 12.34", do)
            return None
        found = float(_number(float(plain)))
        if len(self._numbers) < REMEMBERED:
            self._numbers[cell] = found
        return found

    def once(self, text: str) -> str:
        """The same text as one object, however many rows hold it."""
        known = self._texts.get(text)
        if known is None:
            known = text
            if len(self._texts) < REMEMBERED:
                self._texts[text] = text
        return known

    def reading(self, cells: dict[str, str]) -> Reading | None:
        """The reading in a row, or None with a line for each problem."""
        before = len(self.lines)
        for column in NEEDED:
            if not cells[column].strip():
                self.fault(column, "read nothing", _WORDS[column], "fill it in")
        feature = self._feature(cells["feature"])
        day = self._day(cells)
        resolution = self.number("resolution_mm", cells["resolution_mm"])
        nominal = self.number("nominal_mm", cells["nominal_mm"])
        value = self.number("reading_mm", cells["reading_mm"])
        go = self.number("go_mm", cells["go_mm"])
        nogo = self.number("nogo_mm", cells["nogo_mm"])
        count = self._count(cells["count"])
        if len(self.lines) > before or feature is None or resolution is None:
            return None
        found = Reading(
            self.file,
            self.row,
            day,
            self.once(cells["by"]),
            self.once(cells["instrument"]),
            resolution,
            feature,
            nominal,
            count,
            value,
            go,
            nogo,
            self.once(cells["note"]),
        )
        for problem in problems(found):
            self.fault(*problem)
        return found

    def _feature(self, cell: str) -> Feature | None:
        found = _FEATURES.get(cell)
        if found is not None:
            return found
        text = cell.strip().lower()
        if text in _FEATURES:
            return _FEATURES[text]
        if text:
            near = did_you_mean(text[:LONGEST_SHOWN], list(Feature))
            self.fault("feature", f"read {shown(text)}", ", ".join(Feature), f"{near}; correct it")
        return None

    def _day(self, cells: dict[str, str]) -> str:
        cell = cells["date"]
        if cell in self._texts:
            return self._texts[cell]
        text = cell.strip()
        try:
            datetime.date.fromisoformat(text)
        except ValueError:
            if text:
                swapped = re.fullmatch(r"\d{4}-\d{2}-\d{2}", cells["by"].strip())
                do = "it seems to stand in 'by': exchange them" if swapped else _other_date(text)
                self.fault("date", f"read {shown(text)}", _WORDS["date"], do)
            return text
        return self.once(text)

    def _count(self, cell: str) -> int | None:
        text = cell.strip() if cell else ""
        if not text:
            return None
        if re.fullmatch(r"[0-9]{1,9}(?:[.,]0*)?", text):
            return int(re.split("[.,]", text)[0])
        self.fault(
            "count", f"read {shown(text)}", "a whole number of sheets or pieces", "correct it"
        )
        return None


def _cure(text: str) -> str:
    if len(text) > LONGEST_SHOWN:
        return "write the number alone"
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


def read_sheet(path: Path, name: str | None = None) -> Sheet:
    """The readings of a CSV file; raises ``InputError`` with a line for each problem.

    ``name`` is what problems are told to be in, the path if left out.
    """
    try:
        text = text_of(read_bounded(path, Most.READINGS), f"{path}")
    except OSError as error:
        raise InputError(
            f"{path}: cannot be read ({error.strerror or error}); allowed: a CSV file; check its "
            "name and rights"
        ) from None
    file = name or (path.name if path.parent.name == "records" else str(path))
    return parse_sheet(text, file)


def text_of(raw: bytes, file: str) -> str:
    """The text of a CSV file; raises ``InputError`` where it is not UTF-8."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"{file}: row {line}: read the byte 0x{raw[error.start]:02x}, which is not UTF-8; "
            "allowed: UTF-8 text; save the sheet as 'CSV UTF-8'"
        ) from None


def parse_sheet(text: str, file: str) -> Sheet:
    """The readings in ``text``; ``file`` is what problems are told to be in."""
    rows, comma = table_of(text, file)
    understood = _Cells(file, comma)
    readings: list[Reading] = []
    empty: list[str] = []
    lines = understood.lines
    for understood.row, cells in rows:
        if not (cells["reading_mm"] + cells["go_mm"] + cells["nogo_mm"]).strip():
            if len(empty) < MOST_LINES:
                what = f"{cells['feature']} {cells['nominal_mm']}".strip()
                empty.append(
                    f"{file}: row {understood.row}: {what[:LONGEST_SHOWN] or 'this row'} has no "
                    "reading and no go or no-go size: left out"
                )
            continue
        reading = understood.reading(cells)
        if reading is not None:
            readings.append(reading)
        if len(lines) >= MOST_LINES:
            lines.append(f"{file}: more rows were not looked at; mend these first")
            raise InputError(lines)
    lines += _one_kind(readings, file)
    if not lines and not readings:
        lines.append(
            f"{file}: has no readings; allowed: one row per reading; fill in reading_mm, or go_mm "
            "and nogo_mm"
        )
    if not lines:
        lines += pasted_twice(readings, file)
    if lines:
        raise InputError(lines)
    return Sheet(tuple(readings), (*empty, *_twins(readings, file)))


_FEATURES = {str(feature): feature for feature in Feature}
_WORDS = {
    "date": "the day of the reading as YYYY-MM-DD",
    "by": "who took it, a name or initials",
    "instrument": "what it was taken with, such as caliper",
    "resolution_mm": "the step of the instrument's display in mm, such as 0.01",
    "feature": "one of " + ", ".join(Feature),
}


def _other_date(text: str) -> str:
    found = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", text)
    return f"write {found[3]}-{found[2]:0>2}-{found[1]:0>2}" if found else "write it so"


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
    """All that a row says, wherever it stands and however its texts are spaced."""
    return (
        reading.date,
        " ".join(reading.by.split()),
        " ".join(reading.instrument.split()),
        " ".join(reading.note.split()),
        reading.resolution_mm,
        reading.feature,
        reading.nominal_mm,
        reading.count,
        reading.reading_mm,
        reading.go_mm,
        reading.nogo_mm,
    )


def pasted_twice(readings: Sequence[Reading], file: str) -> list[str]:
    """A line when the second half of the rows says the same as the first."""
    half, odd = divmod(len(readings), 2)
    if odd or half < 3 or same_row(readings[0]) != same_row(readings[half]):
        return []
    said = [same_row(reading) for reading in readings]
    if said[:half] != said[half:] or len(set(said[:half])) < 2:
        return []
    return [
        f"{file}: row {readings[half].row}: duplicates: this and all later rows repeat the rows "
        "before them; allowed: each reading once; remove the second half"
    ]


def _twins(readings: Sequence[Reading], file: str) -> list[str]:
    first: dict[tuple[object, ...], int] = {}
    again: dict[int, list[int]] = {}
    for reading in readings:
        row = first.setdefault(same_row(reading), reading.row)
        if row != reading.row:
            again.setdefault(row, [row]).append(reading.row)
    told = list(again.values())
    return [
        f"{file}: rows {listed(numbers)} say the same in every column: counted as "
        f"{len(numbers)} readings; remove those that were copied by mistake"
        for numbers in told[:MOST_LINES]
    ]


def write_sheet(readings: Iterable[Reading]) -> str:
    """Readings as the text of a record: the same text for the same readings."""
    return csv_text(chain([HEADER], map(_cells_of, readings)))


def as_recorded(readings: Iterable[Reading], file: str) -> tuple[Reading, ...]:
    """Readings as the record that ``write_sheet`` makes of them gives them back."""
    return tuple(
        Reading(
            file,
            row,
            r.date,
            r.by,
            r.instrument,
            r.resolution_mm,
            r.feature,
            r.nominal_mm,
            r.count,
            r.reading_mm,
            r.go_mm,
            r.nogo_mm,
            r.note,
        )
        for row, r in enumerate(readings, 2)
    )


def _cells_of(reading: Reading) -> list[str]:
    return [
        reading.date,
        reading.by,
        reading.instrument,
        _number(reading.resolution_mm),
        reading.feature,
        _number(reading.nominal_mm),
        "" if reading.count is None else str(reading.count),
        _number(reading.reading_mm),
        _number(reading.go_mm),
        _number(reading.nogo_mm),
        reading.note,
    ]


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"
