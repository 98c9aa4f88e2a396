"""The form of a coupon or gauge, made from its empty readings, and the CSV of what is filled in."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, StringConstraints

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.csv_table import HEADER, UNIT, table_of
from fitcheck.learn.possible_readings import LIMITS
from fitcheck.workspace.spreadsheet import defused

FILE = "readings.csv"
"""What problems of a form are told to be in."""
SEPARATOR = ";"
"""Between cells, so that a comma in one is a decimal comma."""
MOST_LINES = 3_000
Text = Annotated[str, StringConstraints(max_length=300)]
WORDS = {
    Feature.STACK: "height of the stack",
    Feature.CHANNEL: "channel, over its outside at the crease",
    Feature.INSIDE: "the same channel, inside",
    Feature.HEM: "cut edge to fold",
    Feature.CORNER: "tray",
    Feature.RIM: "how far the free edge sinks under the coin",
    Feature.OUTSIDE_X: "outside along x",
    Feature.OUTSIDE_Y: "outside along y",
    Feature.INSIDE_X: "inside along x",
    Feature.INSIDE_Y: "inside along y",
    Feature.HEIGHT: "height on the middle of a wall",
    Feature.FIRST_LAYER: "outside along x, right at the bed",
    Feature.CUT: "cut edge to cut edge",
    Feature.SCORE: "edge to the middle of the score, on the ruler",
    Feature.FOLD_NEAR: "edge that lay at the fence to the fold",
    Feature.FOLD_FAR: "the other edge to the fold",
    Feature.KNIFE: "how wide the piece came out",
}
PIECE = re.compile(r"piece\s+\w+", re.IGNORECASE)
AGAIN = "once more"
TITLE = re.compile(rf"\bpiece\b|\bgrain\b|\b{AGAIN}\b", re.IGNORECASE)
"""What a note says of a piece, and not of one of its readings."""
PLUG = "plug"
COIN_ASKED = "coin ? g"
ONCE = {"date": "date", "by": "by", "instrument": "instrument", "resolution_mm": "resolution"}
ONCE |= {UNIT: "unit", "note": "coin"}
"""Columns that are said once for all rows, by their names on the page."""
OWN = {"reading_mm": "reading", "go_mm": "go", "nogo_mm": "nogo", "count": "count"}
COLUMNS = {
    "reading_mm": "the reading",
    "nogo_mm": "what did not go in",
    "go_mm": "what went in",
    "nominal_mm": "the size on the sheet",
    "resolution_mm": "the instrument's step",
}
"""What columns are called where there are none to be seen."""
_COLUMN = re.compile("|".join(rf"\b{name}\b" for name in COLUMNS))
_OPTION = re.compile(r"--([a-z-]+): (.*)", re.DOTALL)
_DASHES = re.compile(r"(?<![\w-])--(?=[a-z])")
_PLACE = re.compile(r"rows? (\d+)[^:]*: (.*)", re.DOTALL)


@dataclass(frozen=True)
class Row:
    """What is read once or several times."""

    feature: str
    nominal: str
    count: str
    note: str
    words: str
    gauged: bool
    """Whether gauges may tell it: the largest that went in, the smallest that did not."""
    plug: bool
    """Whether it is read so as a rule."""
    times: int
    """How often it is to be read."""


@dataclass(frozen=True)
class Group:
    """The readings of one piece."""

    title: str
    rows: tuple[Row, ...]

    def data(self) -> dict[str, Any]:
        """As plain data."""
        return asdict(self)


class Line(BaseModel):
    """One reading as it was typed."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
    feature: Text
    nominal: Text = ""
    count: Text = ""
    note: Text = ""
    reading: Text = ""
    go: Text = ""
    nogo: Text = ""

    @property
    def said(self) -> bool:
        """Whether anything was filled in."""
        return bool((self.reading + self.go + self.nogo).strip())


class Taken(BaseModel):
    """All that was filled in: what holds for every reading, and the readings."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
    date: Text = ""
    by: Text = ""
    instrument: Text = ""
    resolution: Text = ""
    unit: Text = ""
    coin: Text = ""
    """The mass of the coin that was laid on walls, g."""
    also: Text = ""
    """What is noted beside every reading."""
    ruler: bool = False
    """Scores were read along a ruler, without folding."""
    lines: list[Line] = []


def groups_of(text: str) -> tuple[Group, ...]:
    """The empty readings that a coupon or a gauge came with, by piece.

    Raises InputError for a text that is none.
    """
    rows, _ = table_of(text, FILE)
    pieces: dict[tuple[object, ...], list[dict[str, str]]] = {}
    rings = 0
    for number, cells in rows:
        if number > MOST_LINES:
            raise InputError(f"{FILE}: has over {MOST_LINES} rows; learn from it in a terminal")
        found = PIECE.search(cells["note"])
        rings += cells["feature"] == Feature.OUTSIDE_X
        key = (found[0].upper(), AGAIN in cells["note"]) if found else (rings,)
        pieces.setdefault(key, []).append(cells)
    return tuple(_group(own) for own in pieces.values())


def _group(cells: Sequence[dict[str, str]]) -> Group:
    """The rows of one piece; what all their notes say is its title."""
    notes = [_parts(one["note"]) for one in cells]
    shared = [part for part in notes[0] if TITLE.search(part) and all(part in o for o in notes)]
    repeats: dict[tuple[str, str, str, str], int] = {}
    for one in cells:
        key = (one["feature"], one["nominal_mm"], one["count"], one["note"])
        repeats[key] = repeats.get(key, 0) + 1
    rows = tuple(_row(*key, shared, times) for key, times in repeats.items())
    title = ", ".join(shared) or f"ring of {cells[0]['nominal_mm']} mm"
    return Group(title[:1].upper() + title[1:], rows)


def _row(
    feature: str, nominal: str, count: str, note: str, shared: Sequence[str], times: int
) -> Row:
    known = Feature(feature)
    own = [part for part in _parts(note) if part not in (*shared, PLUG, COIN_ASKED)]
    words = ", ".join([WORDS[known], *own])
    return Row(
        feature, nominal, count, note, words, LIMITS[known].gauged, PLUG in _parts(note), times
    )


def _parts(note: str) -> list[str]:
    return [part.strip() for part in note.split(",") if part.strip()]


def sheet_of(taken: Taken) -> tuple[str, tuple[int, ...]]:
    """The CSV of what was filled in, and for each of its rows the number of its line.

    Lines without a reading are left out. Raises InputError for far too many.
    """
    if len(taken.lines) > MOST_LINES:
        raise InputError(f"{FILE}: has over {MOST_LINES} rows; learn from it in a terminal")
    out = io.StringIO()
    writer = csv.writer(out, delimiter=SEPARATOR, lineterminator="\n")
    writer.writerow([*HEADER, UNIT])
    said = tuple(number for number, line in enumerate(taken.lines) if line.said)
    for number in said:
        writer.writerow([defused(" ".join(cell.split())) for cell in _cells(taken, number)])
    return out.getvalue(), said


def _cells(taken: Taken, number: int) -> Iterator[str]:
    """The cells of one line, in the order of the columns."""
    line = taken.lines[number]
    note = line.note.replace(COIN_ASKED, f"coin {taken.coin.strip() or '?'} g")
    on_ruler = taken.ruler and line.feature == Feature.FOLD_NEAR
    by_column = {
        "date": taken.date,
        "by": taken.by,
        "instrument": taken.instrument,
        "resolution_mm": taken.resolution,
        "feature": str(Feature.SCORE) if on_ruler else line.feature,
        "nominal_mm": line.nominal,
        "count": line.count,
        "reading_mm": line.reading,
        "go_mm": line.go,
        "nogo_mm": line.nogo,
        "note": ", ".join(part for part in (note, taken.also.strip()) if part),
        UNIT: taken.unit,
    }
    return (by_column[column] for column in (*HEADER, UNIT))


def placed(
    lines: Iterable[str], where: Sequence[int], files: Sequence[str] = (FILE,)
) -> list[dict[str, str]]:
    """Lines such as "readings.csv: row 3: reading_mm: read ..." beside what they are about.

    A key is a field that is said once, or "4.reading" for line 4; "" where a line names none.
    `where` has the number of the line of each row, `files` what the rows are told to be in.
    """
    found = [_placed(line, where, files) for line in lines]
    return list({(one["key"], one["text"]): one for one in found}.values())


def _placed(line: str, where: Sequence[int], files: Sequence[str]) -> dict[str, str]:
    file = next((name for name in files if line.startswith(f"{name}: ")), None)
    option = _OPTION.fullmatch(line)
    if option is not None:
        return {"key": option[1].replace("-", "_"), "text": plainly(option[2])}
    if file is None:
        return {"key": "", "text": plainly(line)}
    rest = line.removeprefix(f"{file}: ")
    at = _PLACE.fullmatch(rest)
    if at is None or not 0 <= int(at[1]) - 2 < len(where):
        return {"key": "", "text": plainly(rest)}
    number = where[int(at[1]) - 2]
    column, colon, text = at[2].partition(": ")
    if not colon or column not in (*HEADER, UNIT):
        return {"key": f"{number}.reading", "text": plainly(at[2])}
    own = f"{number}.{OWN.get(column, 'reading')}"
    return {"key": ONCE.get(column, own), "text": plainly(text)}


def plainly(text: str) -> str:
    """A text without the names of columns and the dashes of options, which nobody sees here.

    >>> plainly("one of the two in a row; measure it and write reading_mm")
    'one of the two in a row; measure it and write the reading'
    """
    return _DASHES.sub("", _COLUMN.sub(lambda found: COLUMNS[found[0]], text))
