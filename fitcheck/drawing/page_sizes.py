"""The papers that a sheet is printed on."""

from __future__ import annotations

import enum
from dataclasses import dataclass


class Paper(enum.StrEnum):
    """A paper to print on, by the name it is asked for."""

    LETTER = "letter"
    A4 = "a4"
    SQUARE_12 = "12x12"
    A3 = "a3"


@dataclass(frozen=True)
class PaperSize:
    """Width and height of a page, mm."""

    width_mm: float
    height_mm: float

    @property
    def turned(self) -> PaperSize:
        """The same paper on its side."""
        return PaperSize(self.height_mm, self.width_mm)


#: Letter as in ANSI/ASME Y14.1 (8.5 x 11 in), A3 and A4 as in ISO 216, the square as it is sold.
PAPER_SIZES: dict[Paper, PaperSize] = {
    Paper.LETTER: PaperSize(215.9, 279.4),
    Paper.A4: PaperSize(210.0, 297.0),
    Paper.SQUARE_12: PaperSize(304.8, 304.8),
    Paper.A3: PaperSize(297.0, 420.0),
}
