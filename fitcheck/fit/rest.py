"""A part that goes straight down comes to rest where it first meets another."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from fitcheck.fit.casts import casts, few_of_each, nearest_first
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.groups import PiecePairs, kinds_asked, pieces_of_runs, runs_of_boxes
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, Flags, Rows

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
    runs, drops = _runs_over(above, below, boxes, only)

    def falls(pairs: PiecePairs) -> Array:
        """How far parts fall until each pair meets, (n,) mm, negative; nan where it does not."""
        under = PiecePairs(pairs.seconds, pairs.firsts, pairs.b, pairs.a)
        return -casts(under, None, np.zeros(3), UP)[1]

    furthest = np.zeros(boxes)
    if within_mm < np.inf:
        # one plate that rests on another in each box mostly makes all that is lower needless
        plates = np.flatnonzero(_single(above, runs[0]) & _single(below, runs[1]))
        plates = plates[np.argsort(drops[plates], kind="stable")]
        tried = plates[few_of_each(above.stretches.boxes[runs[0][plates]], 1)]
        pairs, _ = _over(above, below, (runs[0][tried], runs[1][tried]))
        np.fmin.at(furthest, pairs.whose, falls(pairs))
    upto = furthest + within_mm + TOUCH_MM
    near = drops <= upto[above.stretches.boxes[runs[0]]]
    pairs, drops = _over(above, below, (runs[0][near], runs[1][near]))
    rows = np.flatnonzero(drops <= upto[pairs.whose])
    pairs, drops = pairs.take(rows), drops[rows]
    groups = pairs.groups
    reach = nearest_first(
        drops, lambda rows: falls(pairs.take(rows)), within_mm, groups.of, pairs.whose
    )
    found = np.zeros(len(groups.names))
    np.fmin.at(found, groups.of, reach)
    np.minimum.at(furthest, groups.boxes, found)
    rests: list[Rests] = [{} for _ in range(boxes)]
    for box, names, fall in zip(groups.boxes.tolist(), groups.names, found.tolist(), strict=True):
        if fall < 0.0 and fall <= furthest[box] + within_mm:
            rests[box][names] = -fall
    return rests


def _runs_over(
    above: Pieces, below: Pieces, boxes: int, only: Collection[tuple[str, str]] | None
) -> tuple[tuple[Rows, Rows], Array]:
    """Plates and whole bends (above, below) over each other; how far their boxes are apart, mm.

    Only those whose boxes reach into each other's height; negative. And whose names are asked for.
    """
    one, other = above.stretches, below.stretches
    a, b = runs_of_boxes(one, other, boxes)
    if only is not None:
        own = kinds_asked(above, below, only)[one.kinds[a], other.kinds[b]]
        a, b = a[own], b[own]
    rows, drops = _over_each_other((one.low, one.high), (other.low, other.high), a, b)
    return (a[rows], b[rows]), drops


def _single(pieces: Pieces, runs: Rows) -> Flags:
    """Which of some plates and whole bends are single pieces."""
    found: Flags = np.diff(pieces.stretches.ends)[runs] == 1
    return found


def _over(above: Pieces, below: Pieces, runs: tuple[Rows, Rows]) -> tuple[PiecePairs, Array]:
    """Pairs of pieces of some plates and bends that are over each other, and how far apart, mm."""
    a, b = pieces_of_runs(above.stretches, below.stretches, *runs)
    every = np.arange(len(a))
    rows, drops = _over_each_other(above.bounds_of(a), below.bounds_of(b), every, every)
    return PiecePairs(above, below, a[rows], b[rows]), drops


def _over_each_other(
    above: tuple[Array, Array], below: tuple[Array, Array], a: Rows, b: Rows
) -> tuple[Rows, Array]:
    drop = above[0][a, 2] - below[1][b, 2]
    over = drop < 0.0
    for k in (0, 1):
        over &= (above[0][a, k] < below[1][b, k]) & (above[1][a, k] > below[0][b, k])
    rows = np.flatnonzero(over)
    return rows, drop[rows]
