"""Board too thick to press into a crease is folded on cuts half through, and cut with a knife."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.pattern.creases import CreaseKind, CreaseLine
from fitcheck.pattern.pattern import Pattern
from fitcheck.stock.paper import Stock


def as_made(pattern: Pattern, stock: Stock) -> Pattern:
    """A pattern as it is made from a stock: of thick board each fold is cut half through."""
    if not stock.half_cut:
        return pattern
    return replace(pattern, creases=_half_cut(pattern.creases), webs=_half_cut(pattern.webs))


def _half_cut(lines: tuple[CreaseLine, ...]) -> tuple[CreaseLine, ...]:
    return tuple(replace(line, kind=CreaseKind.HALF_CUT) for line in lines)
