"""How a sheet is turned on a board from one edge at the fence to the next, with the fewest turns.

The fence is at the maker's left, lengths along it are measured from the edge nearest the maker.
Turned anticlockwise by quarter turns, the sheet brings its left, top, right and bottom edge to the
fence in turn; turned over, its edges keep their names and come in the other order.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection

from fitcheck.pattern.sheet import Fence

ROUND = (Fence.LEFT, Fence.TOP, Fence.RIGHT, Fence.BOTTOM)
"""Fences in the order in which quarter turns anticlockwise bring them to the stop."""
OPPOSITE = {
    Fence.LEFT: Fence.RIGHT,
    Fence.RIGHT: Fence.LEFT,
    Fence.TOP: Fence.BOTTOM,
    Fence.BOTTOM: Fence.TOP,
}


def quarter_turns(before: Fence, after: Fence, *, over: bool = False) -> int:
    """Quarter turns anticlockwise from one edge at the fence to another: -1, 0, 1 or 2."""
    turns = (ROUND.index(after) - ROUND.index(before)) % 4
    turns = -1 if turns == 3 else turns
    return -turns if over and turns != 2 else turns


def shortest_round(fences: Collection[Fence], *, over: bool = False) -> tuple[Fence, ...]:
    """The order of fences with the fewest turns of the sheet, smaller turns preferred."""

    def cost(order: tuple[Fence, ...]) -> tuple[int, int, int, list[int]]:
        turns = [quarter_turns(a, b, over=over) for a, b in itertools.pairwise(order)]
        return (
            sum(turn != 0 for turn in turns),
            sum(abs(turn) for turn in turns),
            sum(turn < 0 for turn in turns),
            [ROUND.index(fence) for fence in order],
        )

    return min(itertools.permutations(sorted(set(fences))), key=cost)
