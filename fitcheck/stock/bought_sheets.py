"""Paper as it is bought: the sheets that parts are cut from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.units import FRACTION, MM_PER, Unit, show_inches

SAME_MM = 0.05
"""Two sheets no further apart in size are the same."""
MOST_SHEETS = 50
"""Sizes of paper in one workshop or one command."""
LARGEST_SHEET_MM = 3000.0
"""Of a sheet's side, as it is bought."""


@dataclass(frozen=True)
class Bought:
    """A sheet as it is bought, mm; its grain runs along its length, the side named second."""

    name: str
    width_mm: float
    length_mm: float

    @property
    def grain_words(self) -> str:
        """Which grain that is, in the trade's words; nothing for a square.

        >>> Bought("one", 450, 640).grain_words, Bought("two", 640, 450).grain_words
        ('long grain', 'short grain')
        """
        if abs(self.length_mm - self.width_mm) <= SAME_MM:
            return ""
        return "long grain" if self.length_mm > self.width_mm else "short grain"

    def holds(self, width_mm: float, length_mm: float) -> bool:
        """Whether a rectangle can be cut from it, its edges along the sheet's, either way round."""
        sides = sorted((self.width_mm, self.length_mm))
        return all(
            need <= side + SAME_MM
            for need, side in zip(sorted((width_mm, length_mm)), sides, strict=True)
        )


#: Letter as in ANSI/ASME Y14.1, A4 as in ISO 216, the square as cardstock for crafts is sold.
USUAL_SHEETS = (
    Bought("letter", 215.9, 279.4),
    Bought("A4", 210.0, 297.0),
    Bought("12 x 12 in", 304.8, 304.8),
)
#: As in ISO 216: in common use too, though not what most have at hand.
LARGER_SHEETS = (Bought("A3", 297.0, 420.0),)


#: What sheets in common use are called in files and on the command line.
SHEET_NAMES = dict(
    zip(("letter", "a4", "12x12", "a3"), (*USUAL_SHEETS, *LARGER_SHEETS), strict=True)
)


def sheet_called(name: str) -> Bought | None:
    """A sheet in common use by its name, capitals or not; None for another.

    >>> sheet_called("A3").length_mm, sheet_called("foolscap")
    (420.0, None)
    """
    return SHEET_NAMES.get(name.lower())


def sheet_of(width_mm: float, length_mm: float) -> Bought:
    """A sheet by its size, with the name that people know it by.

    >>> sheet_of(215.9, 279.4).name, sheet_of(330.2, 482.6).name, sheet_of(300, 450).name
    ('letter', '13 x 19 in', '300 x 450 mm')
    """
    for usual in (*USUAL_SHEETS, *LARGER_SHEETS):
        if max(abs(usual.width_mm - width_mm), abs(usual.length_mm - length_mm)) <= SAME_MM:
            return usual
    step = MM_PER[Unit.IN] / FRACTION
    if all(abs(mm - round(mm / step) * step) < 1e-6 for mm in (width_mm, length_mm)):
        width, length = (show_inches(mm).removesuffix(" in") for mm in (width_mm, length_mm))
        return Bought(f"{width} x {length} in", width_mm, length_mm)
    return Bought(f"{width_mm:g} x {length_mm:g} mm", width_mm, length_mm)


def largest(sheets: Sequence[Bought]) -> tuple[Bought, ...]:
    """The sheets that no other one of them holds."""
    return tuple(
        one
        for place, one in enumerate(sheets)
        if not any(
            other.holds(one.width_mm, one.length_mm)
            and (not one.holds(other.width_mm, other.length_mm) or rank < place)
            for rank, other in enumerate(sheets)
            if rank != place
        )
    )
