"""A part that goes straight down, or any other way, comes to rest where it first meets another."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.frames import seen_from
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
    direction: Array = UP,
    places: Array | None = None,
) -> list[Rests]:
    """How far each pair of names (above, below) of each box has to be lifted to rest on each other.

    `direction` (3,) is where the part above comes from; it stands at its own place of (b, 3) mm,
    as given where that is not said. Pairs that are apart as they stand are left out, and so are
    those that come to rest more than `within_mm` after the box's first, and those that are not in
    `only`.
    """
    frame = seen_from(direction)
    above, below = frame.carried(above), frame.carried(below)
    ats = np.zeros((boxes, 3)) if places is None else frame.into(places)
    pairs, drops = _over(above, below, boxes, ats)
    if only is not None:
        rows = pairs.named(only)
        pairs, drops = pairs.take(rows), drops[rows]
    under = PiecePairs(below, above, pairs.b, pairs.a)

    def reach_of(rows: Rows) -> Array:
        own = under.take(rows)
        return -casts(own, None, ats[own.whose], UP)[1]

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


def _over(above: Pieces, below: Pieces, boxes: int, ats: Array) -> tuple[PiecePairs, Array]:
    """Pairs (above, below) that stand over each other, and how far their boxes are apart, mm.

    Only those whose boxes reach into each other's height; negative.
    """
    one, other = above.stretches, below.stretches
    a, b = runs_of_boxes(one, other, boxes)
    by = ats[one.boxes]
    rows, _ = _over_each_other((one.low + by, one.high + by), (other.low, other.high), a, b)
    a, b = pieces_of_runs(one, other, a[rows], b[rows])
    low, high = above.bounds
    by = ats[above.boxes]
    rows, drop = _over_each_other((low + by, high + by), below.bounds, a, b)
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
