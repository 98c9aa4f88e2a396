"""What happened when boxes were made, beside what was predicted, and how good that was."""

import csv
import datetime
import enum
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.evaluate import repeats
from fitcheck.workspace.atomic import write_whole
from fitcheck.workspace.locking import locked
from fitcheck.workspace.records import clear_leftovers, records_folder, settle

BOXES_FILE = "boxes.csv"
LEAST_CHANCE = 1e-5
"""Odds from 100 000 boxes cannot say that something is rarer than this."""


class BoxOutcome(enum.StrEnum):
    """What a lid did on the box that was made."""

    BOUND = "bound"
    SLID = "slid"
    LOOSE = "loose"


@dataclass(frozen=True)
class Forecast:
    """What was predicted when the outcome was recorded."""

    verdict: str
    """The verdict on the nominal box."""
    play_mm: float
    """Its smaller play."""
    chances: tuple[float, float, float] | None
    """Of bound, slid and loose; None where no odds could be worked out."""
    right: float | None = None
    """The share of boxes that come out right; None where it was not kept."""


@dataclass(frozen=True)
class BoxRecord:
    """One box that was made."""

    date: str
    by: str
    design: str
    title: str
    outcome: BoxOutcome
    go_mm: float | None
    """Largest plug that went between lid and base, or the play that was measured."""
    nogo_mm: float | None
    """Smallest plug that did not; the same as ``go_mm`` for a play that was measured."""
    contents: str
    forecast: Forecast
    note: str = ""


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
)
FIRST_COLUMNS = COLUMNS[:-1]
"""Those of files from before the share of right boxes was kept."""


def add_box(root: Path, box: BoxRecord) -> Path:
    """Add a box to the workspace's records; those that are there are kept as they are.

    The file is replaced as a whole under a lock, so that a loss of power or a second program
    leaves every line. Raises ``InputError`` when it cannot be read or written.
    """
    folder = records_folder(root)
    path = folder / BOXES_FILE
    with locked(folder):
        clear_leftovers(folder)
        known = _read_text(path) if path.is_file() else _line(COLUMNS)
        _parse(known, path)
        known = _widened(known)
        write_whole(path, known + _line(_cells(box)))
        settle(folder)
    return path


def _widened(text: str) -> str:
    """A file's text ready for one more line: with the last column, if it was from before it."""
    rows = list(csv.reader(io.StringIO(text, newline="")))
    if tuple(rows[0]) == FIRST_COLUMNS:
        return _line(COLUMNS) + "".join(_line([*row, ""]) for row in rows[1:])
    return text if text.endswith("\n") else text + "\n"


def read_boxes(root: Path) -> tuple[BoxRecord, ...]:
    """The boxes of a workspace in the order of recording."""
    path = records_folder(root) / BOXES_FILE
    return _parse(_read_text(path), path) if path.is_file() else ()


@dataclass(frozen=True)
class Tally:
    """Boxes that were predicted to slide on about as often, and how many did."""

    tenths: int
    """So many times in ten."""
    boxes: int
    slid: int


@dataclass(frozen=True)
class Score:
    """How predicted odds have done; the smaller the better."""

    boxes: int
    brier: float
    """Mean over boxes of the sum over outcomes of (chance - what happened)^2: 0 to 2."""
    brier_u: float
    """Its standard uncertainty, s / sqrt(n); nan for one box."""
    log: float
    """Mean of minus the natural logarithm of the chance given to what happened."""
    log_u: float
    ignorant: float
    """The Brier score of someone who always says a third each."""
    expected: float
    """The Brier score to expect if the odds are right."""
    expected_u: float
    """Standard deviation of that score over as many boxes, if the odds are right."""
    tallies: tuple[Tally, ...] = ()
    """The same in counts, the surest first."""

    @property
    def surprising(self) -> bool:
        """Whether the score is further from the expected one than chance explains."""
        return abs(self.brier - self.expected) > 2 * self.expected_u


def score_of(boxes: Sequence[BoxRecord]) -> Score | None:
    """The score of all boxes that were predicted with odds; None when there are none.

    Brier's score (1950) and the logarithmic one are proper: no one gains by saying other odds
    than they believe. The spread under right odds follows Spiegelhalter (1986).
    """
    told = [(box.forecast.chances, box.outcome) for box in boxes if box.forecast.chances]
    if not told:
        return None
    briers = [brier_of(chances, outcome) for chances, outcome in told if chances]
    logs = [
        -math.log(max(chances[_place(outcome)], LEAST_CHANCE))
        for chances, outcome in told
        if chances
    ]
    moments = [_expected(chances) for chances, _ in told if chances]
    count = len(briers)
    brier, brier_u = _mean(briers)
    log, log_u = _mean(logs)
    return Score(
        boxes=count,
        brier=brier,
        brier_u=brier_u,
        log=log,
        log_u=log_u,
        ignorant=2 / 3,
        expected=math.fsum(mean for mean, _ in moments) / count,
        expected_u=math.sqrt(math.fsum(variance for _, variance in moments)) / count,
        tallies=_tallies([(chances[1], outcome) for chances, outcome in told if chances]),
    )


def _tallies(told: Sequence[tuple[float, BoxOutcome]]) -> tuple[Tally, ...]:
    """Counts by the chance of sliding on, in tenths."""
    groups: dict[int, list[bool]] = {}
    for chance, outcome in told:
        groups.setdefault(round(10 * chance), []).append(outcome is BoxOutcome.SLID)
    return tuple(
        Tally(tenths, len(groups[tenths]), sum(groups[tenths]))
        for tenths in sorted(groups, reverse=True)
    )


def brier_of(chances: tuple[float, float, float], outcome: BoxOutcome) -> float:
    """Brier's score of one prediction.

    >>> brier_of((0.0, 1.0, 0.0), BoxOutcome.SLID), brier_of((0.0, 1.0, 0.0), BoxOutcome.BOUND)
    (0.0, 2.0)
    """
    happened = _place(outcome)
    return math.fsum((chance - (k == happened)) ** 2 for k, chance in enumerate(chances))


def _place(outcome: BoxOutcome) -> int:
    return list(BoxOutcome).index(outcome)


def _expected(chances: tuple[float, float, float]) -> tuple[float, float]:
    """Mean and variance of Brier's score when the chances are right."""
    scores = [brier_of(chances, outcome) for outcome in BoxOutcome]
    mean = math.fsum(p * score for p, score in zip(chances, scores, strict=True))
    square = math.fsum(p * score**2 for p, score in zip(chances, scores, strict=True))
    return mean, max(0.0, square - mean**2)


def _mean(values: Sequence[float]) -> tuple[float, float]:
    if len(values) == 1:
        return values[0], math.nan
    found = repeats(values)
    return found.mean, found.u


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
    ]


def _shown(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def _line(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([" ".join(cell.split()) for cell in cells])
    return out.getvalue()


def _read_text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: cannot be read ({error}); bring the file back") from None


def _parse(text: str, path: Path) -> tuple[BoxRecord, ...]:
    rows = list(csv.reader(io.StringIO(text, newline="")))
    columns = tuple(rows[0]) if rows else ()
    if columns not in (COLUMNS, FIRST_COLUMNS):
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
                f"{path}: row {number}: cannot be understood ({error}); allowed: rows as "
                "'fitcheck record' writes them; mend or remove it"
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
    )
