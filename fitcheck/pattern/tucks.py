"""A tuck closes an end of a box: flaps turned in, a lid over them, its flap behind a wall."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Tuck:
    """How an end of a box is closed: flaps turned in, a lid over them, its flap behind a wall."""

    lid: str
    flap: str
    """At the lid's end."""
    behind: str
    """The wall that it goes down behind."""
    beside: tuple[str, ...]
    """The walls that it goes down between."""
    under: tuple[str, ...]
    """The panels that are turned in first, one after the other."""
    shoulder_mm: float | None = None
    """How far from their creases those have shoulders, which come to lie in slits at the ends of
    the flap's crease and hold it; None for a flap that nothing but friction holds. On its way the
    paper bows to let them by."""
