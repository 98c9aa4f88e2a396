"""Which pieces of many boxes may meet on a straight path at all, as told by the boxes round them.

Whole plates and bends are ruled out first, then the pieces of those that are left.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import NamedTuple

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.groups import PiecePairs, kinds_asked, pieces_of_runs, runs_of_boxes
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, Flags, Rows

MEETING: Array = np.full(3, -TOUCH_MM)
"""How near boxes have to come along each axis, mm: less than touching."""


Ends = tuple[Array, Array]
"""The least and the greatest x, y, z, (n, 3) each."""


class Met(NamedTuple):
    """Pairs of pieces that may meet."""

    pairs: PiecePairs
    at: Array
    """(n, 3) the place of each inner one."""
    least: Array
    """(n, 3) between what displacements they may meet: the least and the most."""
    most: Array
    outer: Ends
    """The boxes of the outer ones."""

    def take(self, rows: Rows) -> Met:
        """Some of them."""
        low, high = self.outer
        return Met(
            self.pairs.take(rows),
            self.at[rows],
            self.least[rows],
            self.most[rows],
            (low[rows], high[rows]),
        )


class Along(NamedTuple):
    """What is wanted of pairs along an axis."""

    axis: int
    wanted: Callable[[Rows, Array, Array, Array, Array], Flags]
    """Which (n,) of those of boxes (n,) between such displacements (n,), the least and the most,
    whose outer ones reach from and to (n,); all of these may be a little wider than pairs are."""


class BroadPhase:
    """Pairs of an outer and an inner piece of each box whose boxes meet on the path."""

    def __init__(self, outer: Pieces, inner: Pieces, path: Array) -> None:
        self.outer, self.inner, self.path = outer, inner, path
        o, i = outer.stretches, inner.stretches
        self.boxes = 1 + max(outer.boxes.max(initial=0), inner.boxes.max(initial=0))
        a, b = runs_of_boxes(o, i, self.boxes)
        # a displacement strictly between these may make the pair meet somewhere on the path
        least, most = _between((o.low[a], o.high[a]), (i.low[b], i.high[b]), path)
        self._near = a, b, least, most

    def between(self, runs: Rows) -> tuple[Rows, Array, Array]:
        """The box (n,) of some pairs of plates and whole bends, and its displacements (n, 3).

        Between what displacements they may meet: the least and the most.
        """
        a, _, least, most = self._near
        return self.outer.stretches.boxes[a[runs]], least[runs], most[runs]

    def plates(self, runs: Rows) -> Flags:
        """Which pairs of plates and whole bends are two single pieces."""
        ends = self.outer.stretches.ends, self.inner.stretches.ends
        single = [
            np.diff(own)[rows[runs]] == 1 for own, rows in zip(ends, self._near, strict=False)
        ]
        both: Flags = single[0] & single[1]
        return both

    def runs(
        self,
        axes: tuple[int, ...],
        ats: Array,
        only: Collection[tuple[str, str]] | None = None,
        near_mm: Array = MEETING,
    ) -> Rows:
        """Which pairs of plates and whole bends may meet as far as some axes go.

        From the places (b, 3). With those names alone that are asked for.
        """
        o, i = self.outer.stretches, self.inner.stretches
        a, b, least, most = self._near
        near = np.flatnonzero(_beside(least, most, ats[o.boxes[a]], axes, near_mm))
        if only is not None:
            wanted = kinds_asked(self.outer, self.inner, only)
            near = near[wanted[o.kinds[a[near]], i.kinds[b[near]]]]
        return near

    def outer_ends(self, runs: Rows) -> Ends:
        """The boxes round the outer plates and whole bends of some pairs."""
        o, rows = self.outer.stretches, self._near[0][runs]
        return o.low[rows], o.high[rows]

    def pieces(
        self,
        runs: Rows,
        axes: tuple[int, ...],
        ats: Array,
        near_mm: Array = MEETING,
        first: Along | None = None,
    ) -> Met:
        """Pairs of pieces of some pairs of plates and bends that may meet as far as some axes go.

        In the order of those. What is wanted along an axis rules out the others `first`.
        """
        o, i = self.outer.stretches, self.inner.stretches
        one, other = pieces_of_runs(o, i, self._near[0][runs], self._near[1][runs])
        if first is not None:
            k = first.axis
            outer = self.outer.about(one, k)
            ends = _between(outer, self.inner.about(other, k), self.path[k])
            some = first.wanted(self.outer.boxes[one], *ends, *outer)
            one, other = one[some], other[some]
        outer = self.outer.bounds_of(one)
        least, most = _between(outer, self.inner.bounds_of(other), self.path)
        pairs = PiecePairs(self.outer, self.inner, one, other)
        met = Met(pairs, ats[pairs.whose], least, most, outer)
        return met.take(np.flatnonzero(_beside(least, most, met.at, axes, near_mm)))

    def meeting(self, ats: Array, near_mm: Array = MEETING) -> tuple[PiecePairs, Array]:
        """Pairs of pieces that may meet as they stand, along all axes, and their places (n, 3).

        In the order of the pieces.
        """
        every = (0, 1, 2)
        runs = self.runs(every, ats, near_mm=near_mm)
        found = self.pieces(runs, every, ats, near_mm=near_mm)
        order = np.lexsort((found.pairs.b, found.pairs.a))
        return found.pairs.take(order), found.at[order]


def _between(outer: Ends, inner: Ends, path: Array) -> Ends:
    """The displacements between which boxes may meet somewhere on the path, strictly.

    Of all axes (n, 3), or along one (n,).
    """
    return (
        outer[0] - inner[1] + np.minimum(0.0, path),
        outer[1] - inner[0] + np.maximum(0.0, path),
    )


def _beside(least: Array, most: Array, at: Array, axes: tuple[int, ...], near_mm: Array) -> Flags:
    """Which pairs (n,) meet, or come as near as that, as far as some axes go."""
    found = np.ones(len(least), dtype=bool)
    for j in axes:
        found &= least[:, j] < at[:, j] + near_mm[j]
        found &= most[:, j] > at[:, j] - near_mm[j]
    return found
