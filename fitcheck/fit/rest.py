"""A part that is lowered straight down comes to rest where its pieces first meet what is below."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.way_in import UP
from fitcheck.folding.pieces import ConvexPiece, bounds
from fitcheck.folding.pose import Array, Rows

Rests = dict[tuple[str, str], float]
"""How far each pair of names (above, below) has to be lifted to rest on each other, mm."""


def rests_of(
    boxes: Sequence[tuple[Sequence[ConvexPiece], Sequence[ConvexPiece]]],
    within_mm: float,
    only: Collection[tuple[str, str]] | None = None,
) -> list[Rests]:
    """How far each pair of names (above, below) of each box has to be lifted to rest on each other.

    Each box is given by what is above and what is below. Pairs that are apart as they stand are
    left out, and so are those that come to rest more than `within_mm` after the box's first, and
    those that are not in `only`.
    """
    if not boxes:
        return []
    each = [_over(above, below) for above, below in boxes]
    whose = np.arange(len(boxes)).repeat([len(a) for a, _, _ in each])
    a, b = (np.concatenate([own[side] for own in each]) for side in (0, 1))
    drops = np.concatenate([own for _, _, own in each])
    above, below = (tuple(own[side] for own in boxes) for side in (0, 1))
    pairs = PiecePairs(above, below, whose, a, b)
    if only is not None:
        rows = pairs.named(only)
        pairs, drops = pairs.take(rows), drops[rows]

    def reach_of(rows: Rows) -> Array:
        lowers, uppers = pairs.second_pieces(rows), pairs.first_pieces(rows)
        return -casts(lowers, uppers, None, np.zeros(3), UP)[1]

    groups = pairs.groups
    reach = nearest_first(drops, reach_of, within_mm, groups.of, pairs.whose)
    found = np.zeros(len(groups.names))
    np.fmin.at(found, groups.of, reach)
    furthest = np.zeros(len(boxes))
    np.minimum.at(furthest, groups.boxes, found)
    rests: list[Rests] = [{} for _ in boxes]
    for box, names, fall in zip(groups.boxes.tolist(), groups.names, found.tolist(), strict=True):
        if fall < 0.0 and fall <= furthest[box] + within_mm:
            rests[box][names] = -fall
    return rests


def _over(above: Sequence[ConvexPiece], below: Sequence[ConvexPiece]) -> tuple[Rows, Rows, Array]:
    """Pairs (above, below) that stand over each other, and how far their boxes are apart, mm.

    Only those whose boxes reach into each other's height; negative.
    """
    if not len(above) or not len(below):
        none = np.zeros(0, dtype=np.intp)
        return none, none, np.zeros(0)
    low, high = bounds(above)
    under_low, under_high = bounds(below)
    over = (low[:, None, :2] < under_high[:, :2]) & (high[:, None, :2] > under_low[:, :2])
    drop = low[:, 2, None] - under_high[:, 2]
    a, b = np.nonzero(over.all(axis=2) & (drop < 0.0))
    return a, b, drop[a, b]
