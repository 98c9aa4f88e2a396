"""Marks in words: the third score from the long edge, or a hair inside it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from fitcheck.pattern.counted import HAIR_DIGITS
from fitcheck.pattern.sheet import Fence, Sheet, ordinal
from fitcheck.plain import joined
from fitcheck.sheet.marks import Mark
from fitcheck.units import Unit, hand_unit, show_hand, show_hands, show_number

SQUARE_SHARE = 0.02
"""A sheet whose sides differ by less has no side that a maker would call the long one."""
UPRIGHT = frozenset((Fence.LEFT, Fence.RIGHT))
LEVEL = frozenset((Fence.TOP, Fence.BOTTOM))


@dataclass(frozen=True)
class Edges:
    """What the edges of a sheet are called where something holds for several of them."""

    sheet: Sheet
    fences: frozenset[Fence]
    """All that it holds for."""

    def name(self, fence: Fence) -> str:
        """An edge's own name, or the name that it shares with the edge opposite.

        >>> four = Edges(Sheet(100.0, 200.0), frozenset(Fence))
        >>> four.name(Fence.LEFT), Edges(Sheet(100.0, 100.0), UPRIGHT).name(Fence.LEFT)
        ('long edge', 'left or right edge')
        """
        pair = UPRIGHT if fence in UPRIGHT else LEVEL
        if not pair <= self.fences:
            return f"{fence} edge"
        width, length = self.sheet.width_mm, self.sheet.length_mm
        if abs(width - length) < SQUARE_SHARE * max(width, length):
            return "left or right edge" if fence in UPRIGHT else "top or bottom edge"
        return "long edge" if (fence in UPRIGHT) == (length > width) else "short edge"


def mark_words(mark: Mark, edges: Edges, unit: Unit, *, point: bool = False) -> str:
    """A mark by itself: a line to cut along or to, or a ``point`` that a cut goes on to."""
    if mark.edge:
        return f"the {edges.name(mark.fence)}"
    line = "a line " if mark.score is None and not point else ""
    return f"{line}{_place(mark, unit)} from the {edges.name(mark.fence)}"


def from_to(start: Mark, stop: Mark, edges: Edges, unit: Unit) -> str:
    """Two marks along one line; what both are counted from is said once."""
    if stop.at_mm < start.at_mm and start.fence is stop.fence:
        start, stop = stop, start
    if start.fence is stop.fence and not start.edge and not stop.edge:
        end = f"from the {edges.name(stop.fence)}"
        return f"from {_place(start, unit)} to {_place(stop, unit)} {end}"
    if start.edge and start.fence is stop.fence:
        return f"from the {edges.name(start.fence)} to {_place(stop, unit)} from it"
    return f"from {mark_words(start, edges, unit)} to {mark_words(stop, edges, unit)}"


def _place(mark: Mark, unit: Unit) -> str:
    if mark.score is None:
        return show_hands([mark.at_mm], unit)
    score = f"the {ordinal(mark.score)} score"
    if mark.exact:
        return score
    return f"a hair {'inside' if mark.beyond_mm > 0.0 else 'outside'} {score}"


def score_value(at_mm: float, beside_mm: float, unit: Unit) -> str:
    """A score's distance in a drawing or a table: its own, or the one it is a hair beyond.

    >>> score_value(12.5, 0.0, Unit.MM), score_value(12.87, 0.37, Unit.MM)
    ('12.5 mm', '12.5 mm + 0.4')
    >>> score_value(12.4, -0.3, Unit.IN)
    '1/2 in - 0.3 mm'
    """
    own = hand_unit(unit)
    told = f"{show_hand(at_mm - beside_mm, unit)} {own}"
    if not beside_mm:
        return told
    hair = show_number(abs(beside_mm), HAIR_DIGITS) + ("" if own is Unit.MM else " mm")
    return f"{told} {'+' if beside_mm > 0.0 else '-'} {hair}"


def pair_words(pair: frozenset[Fence], sheet: Sheet) -> str:
    """Two edges that lie opposite.

    >>> pair_words(LEVEL, Sheet(100.0, 200.0)), pair_words(UPRIGHT, Sheet(100.0, 100.0))
    ('both short edges', 'the left and right edges')
    """
    name = Edges(sheet, pair).name(min(pair))
    if " or " in name:
        return f"the {name.replace(' or ', ' and ')}s"
    return f"both {name}s"


def corner_words(corners: Collection[tuple[Fence, Fence]]) -> str:
    """Corners of a sheet, each by its edge across and its edge along.

    >>> corner_words({(Fence.LEFT, Fence.TOP), (Fence.LEFT, Fence.BOTTOM)})
    'both left corners'
    """
    across, along = {one for one, _ in corners}, {one for _, one in corners}
    if len(corners) == 4:
        return "all four corners"
    if len(corners) == 2 and len(across) == 1:
        return f"both {next(iter(across))} corners"
    if len(corners) == 2 and len(along) == 1:
        return f"both {next(iter(along))} corners"
    named = [f"{along} {across}" for across, along in sorted(corners)]
    return f"the {joined(named)} corner" + ("s" if len(corners) > 1 else "")
