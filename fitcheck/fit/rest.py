"""A part that is lowered straight down comes to rest where its pieces first meet what is below."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from fitcheck.fit.casts import casts, name_pairs, nearest_first
from fitcheck.fit.contact import Rows
from fitcheck.fit.way_in import UP
from fitcheck.folding.pieces import ConvexPiece, bounds
from fitcheck.folding.pose import Array


def rest_heights(
    above: Sequence[ConvexPiece],
    below: Sequence[ConvexPiece],
    within_mm: float,
    only: Collection[tuple[str, str]] | None = None,
) -> dict[tuple[str, str], float]:
    """How far each pair of names (above, below) has to be lifted to rest on each other, mm.

    Pairs that are apart as they stand are left out, and so are those that come to rest more than
    `within_mm` after the first, and those that are not in `only`.
    """
    if not above or not below:
        return {}
    low, high = bounds(above)
    under_low, under_high = bounds(below)
    over = (low[:, None, :2] < under_high[:, :2]) & (high[:, None, :2] > under_low[:, :2])
    drop = low[:, 2, None] - under_high[:, 2]
    a, b = np.nonzero(over.all(axis=2) & (drop < 0.0))
    names, group = name_pairs(above, below, a, b)
    if only is not None:
        asked = np.array([pair in only for pair in names], dtype=bool)[group]
        a, b, group = a[asked], b[asked], group[asked]

    def reach_of(rows: Rows) -> Array:
        uppers, lowers = [above[k] for k in a[rows]], [below[k] for k in b[rows]]
        return -casts(lowers, uppers, None, np.zeros(3), UP)[1]

    reach = nearest_first(drop[a, b], reach_of, within_mm, group)
    found = np.zeros(len(names))
    np.fmin.at(found, group, reach)
    furthest = found.min(initial=0.0) + within_mm
    return {
        pair: -fall
        for pair, fall in zip(names, found.tolist(), strict=True)
        if fall < 0.0 and fall <= furthest
    }
