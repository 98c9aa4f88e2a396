"""How a sheet lies on a board: which edge is at the fence, and what is near and far then.

The fence is at the maker's left, lengths along it are measured from the edge nearest the maker.
Turned anticlockwise by quarter turns, the sheet brings its left, top, right and bottom edge to the
fence in turn.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection

from fitcheck.pattern.plan import RuledLine
from fitcheck.pattern.sheet import Fence, Sheet

ROUND = (Fence.LEFT, Fence.TOP, Fence.RIGHT, Fence.BOTTOM)
"""Fences in the order in which quarter turns anticlockwise bring them to the stop."""
NEAREST = {
    Fence.LEFT: Fence.BOTTOM,
    Fence.TOP: Fence.LEFT,
    Fence.RIGHT: Fence.TOP,
    Fence.BOTTOM: Fence.RIGHT,
}
"""The edge that lies nearest the maker while another is at the fence."""


def quarter_turns(before: Fence, after: Fence) -> int:
    """Quarter turns anticlockwise from one edge at the fence to another: -1, 0, 1 or 2."""
    turns = (ROUND.index(after) - ROUND.index(before)) % 4
    return -1 if turns == 3 else turns


def seen_from_maker(sheet: Sheet, line: RuledLine) -> tuple[float, float]:
    """A line's start and stop measured from the edge nearest the maker, its fence at the stop."""
    if line.fence in (Fence.LEFT, Fence.TOP):
        return line.start_mm, line.stop_mm
    size = sheet.length_mm if line.fence.upright else sheet.width_mm
    return size - line.stop_mm, size - line.start_mm


def shortest_round(fences: Collection[Fence], start: Fence | None) -> tuple[Fence, ...]:
    """The order of fences with the fewest turns of the sheet, smaller turns preferred.

    `start` is the edge at the fence already; None leaves the first one free.
    """

    def cost(order: tuple[Fence, ...]) -> tuple[int, int, list[int]]:
        walk = order if start is None else (start, *order)
        turns = [abs(quarter_turns(a, b)) for a, b in itertools.pairwise(walk)]
        return (
            sum(turn > 0 for turn in turns),
            sum(turns),
            [ROUND.index(fence) for fence in order],
        )

    return min(itertools.permutations(sorted(set(fences))), key=cost)
