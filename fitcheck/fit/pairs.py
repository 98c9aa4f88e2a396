"""Pairs of an outer and an inner piece of many boxes, and where they stop a straight slide.

The outer part encloses the inner one. An outer piece that lies wholly on one side of the middle
has to stay on that side of every inner piece.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from fitcheck.fit.candidates import DIRECTIONS, Candidates, PairTravels, travels_of
from fitcheck.fit.casts import few_of_each, nearest_first
from fitcheck.fit.contact import TOUCH_MM, difference_body
from fitcheck.fit.groups import PiecePairs, pieces_of_runs, runs_of_boxes
from fitcheck.fit.travel import Stop, Travel
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.pattern.sheet import Axis

FEW_RUNS = 1
"""So many of the nearest plates of each box are met first, to rule out the others."""


class Pairs:
    """All pairs of an outer and an inner piece of each box, those that are far apart ruled out."""

    def __init__(self, outer: Pieces, inner: Pieces, path: Array) -> None:
        self.outer, self.inner, self.path = outer, inner, path
        low, high = outer.bounds
        self.side_low, self.side_high = high < 0.0, low > 0.0
        o, i = outer.stretches, inner.stretches
        self.boxes = 1 + max(outer.boxes.max(initial=0), inner.boxes.max(initial=0))
        a, b = runs_of_boxes(o, i, self.boxes)
        # a displacement strictly between these may make the pair meet somewhere on the path
        least, most = _between((o.low[a], o.high[a]), (i.low[b], i.high[b]), path)
        self._near = a, b, least, most

    @classmethod
    def of(
        cls, boxes: Sequence[tuple[Sequence[ConvexPiece], Sequence[ConvexPiece]]], path: Array
    ) -> Pairs:
        """Those of boxes given by their outer and their inner pieces."""
        outer, inner = (Pieces.joined([own[side] for own in boxes]) for side in (0, 1))
        return cls(outer, inner, path)

    def travel(self, axis: Axis, at: Array) -> Travel:
        """The travel of the first box along an axis and what ends it, from the place `at` (3,)."""
        return self.travels_at(axis, at[None])[0]

    def travels_at(self, axis: Axis, ats: Array) -> list[Travel]:
        """The travel of each box along an axis and what ends it, from the places `ats` (b, 3)."""
        low, high = (
            self._stops(self.candidates(axis, ats, sign, TOUCH_MM), ats) for sign in (-1.0, 1.0)
        )
        return [Travel(axis, *both) for both in zip(low, high, strict=True)]

    def travels(
        self,
        axis: Axis,
        at: Array,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
    ) -> tuple[PairTravels, PairTravels]:
        """Every pair that stops the inner part of the first box on the low and on the high side.

        Measured from the displacement `at` (3,), given back as displacements from it; pairs that
        let it go more than `within_mm` beyond the first stop are left out, and so are pairs of
        names that are not in `only`. The first of each side is the stop that `travel` finds.
        """
        low, high = self.all_travels(axis, at[None], within_mm, only)[0]
        return low, high

    def all_travels(
        self,
        axis: Axis,
        ats: Array,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
    ) -> list[tuple[PairTravels, PairTravels]]:
        """The same of every box, from its own place of (b, 3)."""
        low, high = (
            travels_of(self.candidates(axis, ats, sign, within_mm, only), self.boxes, within_mm)
            for sign in (-1.0, 1.0)
        )
        return list(zip(low, high, strict=True))

    def _stops(self, found: Candidates, ats: Array) -> list[Stop | None]:
        """The nearest stop of each box on one side.

        Of pairs that stop it in the same place the one that comes first in the parts is named.
        """
        whose, pairs = found.pairs.whose, found.pairs
        reach = nearest_first(found.least, found.reach, TOUCH_MM, boxes=whose)
        stops: list[Stop | None] = [None] * self.boxes
        nearest = np.full(self.boxes, np.inf)
        np.fmin.at(nearest, whose, reach)
        first = np.flatnonzero(reach <= nearest[whose] + TOUCH_MM)
        boxes, rows = np.unique(whose[first], return_index=True)
        for box, row in zip(boxes.tolist(), first[rows].tolist(), strict=True):
            o, i = int(pairs.a[row]), int(pairs.b[row])
            travel = found.sign * float(nearest[box])
            where = self._where(o, i, ats[box] + DIRECTIONS[found.axis] * travel)
            outer, inner = (
                own.names[own.kinds[k]][0] for own, k in ((self.outer, o), (self.inner, i))
            )
            stops[box] = Stop(travel, outer, inner, where)
        return stops

    def blocked(self, ats: Array) -> list[tuple[str, str] | None]:
        """For each box an outer piece on no side that the inner part runs into, from (b, 3)."""
        found: list[tuple[str, str] | None] = [None] * self.boxes
        every = (0, 1, 2)
        pairs, at, *_ = self._meeting(self._runs_meeting(every, ats), every, ats)
        middle = ~np.any((self.side_low | self.side_high)[pairs.a, :2], axis=1)
        for row in np.flatnonzero(middle).tolist():
            box = int(pairs.whose[row])
            outer, inner = self.outer[int(pairs.a[row])], self.inner[int(pairs.b[row])]
            if found[box] is None and (
                difference_body(outer, inner, self.path).depth(at[row])[0] > TOUCH_MM
            ):
                found[box] = outer.name, inner.name
        return found

    def candidates(
        self,
        axis: Axis,
        ats: Array,
        sign: float,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
    ) -> Candidates:
        """Pairs that may stop the travel of each box towards `sign` from its place of (b, 3).

        Pairs of names that are not in `only` are left out, and most of those that stop it more
        than `within_mm` beyond the first.
        """
        k = 0 if axis is Axis.WIDTH else 1
        on_side = (self.side_high if sign > 0 else self.side_low)[:, k]
        near = self._runs_meeting((1 - k, 2), ats, on_side, only)

        def expanded(runs: Rows) -> Candidates:
            pairs, at, least, most = self._meeting(runs, (1 - k, 2), ats, on_side)
            return Candidates(
                axis=axis,
                sign=sign,
                path=self.path,
                pairs=pairs,
                at=at,
                least=least[:, k] - at[:, k] if sign > 0 else at[:, k] - most[:, k],
                across=np.stack([least[:, 1 - k], most[:, 1 - k]], axis=1) - at[:, 1 - k, None],
                on_low=self.side_low[pairs.a, 1 - k],
                on_high=self.side_high[pairs.a, 1 - k],
            )

        if within_mm < np.inf:
            a, b, least, most = (own[near] for own in self._near)
            whose = self.outer.stretches.boxes[a]
            plates = (np.diff(self.outer.stretches.ends)[a] == 1) & (
                np.diff(self.inner.stretches.ends)[b] == 1
            )
            at = ats[whose, k]
            bound = least[:, k] - at if sign > 0 else at - most[:, k]
            order = np.flatnonzero(plates)
            order = order[np.argsort(bound[order], kind="stable")]
            first = order[few_of_each(whose[order], FEW_RUNS)]
            tried = expanded(near[first])
            stop = np.full(self.boxes, np.inf)
            np.fmin.at(stop, tried.pairs.whose, tried.reach(np.arange(len(tried.least))))
            near = near[bound <= stop[whose] + within_mm]
        return expanded(near)

    def _runs_meeting(
        self,
        axes: tuple[int, ...],
        ats: Array,
        outer: Flags | None = None,
        only: Collection[tuple[str, str]] | None = None,
    ) -> Rows:
        """Which pairs of plates and whole bends may meet as far as some axes go.

        With those outer ones alone of which some piece is wanted.
        """
        o, i = self.outer.stretches, self.inner.stretches
        a, b, least, most = self._near
        near = np.flatnonzero(_beside(least, most, ats[o.boxes[a]], axes))
        if outer is not None and len(o.boxes):
            near = near[np.logical_or.reduceat(outer, o.ends[:-1])[a[near]]]
        if only is not None:
            wanted = np.zeros((len(self.outer.names), len(self.inner.names)), dtype=bool)
            places = [
                {name: k for k, (name, _) in enumerate(own.names)}
                for own in (self.outer, self.inner)
            ]
            for one, other in only:
                if one in places[0] and other in places[1]:
                    wanted[places[0][one], places[1][other]] = True
            near = near[wanted[o.kinds[a[near]], i.kinds[b[near]]]]
        return near

    def _meeting(
        self, runs: Rows, axes: tuple[int, ...], ats: Array, outer: Flags | None = None
    ) -> tuple[PiecePairs, Array, Array, Array]:
        """Pairs of pieces of some pairs of plates and bends that may meet as far as some axes go.

        Also the place (n, 3) of each, and between what displacements (n, 3) it may meet.
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
        kept = np.flatnonzero(_beside(least, most, at, axes))
        kept = kept[np.lexsort((other[kept], one[kept]))]
        pairs = PiecePairs(self.outer, self.inner, one[kept], other[kept])
        return pairs, at[kept], least[kept], most[kept]

    def _where(self, o: int, i: int, at: Array) -> tuple[float, float, float]:
        """The middle of where the two boxes overlap at the end of the path."""
        outer, inner = ([own[k] for own in s.bounds] for s, k in ((self.outer, o), (self.inner, i)))
        low = np.maximum(outer[0], inner[0] + at)
        high = np.minimum(outer[1], inner[1] + at)
        x, y, z = 0.5 * (low + high)
        return float(x), float(y), float(z)


Ends = tuple[Array, Array]
"""The least and the greatest x, y, z, (n, 3) each."""


def _between(outer: Ends, inner: Ends, path: Array) -> Ends:
    """The displacements between which boxes may meet somewhere on the path, strictly."""
    return (
        outer[0] - inner[1] + np.minimum(0.0, path),
        outer[1] - inner[0] + np.maximum(0.0, path),
    )


def _beside(least: Array, most: Array, at: Array, axes: tuple[int, ...]) -> Flags:
    """Which pairs (n,) meet as far as some axes go."""
    found = np.ones(len(least), dtype=bool)
    for j in axes:
        found &= least[:, j] < at[:, j] - TOUCH_MM
        found &= most[:, j] > at[:, j] + TOUCH_MM
    return found
