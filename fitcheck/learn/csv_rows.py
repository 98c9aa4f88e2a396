"""A CSV from anybody's spreadsheet becomes readings, or one clear line for each thing wrong."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path

from fitcheck.errors import InputError, reason_of
from fitcheck.learn.bench_readings import Feature, Kind, Reading, piece_of
from fitcheck.learn.csv_cells import Cells, number_text
from fitcheck.learn.csv_table import HEADER, MOST_PROBLEMS, table_of
from fitcheck.learn.twin_rows import same_row, twin_notes
from fitcheck.plain import LONGEST_SHOWN, shown
from fitcheck.workspace.reading import Most, read_bounded, utf8_text
from fitcheck.workspace.records import RECORDS
from fitcheck.workspace.spreadsheet import csv_text


@dataclass(frozen=True)
class Sheet:
    """A file's readings and what the reader should know about them."""

    readings: tuple[Reading, ...]
    notes: tuple[str, ...]

    @property
    def kind(self) -> Kind:
        """What they are about: all the same."""
        return self.readings[0].kind


def read_sheet(path: Path, name: str | None = None) -> Sheet:
    """The readings of a CSV file; raises ``InputError`` with a line for each problem.

    ``name`` is what problems are told to be in, the path if left out.
    """
    try:
        text = csv_file_text(path)
    except OSError as error:
        raise InputError(
            f"{path}: cannot be read ({reason_of(error)}); allowed: a CSV file; check its "
            "name and rights"
        ) from None
    file = name or (path.name if path.parent.name == RECORDS else str(path))
    return parse_sheet(text, file)


def csv_file_text(path: Path) -> str:
    """The text of a CSV file that anybody's spreadsheet saved; raises like ``read_bounded``, and
    ``InputError`` where it is not UTF-8.
    """
    raw = read_bounded(path, Most.READINGS)
    return utf8_text(raw, f"{path}", "row", "save the sheet as 'CSV UTF-8'")


def parse_sheet(text: str, file: str) -> Sheet:
    """The readings in ``text``; ``file`` is what problems are told to be in."""
    rows, comma = table_of(text, file)
    understood = Cells(file, comma)
    readings: list[Reading] = []
    empty: list[tuple[str | None, str]] = []
    lines = understood.lines
    for understood.row, cells in rows:
        if not (cells["reading_mm"] + cells["go_mm"] + cells["nogo_mm"]).strip():
            if len(empty) < MOST_PROBLEMS:
                what = f"{cells['feature']} {cells['nominal_mm']}".strip()
                far = cells["feature"].strip() == Feature.FOLD_FAR
                line = (
                    f"{file}: row {understood.row}: {what[:LONGEST_SHOWN] or 'this row'} has no "
                    "reading and no go or no-go size: left out"
                )
                empty.append((piece_of(cells["note"]) if far else None, line))
            continue
        reading = understood.reading(cells)
        if reading is not None:
            readings.append(reading)
        if len(lines) >= MOST_PROBLEMS:
            understood.exchanged()
            lines.append(f"{file}: more rows were not looked at; mend these first")
            raise InputError(lines)
    understood.exchanged()
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
    flat = {piece_of(r.note) for r in readings if r.feature is Feature.SCORE} - {None}
    # a score that is read on the flat strip has no far side
    left = [line for piece, line in empty if piece not in flat]
    notes = (*left, *_converted(understood.converted, file), *twin_notes(readings, file))
    return Sheet(tuple(readings), notes)


def _converted(cells: Sequence[tuple[int, str, float]], file: str) -> list[str]:
    """What became of readings in other units, the first of them as an example."""
    if not cells:
        return []
    row, text, mm = cells[0]
    more = len(cells) - 1
    rest = f", and {more} more cell{'s' if more > 1 else ''}" if more else ""
    return [f"{file}: row {row}: {shown(text)} is taken as {mm:.4g} mm{rest}"]


def _one_kind(readings: Sequence[Reading], file: str) -> list[str]:
    kinds = {reading.kind for reading in readings}
    if len(kinds) < 2:
        return []
    first = readings[0]
    other = next(reading for reading in readings if reading.kind is not first.kind)
    return [
        f"{file}: row {other.row}: feature: read '{other.feature}' of {other.kind.one}, and "
        f"'{first.feature}' of {first.kind.one} in row {first.row}; allowed: one kind in a file; "
        "part it in two"
    ]


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


def write_sheet(readings: Iterable[Reading]) -> str:
    """Readings as the text of a record: the same text for the same readings."""
    return csv_text(chain([HEADER], map(_cells_of, readings)))


def as_recorded(readings: Iterable[Reading], file: str) -> tuple[Reading, ...]:
    """Readings as the record that ``write_sheet`` makes of them gives them back."""
    return tuple(
        replace(reading, file=file, row=row, pieces="") for row, reading in enumerate(readings, 2)
    )


def _cells_of(reading: Reading) -> list[str]:
    return [
        reading.date,
        reading.by,
        reading.instrument,
        number_text(reading.resolution_mm),
        reading.feature,
        number_text(reading.nominal_mm),
        "" if reading.count is None else str(reading.count),
        number_text(reading.reading_mm),
        number_text(reading.go_mm),
        number_text(reading.nogo_mm),
        reading.note,
    ]
