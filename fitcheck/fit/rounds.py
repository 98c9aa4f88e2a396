"""The round inside of an upright crease, and what of an inner part meets it first.

Where a crease is round, the corner that two walls make is narrower than the walls are, and what
fits between them may still be stopped in it. Seen along the path the inside is an arc from wall to
wall, and lines that touch it bound what stands in it: the walls at its ends, and between them here
the one that touches it in the middle. The arc itself lies nearer by a twelfth of its radius at the
most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from fitcheck.fit.groups import runs_of_boxes
from fitcheck.fit.pairs import Pairs
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, Flags, Rows

QUARTERS = (False, False), (False, True), (True, False), (True, True)
"""The sides of both directions across the path that a corner may be on."""


class Corner(NamedTuple):
    """An upright crease of the outer part, and a piece of the inner one that stands in it."""

    outer: str
    inner: str
    high: tuple[bool, bool]
    """On which side of each direction across the path the crease is."""


def corners_of(pairs: Pairs, ats: Array) -> dict[Corner, Flags]:
    """The corners in which pieces stand on the path, from each box's place of (b, 3).

    And in which boxes (b,) they do.
    """
    o, i = pairs.outer.stretches, pairs.inner.stretches
    a, b = runs_of_boxes(o, i, pairs.boxes)
    size = o.high - o.low
    upright = (np.diff(o.ends) > 1) & (size[:, 2] > size[:, :2].max(axis=1))
    low, high = o.low[:, 2] + min(pairs.path[2], 0.0), o.high[:, 2] + max(pairs.path[2], 0.0)
    lift = ats[o.boxes[a], 2]
    meet = upright[a] & (low[a] < i.high[b, 2] + lift) & (high[a] > i.low[b, 2] + lift)
    beside = o.high < pairs.point, o.low > pairs.point
    found: dict[Corner, Flags] = {}
    for way in QUARTERS:
        there = beside[way[0]][:, 0] & beside[way[1]][:, 1]
        for run in np.flatnonzero(meet & there[a]).tolist():
            names = pairs.outer.names[o.kinds[a[run]]][0], pairs.inner.names[i.kinds[b[run]]][0]
            boxes = found.setdefault(Corner(*names, way), np.zeros(pairs.boxes, dtype=bool))
            boxes[o.boxes[a[run]]] = True
    return found


def stops_in(outer: Pieces, inner: Pieces, ats: Array, corners: Sequence[Corner]) -> Array:
    """How far each inner piece goes until it meets the line that touches the arc, (3, c, b) mm.

    That is alike along both directions across the path. And how far along the first and the second
    until it is at the crease at all, before which the line does not count: what is past the whole
    crease at its side is no more stopped by it. For each corner and each box, from its place of
    (b, 3); not finite where a box has no such piece.
    """
    found = np.empty((3, len(corners), len(ats)))
    around = _Plan.of_names(outer, [one.outer for one in corners], len(ats))
    inside = _Plan.of_names(inner, [one.inner for one in corners], len(ats))
    for high in dict.fromkeys(one.high for one in corners):
        own = [n for n, one in enumerate(corners) if one.high == high]
        a = [around.places[corners[n].outer] for n in own]
        b = [inside.places[corners[n].inner] for n in own]
        way = np.where(high, 1.0, -1.0)
        # of all slices the one that the line touches begins furthest out
        with np.errstate(invalid="ignore"):
            found[0, own] = around.furthest(way, by_nearest=True)[a] - inside.furthest(way)[b]
        found[0, own] -= ats[:, :2] @ way
        for k in (0, 1):
            along = way * (np.arange(2) == k)
            found[1 + k, own] = -around.furthest(-along)[a] - inside.furthest(along)[b]
            found[1 + k, own] -= ats[:, :2] @ along
    return found


@dataclass(frozen=True, eq=False)
class _Plan:
    """The corners of some pieces, seen along the path."""

    places: dict[str, int]
    """Of their names."""
    of: Rows
    """(q,) the place of each piece's name and of its box."""
    shape: tuple[int, int]
    """How many names and boxes there are."""
    x: Array
    """(w, q) mm."""
    y: Array

    @classmethod
    def of_names(cls, pieces: Pieces, names: Sequence[str], boxes: int) -> _Plan:
        """The pieces of these names."""
        places = {name: n for n, name in enumerate(dict.fromkeys(names))}
        kinds = np.array([places.get(name, -1) for name, _ in pieces.names], dtype=np.intp)
        number = kinds[pieces.kinds]
        rows = np.flatnonzero(number >= 0)
        x, y, _ = pieces.corners(rows) if len(rows) else np.zeros((3, 1, 0))
        of = number[rows] * boxes + pieces.boxes[rows]
        return cls(places, of, (len(places), boxes), x, y)

    def furthest(self, way: Array, *, by_nearest: bool = False) -> Array:
        """How far out the furthest piece of each name lies in each box, (n, b) mm, along (2,).

        By the furthest of its corners or by the nearest.
        """
        along = way[0] * self.x + way[1] * self.y
        found = np.full(self.shape[0] * self.shape[1], -np.inf)
        np.maximum.at(found, self.of, along.min(axis=0) if by_nearest else along.max(axis=0))
        return found.reshape(self.shape)
