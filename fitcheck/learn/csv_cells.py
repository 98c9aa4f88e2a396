"""The cells of one row become a reading, or one clear line for each thing wrong with them."""

import datetime
import math
import re

from fitcheck.learn.bench_readings import INCH, Feature, Reading
from fitcheck.learn.exchanged import cures_of
from fitcheck.learn.possible_readings import AGAIN, problems
from fitcheck.plain import LONGEST_SHOWN, shown, written_out
from fitcheck.units import MM_PER, Unit, parse_length
from fitcheck.workspace.nearest import did_you_mean

NEEDED = ("date", "by", "instrument", "resolution_mm", "feature")
REMEMBERED = 10_000
"""So many different texts and numbers are kept to be used again."""
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+(?![0-9,])")
# Three digits behind a comma may be thousands, where commas part the cells.
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}(?![0-9])")
FINEST_INCH_MM = 0.127
"""An inch caliper steps by 0.0005 or 0.001 in; a coarser step without its unit may be in mm."""
UNITS = {"": Unit.MM, "mm": Unit.MM, "cm": Unit.CM}
UNITS |= dict.fromkeys(("in", "inch", "inches", '"', "\u2033"), Unit.IN)
# The number ends in no blank, so that blanks before a unit are tried in one way only.
_UNIT = re.compile(
    r"(?P<number>[0-9.,/ -]*[0-9.,/-])\s*(?P<unit>mm|cm|in|inch|inches|\"|\u2033)", re.I
)


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


READ = ("reading_mm", "go_mm", "nogo_mm")
"""The columns of what was read off the instrument."""


class Cells:
    """Understands the cells of one file; what stands in many rows is looked at once."""

    def __init__(self, file: str, comma: bool) -> None:
        self.file = file
        self.comma = comma
        """Whether this file may write its decimals with a comma."""
        self.row = 0
        self.lines: list[str] = []
        self.converted: list[tuple[int, str, float]] = []
        """Row, text and millimetres of what was not written in them."""
        self.misread: list[tuple[int, Reading]] = []
        """Readings out of their range, each with the place of its line."""
        self._numbers: dict[tuple[str, Unit], float] = {}
        self._texts: dict[str, str] = {}
        self._days: dict[str, str] = {}

    def fault(self, column: str, read: str, allowed: str, do: str) -> None:
        """One line about the row at hand."""
        self.lines.append(
            f"{self.file}: row {self.row}: {column}: {read}; allowed: {allowed}; {do}"
        )

    def exchanged(self) -> None:
        """Say of readings that stand in each other's place that they do."""
        for place, cure in cures_of([reading for _, reading in self.misread]):
            line = self.misread[place][0]
            self.lines[line] = f"{self.lines[line].removesuffix(AGAIN)}{cure}"

    def number(self, column: str, cell: str, unit: Unit = Unit.MM) -> float | None:
        """A length in mm as a record keeps it; None for an empty cell and for what is none.

        Written as people write: decimals with a point or a comma, fractions (of an inch where no
        unit stands there), a unit behind it; ``unit`` is meant where there is none.
        """
        if not cell:
            return None
        known = self._numbers.get((cell, unit))
        if known is not None:
            return known
        text = " ".join(written_out(cell).split())
        if not text:
            return None
        try:
            found = self._length(text, unit)
        except ValueError:
            do = _cure(text)
            allowed = "millimetres such as 12.34, or a length with its unit such as 0.163 in"
            self.fault(column, f"read {shown(text)}", allowed, do)
            return None
        found = float(number_text(found))
        if len(self._numbers) < REMEMBERED:
            self._numbers[(cell, unit)] = found
        return found

    def _length(self, text: str, unit: Unit) -> float:
        """Millimetres in a text; raises ``ValueError``."""
        plain = text
        comma = _COMMA.match(text)
        if comma is not None and (self.comma or not _GROUPED.match(text)):
            plain = text.replace(",", ".", 1)
        if _NUMBER.fullmatch(plain):
            found = float(plain)
            if unit is not Unit.MM:
                self.converted.append((self.row, text, found * MM_PER[unit]))
            found *= MM_PER[unit]
        else:
            # a fraction alone is one of an inch: nobody parts millimetres so
            found = parse_length(plain, Unit.IN if "/" in plain else unit)
            self.converted.append((self.row, text, found))
        if not math.isfinite(found):
            raise ValueError(text)
        return found

    def unit(self, cell: str) -> Unit:
        """The unit that a row's readings are in."""
        text = cell.strip().lower()
        if text not in UNITS:
            self.fault("unit", f"read {shown(cell.strip())}", "mm, cm, in or nothing", "correct it")
        return UNITS.get(text, Unit.MM)

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
        unit = self.unit(cells.get("unit", ""))
        resolution = self._step(cells["resolution_mm"], unit)
        nominal = self.number("nominal_mm", cells["nominal_mm"])
        value = self.number("reading_mm", cells["reading_mm"], unit)
        go = self.number("go_mm", cells["go_mm"], unit)
        nogo = self.number("nogo_mm", cells["nogo_mm"], unit)
        count = self._count(cells["count"])
        if len(self.lines) > before or feature is None or resolution is None:
            return None
        found = Reading(
            file=self.file,
            row=self.row,
            date=day,
            by=self.once(cells["by"]),
            instrument=self.once(cells["instrument"]),
            resolution_mm=resolution,
            feature=feature,
            nominal_mm=nominal,
            count=count,
            reading_mm=value,
            go_mm=go,
            nogo_mm=nogo,
            note=self.once(cells["note"]),
        )
        for column, said, allowed, do in problems(found):
            cell = cells[column].strip() if column in READ else ""
            if column == "reading_mm" and do == AGAIN:
                self.misread.append((len(self.lines), found))
            self.fault(column, _as_written(cell, said, unit), allowed, do)
        return found

    def _step(self, cell: str, unit: Unit) -> float | None:
        """The instrument's step, which may be in the row's unit or in mm as its column says."""
        found = self.number("resolution_mm", cell, unit)
        alone = _NUMBER.fullmatch(cell.strip().replace(",", "."))
        if unit is Unit.IN and found is not None and alone and found > FINEST_INCH_MM:
            self.fault(
                "resolution_mm",
                f"read {shown(cell.strip())} in a row whose unit is in",
                "a step with its unit such as 0.0005 in or 0.01 mm",
                "add the unit",
            )
            return None
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
        if cell in self._days:
            return self._days[cell]
        text = cell.strip()
        try:
            datetime.date.fromisoformat(text)
        except ValueError:
            if text:
                swapped = re.fullmatch(r"\d{4}-\d{2}-\d{2}", cells["by"].strip())
                do = "it seems to stand in 'by': exchange them" if swapped else _other_date(text)
                self.fault("date", f"read {shown(text)}", _WORDS["date"], do)
            return text
        if len(self._days) < REMEMBERED:
            self._days[cell] = text
        return text

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


def _as_written(text: str, said: str, unit: Unit) -> str:
    """What was read as it stands in its cell, where that is not in millimetres."""
    plain = _NUMBER.fullmatch(text.replace(",", ".", 1))
    if not text or (plain and unit is Unit.MM):
        return said
    written = f"{text} {unit}" if plain else text
    return f"read {shown(written)}, in mm {said.removeprefix('read ')}"


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


def number_text(value: float | None) -> str:
    """A number as a record has it; empty for None."""
    return "" if value is None else f"{value:.10g}"
