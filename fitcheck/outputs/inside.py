"""What a part leaves between its walls: of a rolled one in its frame and at its floor."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.fit.assembly import Part
from fitcheck.folding.openings import opening_of


@dataclass(frozen=True)
class Inside:
    """A width and a length that are free, and where they are."""

    words: str
    where: str
    """Nothing where it is the same all the way down."""
    key: str
    """Its dotted path below the part in the JSON of a check."""
    size_mm: tuple[float, float]


def insides_of(part: Part) -> tuple[Inside, ...]:
    """One, or the frame's and the floor's where a rule tells them apart."""
    words, clear = part.recipe.inside_words, part.sizes.inside_mm
    opening = opening_of(part.folded, clear)
    if opening is None or not opening.differs:
        return (Inside(words, "", "inside_mm", clear),)
    return (
        Inside(words, "in the frame", "opening_mm.frame", opening.frame_mm),
        Inside(words, "at the floor", "opening_mm.floor", opening.floor_mm),
    )
