"""A part that is lowered straight down comes to rest where its pieces first meet what is below."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.contact import Rows
from fitcheck.fit.way_in import UP
from fitcheck.folding.pieces import ConvexPiece, bounds
from fitcheck.folding.pose import Array

Rests = dict[tuple[str, str], float]
"""How far each pair of names (above, below) has to be lifted to rest on each other, mm."""


def rest_heights(
    above: Sequence[ConvexPiece],
    below: Sequence[ConvexPiece],
    within_mm: float,
    only: Collection[tuple[str, str]] | None = None,
) -> Rests:
    """How far each pair of names (above, below) has to be lifted to rest on each other, mm.

    Pairs that are apart as they stand are left out, and so are those that come to rest more than
    `within_mm` after the first, and those that are not in `only`.
    """
    return rests_of([(above, below)], within_mm, only)[0]


def rests_of(
    boxes: Sequence[tuple[Sequence[ConvexPiece], Sequence[ConvexPiece]]],
    within_mm: float,
    only: Collection[tuple[str, str]] | None = None,
) -> list[Rests]:
    """The same of many boxes, each with what is above and what is below."""
    uppers: list[ConvexPiece] = []
    lowers: list[ConvexPiece] = []
    drops: list[float] = []
    names: list[tuple[int, str, str]] = []
    for box, (above, below) in enumerate(boxes):
        if not above or not below:
            continue
        low, high = bounds(above)
        under_low, under_high = bounds(below)
        over = (low[:, None, :2] < under_high[:, :2]) & (high[:, None, :2] > under_low[:, :2])
        drop = low[:, 2, None] - under_high[:, 2]
        for a, b in np.argwhere(over.all(axis=2) & (drop < 0.0)).tolist():
            pair = above[a].name, below[b].name
            if only is None or pair in only:
                uppers.append(above[a])
                lowers.append(below[b])
                drops.append(drop[a, b])
                names.append((box, *pair))
    places = {name: place for place, name in enumerate(dict.fromkeys(names))}
    group = np.array([places[name] for name in names], dtype=np.intp)
    box_of = np.array([box for box, _, _ in places], dtype=np.intp)

    def reach_of(rows: Rows) -> Array:
        own = rows.tolist()
        above, below = [uppers[k] for k in own], [lowers[k] for k in own]
        return -casts(below, above, None, np.zeros(3), UP)[1]

    whose = np.array([box for box, _, _ in names], dtype=np.intp)
    reach = nearest_first(np.array(drops), reach_of, within_mm, group, whose)
    found = np.zeros(len(places))
    np.fmin.at(found, group, reach)
    furthest = np.zeros(len(boxes))
    np.minimum.at(furthest, box_of, found)
    rests: list[Rests] = [{} for _ in boxes]
    for (box, upper, lower), fall in zip(places, found.tolist(), strict=True):
        if fall < 0.0 and fall <= furthest[box] + within_mm:
            rests[box][upper, lower] = -fall
    return rests
