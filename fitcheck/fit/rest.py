"""A part that is lowered straight down comes to rest where its pieces first meet what is below."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.groups import PiecePairs, pieces_of_runs, runs_of_boxes
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, Rows

Rests = dict[tuple[str, str], float]
"""How far each pair of names (above, below) has to be lifted to rest on each other, mm."""


def rests_of(
    above: Pieces,
    below: Pieces,
    boxes: int,
    within_mm: float,
    only: Collection[tuple[str, str]] | None = None,
) -> list[Rests]:
    """How far each pair of names (above, below) of each box has to be lifted to rest on each other.

    Pairs that are apart as they stand are left out, and so are those that come to rest more than
    `within_mm` after the box's first, and those that are not in `only`.
    """
    pairs, drops = _over(above, below, boxes)
    if only is not None:
        rows = pairs.named(only)
        pairs, drops = pairs.take(rows), drops[rows]
    under = PiecePairs(below, above, pairs.b, pairs.a)

    def reach_of(rows: Rows) -> Array:
        return -casts(under.take(rows), None, np.zeros(3), UP)[1]

    groups = pairs.groups
    reach = nearest_first(drops, reach_of, within_mm, groups.of, pairs.whose)
    found = np.zeros(len(groups.names))
    np.fmin.at(found, groups.of, reach)
    furthest = np.zeros(boxes)
    np.minimum.at(furthest, groups.boxes, found)
    rests: list[Rests] = [{} for _ in range(boxes)]
    for box, names, fall in zip(groups.boxes.tolist(), groups.names, found.tolist(), strict=True):
        if fall < 0.0 and fall <= furthest[box] + within_mm:
            rests[box][names] = -fall
    return rests


def _over(above: Pieces, below: Pieces, boxes: int) -> tuple[PiecePairs, Array]:
    """Pairs (above, below) that stand over each other, and how far their boxes are apart, mm.

    Only those whose boxes reach into each other's height; negative.
    """
    one, other = above.stretches, below.stretches
    a, b = runs_of_boxes(one, other, boxes)
    rows, _ = _over_each_other((one.low, one.high), (other.low, other.high), a, b)
    a, b = pieces_of_runs(one, other, a[rows], b[rows])
    rows, drop = _over_each_other(above.bounds, below.bounds, a, b)
    return PiecePairs(above, below, a[rows], b[rows]), drop


def _over_each_other(
    above: tuple[Array, Array], below: tuple[Array, Array], a: Rows, b: Rows
) -> tuple[Rows, Array]:
    drop = above[0][a, 2] - below[1][b, 2]
    over = drop < 0.0
    for k in (0, 1):
        over &= (above[0][a, k] < below[1][b, k]) & (above[1][a, k] > below[0][b, k])
    rows = np.flatnonzero(over)
    return rows, drop[rows]
