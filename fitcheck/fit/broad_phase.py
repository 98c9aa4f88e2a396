"""Which pieces of many boxes may meet on a straight path at all, as told by the boxes round them.

Whole plates and bends are ruled out first, then the pieces of those that are left.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.groups import PiecePairs, kinds_asked, pieces_of_runs, runs_of_boxes
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, Flags, Rows

MEETING: Array = np.full(3, -TOUCH_MM)
"""How near boxes have to come along each axis, mm: less than touching."""


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
        outer: Flags | None = None,
        only: Collection[tuple[str, str]] | None = None,
        near_mm: Array = MEETING,
    ) -> Rows:
        """Which pairs of plates and whole bends may meet as far as some axes go.

        From the places (b, 3). With those outer ones alone of which some piece is wanted, and those
        names alone that are asked for.
        """
        o, i = self.outer.stretches, self.inner.stretches
        a, b, least, most = self._near
        near = np.flatnonzero(_beside(least, most, ats[o.boxes[a]], axes, near_mm))
        if outer is not None and len(o.boxes):
            near = near[np.logical_or.reduceat(outer, o.ends[:-1])[a[near]]]
        if only is not None:
            wanted = kinds_asked(self.outer, self.inner, only)
            near = near[wanted[o.kinds[a[near]], i.kinds[b[near]]]]
        return near

    def pieces(
        self,
        runs: Rows,
        axes: tuple[int, ...],
        ats: Array,
        outer: Flags | None = None,
        near_mm: Array = MEETING,
        wanted: Callable[[Rows, Array, Array, Array], Flags] | None = None,
    ) -> tuple[PiecePairs, Array, Array, Array]:
        """Pairs of pieces of some pairs of plates and bends that may meet as far as some axes go.

        Also the place (n, 3) of each, and between what displacements (n, 3) it may meet. Those that
        are not `wanted` are left out, as told by their boxes (n,) and these.
        """
        o, i = self.outer.stretches, self.inner.stretches
        one, other = pieces_of_runs(o, i, self._near[0][runs], self._near[1][runs])
        if outer is not None:
            kept = np.flatnonzero(outer[one])
            one, other = one[kept], other[kept]
        low, high = self.outer.bounds
        own_low, own_high = self.inner.bounds
        least, most = _between((low[one], high[one]), (own_low[other], own_high[other]), self.path)
        at = ats[self.outer.boxes[one]]
        found = _beside(least, most, at, axes, near_mm)
        if wanted is not None:
            found &= wanted(self.outer.boxes[one], at, least, most)
        kept = np.flatnonzero(found)
        kept = kept[np.lexsort((other[kept], one[kept]))]
        pairs = PiecePairs(self.outer, self.inner, one[kept], other[kept])
        return pairs, at[kept], least[kept], most[kept]

    def meeting(self, ats: Array, near_mm: Array = MEETING) -> tuple[PiecePairs, Array]:
        """Pairs of pieces that may meet as they stand, along all axes, and their places (n, 3)."""
        every = (0, 1, 2)
        pairs, at, *_ = self.pieces(
            self.runs(every, ats, near_mm=near_mm), every, ats, near_mm=near_mm
        )
        return pairs, at


Ends = tuple[Array, Array]
"""The least and the greatest x, y, z, (n, 3) each."""


def _between(outer: Ends, inner: Ends, path: Array) -> Ends:
    """The displacements between which boxes may meet somewhere on the path, strictly."""
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
