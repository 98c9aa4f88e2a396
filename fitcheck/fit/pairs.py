"""Pairs of an outer and an inner piece of many boxes, and where they stop a straight slide.

From a place where nothing meets, the inner part goes each way until the nearest contact, whatever
pieces are on whatever side. Where something presses, sides tell which way is out: where the outer
part encloses the inner one, a piece of it that lies wholly on one side of the middle has to stay
on that side of every inner piece; else each pair parts the shorter way.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.broad_phase import Along, BroadPhase
from fitcheck.fit.candidates import Candidates, PairTravels, travels_of
from fitcheck.fit.casts import few_of_each, nearest_first, swept_depths
from fitcheck.fit.contact import TOUCH_MM, difference_body
from fitcheck.fit.frames import ACROSS, MIDDLE, UPRIGHT, PathFrame
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.travel import Stop, Travel
from fitcheck.folding.flat import distinct
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import Array, Flags, Rows

WAYS: Array = np.array([-1.0, 1.0])
"""Towards the low and the high side."""
FEW_RUNS = 1
"""So many of the nearest plates of each box are met first, to rule out the others."""


@dataclass(frozen=True)
class Block:
    """What stands in the way, wherever the inner part is moved to."""

    pieces: tuple[str, str]
    """The outer and the inner one."""
    overlap_mm: float
    """How deep they stand in each other."""


class Pairs:
    """All pairs of an outer and an inner piece of each box, those that are far apart ruled out.

    All of it is in the frame of the path, and so are the places that are asked about.
    """

    def __init__(
        self,
        outer: Pieces,
        inner: Pieces,
        path: Array,
        frame: PathFrame = UPRIGHT,
        middle: Array | None = MIDDLE,
    ) -> None:
        """Pieces, the path (3,) of the outer ones and a point (3,) in the parts' own frame.

        The point lies where the outer part encloses the inner one; None where neither encloses
        the other. Raises ValueError where the path does not run along the frame's.
        """
        self.outer, self.inner = frame.carried(outer), frame.carried(inner)
        self.frame, self.path = frame, frame.path(path)
        self.broad = BroadPhase(self.outer, self.inner, self.path)
        self.boxes = self.broad.boxes
        self.enclosing = middle is not None
        self.point = np.full(3, np.nan) if middle is None else frame.into(middle)

    @classmethod
    def of(
        cls, boxes: Sequence[tuple[Sequence[ConvexPiece], Sequence[ConvexPiece]]], path: Array
    ) -> Pairs:
        """Those of boxes given by their outer and their inner pieces."""
        outer, inner = (Pieces.joined([own[side] for own in boxes]) for side in (0, 1))
        return cls(outer, inner, path)

    def travel(self, name: str, at: Array) -> Travel:
        """The travel of the first box along a direction and what ends it, from `at` (3,)."""
        return self.travels_at(name, at[None])[0]

    def travels_at(self, name: str, ats: Array, free: Flags | None = None) -> list[Travel]:
        """The travel of each box along a direction and what ends it, from the places `ats` (b, 3).

        `free` says in which boxes (b,) nothing meets there, as `free` finds it; none if not said.
        """
        k = self.frame.index(name)
        stops = self._stops(self.candidates(k, ats, TOUCH_MM, free=free), ats)
        return [
            Travel(self.frame.across[k], *both)
            for both in zip(stops[::2], stops[1::2], strict=True)
        ]

    def travels(
        self,
        name: str,
        at: Array,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
    ) -> tuple[PairTravels, PairTravels]:
        """Every pair that stops the inner part of the first box on the low and on the high side.

        Measured from the displacement `at` (3,), given back as displacements from it; pairs that
        let it go more than `within_mm` beyond the first stop are left out, and so are pairs of
        names that are not in `only`. The first of each side is the stop that `travel` finds.
        """
        low, high = self.all_travels(name, at[None], within_mm, only)[0]
        return low, high

    def all_travels(
        self,
        name: str,
        ats: Array,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
    ) -> list[tuple[PairTravels, PairTravels]]:
        """The same of every box, from its own place of (b, 3).

        The side that a pair is on does not change where it comes to press a little, so that its
        travel goes on being linear in the sizes of the box.
        """
        k = self.frame.index(name)
        return travels_of(self.candidates(k, ats, within_mm, only), self.boxes, within_mm)

    def free(self, ats: Array) -> Flags:
        """In which boxes (b,) nothing meets anywhere on the path, from the places (b, 3)."""
        pairs, at = self.broad.meeting(ats)
        found = np.ones(self.boxes, dtype=bool)
        found[pairs.whose[swept_depths(pairs, self.path, at) > TOUCH_MM]] = False
        return found

    def _stops(self, found: Candidates, ats: Array) -> list[Stop | None]:
        """The nearest stop of each end of each box's travel, the low one of each box first.

        Of pairs that stop it in the same place the one that comes first in the parts is named.
        """
        pairs, ends = found.pairs, found.ends
        reach = nearest_first(found.least, found.reach, TOUCH_MM, boxes=ends)
        stops: list[Stop | None] = [None] * (2 * self.boxes)
        nearest = np.full(2 * self.boxes, np.inf)
        np.fmin.at(nearest, ends, reach)
        first = np.flatnonzero(reach <= nearest[ends] + TOUCH_MM)
        own, rows = np.unique(ends[first], return_index=True)
        stopping = first[rows]
        travel = found.sign[stopping] * nearest[own]
        where = self._where(
            pairs.take(stopping), ats[own // 2] + travel[:, None] * ACROSS[found.across]
        )
        names = [
            [parts.names[kind][0] for kind in parts.kinds[rows[stopping]].tolist()]
            for parts, rows in ((pairs.firsts, pairs.a), (pairs.seconds, pairs.b))
        ]
        for end, way, outer, inner, (x, y, z) in zip(
            own.tolist(), travel.tolist(), *names, where.tolist(), strict=True
        ):
            stops[end] = Stop(way, outer, inner, (x, y, z))
        return stops

    def blocked(self, ats: Array) -> list[Block | None]:
        """For each box an outer piece on no side that the inner part runs into, from (b, 3)."""
        found: list[Block | None] = [None] * self.boxes
        pairs, at = self.broad.meeting(ats)
        low, high = self.outer.bounds_of(pairs.a)
        middle = ~np.any(((high < self.point) | (low > self.point))[:, :2], axis=1)
        for row in np.flatnonzero(middle).tolist():
            box = int(pairs.whose[row])
            if found[box] is None:
                outer, inner = self.outer[int(pairs.a[row])], self.inner[int(pairs.b[row])]
                depth, _ = difference_body(outer, inner, self.path).depth(at[row])
                if depth > TOUCH_MM:
                    found[box] = Block((outer.name, inner.name), depth)
        return found

    def candidates(
        self,
        k: int,
        ats: Array,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
        free: Flags | None = None,
    ) -> Candidates:
        """Pairs that may stop the travel of each box either way from its place of (b, 3).

        Along the first or the second direction across the path. Pairs of names that are not in
        `only` are left out, and most of those that stop it more than `within_mm` beyond the first.
        """
        clear = np.zeros(self.boxes, dtype=bool) if free is None else free
        nearest = clear if self.enclosing else np.ones(self.boxes, dtype=bool)
        across, point = (1 - k, 2), self.point

        def bounds(at: Array, least: Array, most: Array) -> tuple[Array, Array]:
            """The least travel each way that pairs can allow, and where the inner one is past the
            outer, (2, n) mm each."""
            up, down = least - at, at - most
            return np.array([down, up]), np.array([-up, -down])

        def ahead(whose: Rows, past: Array, ends: Sequence[Array]) -> Flags:
            """Pairs that the travel leads to, (2, n): their contact lies there, or the outer one's
            side.

            `ends` are the ends of the outer one (n,) that are told each way, the nearer to the
            middle or the further.
            """
            by_side = np.array([ends[0] < point[k], ends[1] > point[k]])
            return np.where(nearest[whose], past > 0.0, by_side)

        def expanded(runs: Rows, most_mm: Array) -> Candidates:
            """The pieces of pairs of runs that do not allow their ends more than that."""

            def either(
                whose: Rows, least: Array, most: Array, ends: Sequence[Array]
            ) -> tuple[Array, Flags]:
                bound, past = bounds(ats[whose, k], least, most)
                return bound, ahead(whose, past, ends) & (bound <= most_mm[whose].T)

            def some(whose: Rows, least: Array, most: Array, *ends: Array) -> Flags:
                down, up = either(whose, least, most, ends)[1]
                found: Flags = down | up
                return found

            met = self.broad.pieces(runs, across, ats, first=Along(k, some))
            (low, high), whose = met.outer, met.pairs.whose
            bound, wanted = either(whose, met.least[:, k], met.most[:, k], (high[:, k], low[:, k]))
            side, rows = np.nonzero(wanted)
            order = np.lexsort((met.pairs.b[rows], met.pairs.a[rows], side))
            side, rows = side[order], rows[order]
            met = met.take(rows)
            by_contact, (low, high) = nearest[met.pairs.whose], met.outer
            return Candidates(
                across=k,
                path=self.path,
                sign=WAYS[side],
                pairs=met.pairs,
                at=met.at,
                least=bound[side, rows],
                beside=np.array([met.least[:, 1 - k], met.most[:, 1 - k]]).T
                - met.at[:, 1 - k, None],
                on_low=(high[:, 1 - k] < point[1 - k]) | by_contact,
                on_high=(low[:, 1 - k] > point[1 - k]) | by_contact,
                nearest=by_contact,
                free=clear[met.pairs.whose],
            )

        near = self.broad.runs(across, ats, only)
        whose, least, most = self.broad.between(near)
        bound, past = bounds(ats[whose, k], least[:, k], most[:, k])
        low, high = (own[:, k] for own in self.broad.outer_ends(near))
        there = ahead(whose, past, (low, high))
        stop = np.full((self.boxes, 2), np.inf)
        if within_mm < np.inf:
            side, order = np.nonzero(self.broad.plates(near) & ahead(whose, past, (high, low)))
            # from where nothing meets, what reaches far behind is beside and not in the way
            likely = np.where(clear[whose], np.abs(bound), bound)[side, order]
            likeliest = np.argsort(likely, kind="stable")
            side, order = side[likeliest], order[likeliest]
            first = order[few_of_each(2 * whose[order] + side, FEW_RUNS)]
            tried = expanded(near[distinct(first)], stop)
            np.fmin.at(stop.reshape(-1), tried.ends, tried.reach(np.arange(len(tried.least))))
            stop += within_mm + TOUCH_MM
        return expanded(near[(there & (bound <= stop[whose].T)).any(axis=0)], stop)

    def _where(self, pairs: PiecePairs, at: Array) -> Array:
        """The middles (n, 3) of where the boxes of pairs overlap, inner ones moved by (n, 3)."""
        outer, inner = pairs.firsts.bounds_of(pairs.a), pairs.seconds.bounds_of(pairs.b)
        low = np.maximum(outer[0], inner[0] + at)
        high = np.minimum(outer[1], inner[1] + at)
        return self.frame.back(0.5 * (low + high))
