"""Readings as values: what was measured of what, by whom, with what, and what the note adds."""

import enum
import re
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.units import MM_PER, Unit

INCH = MM_PER[Unit.IN]
MOST_ROWS_SHOWN = 6


class Feature(enum.StrEnum):
    """What a reading was taken of."""

    STACK = "stack"
    CHANNEL = "channel"
    HEM = "hem"
    CORNER = "corner"
    INSIDE = "inside"
    OUTSIDE_X = "outside-x"
    OUTSIDE_Y = "outside-y"
    INSIDE_X = "inside-x"
    INSIDE_Y = "inside-y"
    HEIGHT = "height"
    FIRST_LAYER = "first-layer"
    CUT = "cut"
    SCORE = "score"
    FOLD_NEAR = "fold-near"
    FOLD_FAR = "fold-far"
    KNIFE = "knife"
    RIM = "rim"
    """How far a wall's free edge sinks under a coin."""


class Kind(enum.StrEnum):
    """What readings are about."""

    STOCK = "stock"
    PRINTER = "printer"
    TOOLS = "tools"

    @property
    def one(self) -> str:
        """One of them, in words."""
        return "tools" if self is Kind.TOOLS else f"a {self}"


_STACK = Feature.STACK
_STOCK, _PRINTER, _TOOLS = Kind.STOCK, Kind.PRINTER, Kind.TOOLS
_GRAIN = re.compile(r"\b(along|across)\b", re.IGNORECASE)
_COIN = re.compile(r"\bcoin\s+(\d+(?:[.,]\d+)?)\s*g\b", re.IGNORECASE)
_WIDE = re.compile(r"\bwide\s+(\d+(?:[.,]\d+)?)\s*mm\b", re.IGNORECASE)
_PIECE = re.compile(r"\bpiece\s+(\w+)", re.IGNORECASE)
STOCK_FEATURES = frozenset(
    {Feature.STACK, Feature.CHANNEL, Feature.HEM, Feature.CORNER, Feature.INSIDE, Feature.RIM}
)
TOOLS_FEATURES = frozenset(
    {Feature.CUT, Feature.SCORE, Feature.FOLD_NEAR, Feature.FOLD_FAR, Feature.KNIFE}
)


def piece_of(note: str) -> str | None:
    """The letter of the piece of paper that a note names ('piece B')."""
    found = _PIECE.search(note)
    return found[1].upper() if found else None


@dataclass(frozen=True)
class Reading:
    """One row: a reading, or the largest gauge that went in and the smallest that did not."""

    file: str
    row: int
    """Line of the file, the header being 1."""
    date: str
    by: str
    instrument: str
    resolution_mm: float
    feature: Feature
    nominal_mm: float | None
    count: int | None
    reading_mm: float | None
    go_mm: float | None
    nogo_mm: float | None
    note: str
    pieces: str = ""
    """The set that its piece is one of; empty for that of its file."""

    @property
    def kind(self) -> Kind:
        """Whether it is about a stock, tools or a printer."""
        if self.feature in TOOLS_FEATURES:
            return _TOOLS
        return _STOCK if self.feature in STOCK_FEATURES else _PRINTER

    @property
    def grain(self) -> str | None:
        """``along`` or ``across`` when the note says how the fold runs to the grain."""
        found = _GRAIN.search(self.note)
        return found[1].lower() if found else None

    @property
    def piece(self) -> tuple[str, str] | None:
        """The piece of paper that the note names ('piece B'), told apart by the set it is of."""
        found = piece_of(self.note)
        return (self.pieces or self.file, found) if found else None

    @property
    def coin_g(self) -> float | None:
        """The mass of the coin that the note names ('coin 3.6 g'), g."""
        return _noted(_COIN, self.note)

    @property
    def wide_mm(self) -> float | None:
        """The width of the strip that the note names ('wide 20 mm'), mm."""
        return _noted(_WIDE, self.note)

    @property
    def measured(self) -> tuple[object, ...]:
        """What was found of what, whoever took it, wherever and when."""
        return (
            self.feature,
            self.nominal_mm,
            self.count,
            self.reading_mm,
            self.go_mm,
            self.nogo_mm,
        )

    @property
    def place(self) -> str:
        """Where it stands and what it is of."""
        size = "" if self.nominal_mm is None else f" {self.nominal_mm:g} mm"
        sheets = f" of {self.count}" if self.count and self.feature is _STACK else ""
        return f"{self.file}: row {self.row}: {self.feature}{sheets}{size}"


def _noted(what: re.Pattern[str], note: str) -> float | None:
    found = what.search(note)
    return None if found is None else float(found[1].replace(",", "."))


def listed(rows: Sequence[int]) -> str:
    """Numbers of rows; of many only the first ones.

    >>> listed([2, 5]), listed(range(2, 900))
    ('2, 5', '2, 3, 4, 5, 6, 7 and 892 more')
    """
    shown = ", ".join(map(str, rows[:MOST_ROWS_SHOWN]))
    more = len(rows) - MOST_ROWS_SHOWN
    return f"{shown} and {more} more" if more > 0 else shown
