"""What a part that was just added, or given another style, starts with: sizes to be changed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fitcheck.bench.forms import keys_at, styles_of
from fitcheck.odds.rewrite import written
from fitcheck.units import Unit

DEPTHS_MM: Mapping[str, float] = {
    "depth": 20.0,
    "frame": 10.0,
    "flap": 10.0,
    "lip": 12.0,
    "rise": 10.0,
    "height": 10.0,
}
"""Walls, frames and lips that are easily folded (common practice, no source)."""
EASES_MM: Mapping[str, float] = {"ease": 1.5, "oversize": 2.0}
"""What lets a sleeve or a lid go on in usual papers (common practice, no source)."""
COUNTS: Mapping[str, int] = {"rows": 2, "columns": 2}
ONE_OF: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "lid": (("oversize", "floor", "inside", "opening", "same_sheet"), ("depth", "same_sheet")),
    "collar": (("ease",), ("rise", "height")),
    "dividers": (("ease", "cut"),),
    "insert": (("ease", "cut"), ("height", "legs")),
}
"""Keys of which a part at a place needs one, where its style knows them; the usual one first."""


def start(document: Any, place: str, grid_mm: float, mark_mm: float, unit: Unit) -> None:
    """Leave out what a part's style does not know, and fill in what it cannot do without.

    Lengths land on the board's grooves, `grid_mm` apart, eases on a rule's marks.
    """
    table = document[place]
    known, needed = keys_at(document, (place,))
    if table.get("style") not in styles_of(place):
        return  # it is told, and nothing is lost
    for key in [key for key in table if key not in known]:
        del table[key]
    wanted = set(needed)
    for keys in ONE_OF.get(place, ()):
        if keys[0] in known and not any(key in table for key in keys):
            wanted.add(keys[0])
    for key in sorted(wanted - set(table)):
        if key in DEPTHS_MM:
            grooves = max(1, round(DEPTHS_MM[key] / grid_mm))
            table[key] = written(grooves * grid_mm, unit)
        elif key in EASES_MM:
            size = written(max(1, round(EASES_MM[key] / mark_mm)) * mark_mm, unit)
            table[key] = [size, size]
        elif key in COUNTS:
            table[key] = COUNTS[key]
