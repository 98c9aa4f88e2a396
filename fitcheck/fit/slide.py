"""A straight slide of one part over or into another: its play, what limits it, and what blocks it.

The outer part encloses the inner one. An outer piece that lies wholly on one side of the middle
has to stay on that side of every inner piece; the play along an axis is the travel that leaves.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Axis
from fitcheck.fit.candidates import DIRECTIONS, Candidates, PairTravels, joined, travels_of
from fitcheck.fit.casts import nearest_first
from fitcheck.fit.contact import TOUCH_MM, difference_body
from fitcheck.fit.groups import PiecePairs
from fitcheck.folding.pieces import ConvexPiece, bounds
from fitcheck.folding.pose import Array, Flags, Rows

EVERY = slice(None)


@dataclass(frozen=True, eq=False)
class Stop:
    """The pair of pieces that ends the travel on one side."""

    travel_mm: float
    """Displacement of the inner part at which they meet; signed."""
    outer: str
    inner: str
    at_mm: tuple[float, float, float]
    """About where they meet."""


@dataclass(frozen=True, eq=False)
class Travel:
    """Free sideways travel of the inner part along one axis, over the whole path."""

    axis: Axis
    low: Stop | None
    """None when nothing stands in the way on the low side."""
    high: Stop | None

    @property
    def play_mm(self) -> float:
        """Total free travel, mm; negative when the parts press by that much; inf when unbounded."""
        if self.low is None or self.high is None:
            return float("inf")
        return self.high.travel_mm - self.low.travel_mm

    @property
    def middle_mm(self) -> float:
        """Where the inner part stands with equal room on both sides."""
        if self.low is None or self.high is None:
            return 0.0
        return 0.5 * (self.high.travel_mm + self.low.travel_mm)

    @property
    def limiting(self) -> Stop | None:
        """The stop to name: the one with the higher share of the press, the low one when equal."""
        if self.low is None or self.high is None:
            return self.low or self.high
        return self.low if -self.low.travel_mm <= self.high.travel_mm + TOUCH_MM else self.high


@dataclass(frozen=True, eq=False)
class Slide:
    """The outcome of a straight slide."""

    width: Travel
    length: Travel
    blocked_by: tuple[str, str] | None
    """A pair (outer, inner) that no sideways move can free; None when the way is open."""

    def travel(self, axis: Axis) -> Travel:
        """The travel along an axis."""
        return self.width if axis is Axis.WIDTH else self.length

    @property
    def tighter(self) -> Travel:
        """The axis with the smaller play, the width when equal."""
        return self.width if self.width.play_mm <= self.length.play_mm + TOUCH_MM else self.length

    @property
    def wider(self) -> Travel:
        """The axis with the larger play."""
        return self.length if self.tighter is self.width else self.width

    @property
    def play_mm(self) -> float:
        """The smaller play, mm."""
        return self.tighter.play_mm

    @property
    def free(self) -> bool:
        """True when it goes: nothing blocks and nothing presses."""
        return self.blocked_by is None and self.play_mm >= -TOUCH_MM


def slide(
    outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], path: Array, start: Array
) -> Slide:
    """Test the whole straight path of the outer part, by `path` (3,) mm from where it ends.

    `start` (3,) is a displacement of the inner part to begin with; the middle of the outer part's
    pieces must be above the origin. Exact for the given convex pieces.
    """
    return slide_all([Pairs(outer, inner, path)], [start])[0]


def slide_all(boxes: Sequence[Pairs], starts: Sequence[Array]) -> list[Slide]:
    """The slides of many boxes along one path, each from its own start."""
    ats = [start.astype(float) for start in starts]
    travels: dict[Axis, list[Travel]] = {}
    for axis in (Axis.LENGTH, Axis.WIDTH, Axis.LENGTH):
        travels[axis] = _travels_at(boxes, axis, ats)
        ats = [
            at + DIRECTIONS[axis] * travel.middle_mm
            for at, travel in zip(ats, travels[axis], strict=True)
        ]
    return [
        Slide(wide, long, own.blocked(at))
        for own, at, wide, long in zip(
            boxes, ats, travels[Axis.WIDTH], travels[Axis.LENGTH], strict=True
        )
    ]


def _travels_at(boxes: Sequence[Pairs], axis: Axis, ats: Sequence[Array]) -> list[Travel]:
    """The travel of each box along an axis and what ends it, from the displacements `ats` (3,)."""
    low, high = (
        _stops(
            boxes, ats, [own.candidates(axis, at, sign) for own, at in zip(boxes, ats, strict=True)]
        )
        for sign in (-1.0, 1.0)
    )
    return [Travel(axis, *both) for both in zip(low, high, strict=True)]


def _stops(
    boxes: Sequence[Pairs], ats: Sequence[Array], found: Sequence[Candidates]
) -> list[Stop | None]:
    """The nearest stop of each box on one side.

    Of pairs that stop it in the same place the one that comes first in the parts is named.
    """
    every = joined(found)
    pairs = every.pairs
    reach = nearest_first(every.least, every.reach, TOUCH_MM, boxes=pairs.whose)
    ends = np.searchsorted(pairs.whose, np.arange(len(boxes) + 1)).tolist()
    stops: list[Stop | None] = []
    for own, at, start, stop in zip(boxes, ats, ends[:-1], ends[1:], strict=True):
        reached = reach[start:stop]
        if np.isnan(reached).all():
            stops.append(None)
            continue
        nearest = float(np.nanmin(reached))
        first = start + int(np.argmax(reached <= nearest + TOUCH_MM))
        o, i = int(pairs.a[first]), int(pairs.b[first])
        travel = every.sign * nearest
        where = own.where(o, i, at + DIRECTIONS[every.axis] * travel)
        stops.append(Stop(travel, own.outer[o].name, own.inner[i].name, where))
    return stops


class Pairs:
    """All pairs of an outer and an inner piece, with the boxes that rule most of them out."""

    def __init__(
        self, outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], path: Array
    ) -> None:
        self.outer, self.inner, self.path = outer, inner, path
        o_low, o_high = bounds(outer)
        i_low, i_high = bounds(inner)
        self.side_low, self.side_high = o_high < 0.0, o_low > 0.0
        # a displacement strictly between these, (3, outer, inner), may make the pair meet
        # somewhere on the path
        self.least = (o_low + np.minimum(0.0, path)).T[:, :, None] - i_high.T[:, None]
        self.most = (o_high + np.maximum(0.0, path)).T[:, :, None] - i_low.T[:, None]

    def travel(self, axis: Axis, at: Array) -> Travel:
        """The travel along an axis and what ends it, measured from the displacement `at` (3,)."""
        return _travels_at([self], axis, [at])[0]

    def travels(
        self,
        axis: Axis,
        at: Array,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
    ) -> tuple[PairTravels, PairTravels]:
        """Every pair that stops the inner part on the low and on the high side.

        Measured from the displacement `at` (3,), given back as displacements from it; pairs that
        let it go more than `within_mm` beyond the first stop are left out, and so are pairs of
        names that are not in `only`. The first of each side is the stop that `travel` finds.
        """
        low, high = (self._travels(axis, at, sign, within_mm, only) for sign in (-1.0, 1.0))
        return low, high

    def _travels(
        self,
        axis: Axis,
        at: Array,
        sign: float,
        within_mm: float,
        only: Collection[tuple[str, str]] | None,
    ) -> PairTravels:
        (found,) = travels_of([self.candidates(axis, at, sign)], within_mm, only)
        return found

    def blocked(self, at: Array) -> tuple[str, str] | None:
        """An outer piece on no side that the inner part runs into."""
        middle = ~np.any((self.side_low | self.side_high)[:, :2], axis=1)
        meet = self._beside(0, at) & self._beside(1, at) & self._beside(2, at)
        for o, i in np.argwhere(meet & middle[:, None]):
            outer, inner = self.outer[o], self.inner[i]
            if difference_body(outer, inner, self.path).depth(at)[0] > TOUCH_MM:
                return outer.name, inner.name
        return None

    def candidates(self, axis: Axis, at: Array, sign: float) -> Candidates:
        """Pairs that may stop the travel towards `sign` from the displacement `at` (3,)."""
        k = 0 if axis is Axis.WIDTH else 1
        on_side = np.flatnonzero((self.side_high if sign > 0 else self.side_low)[:, k])
        o, i = np.nonzero(self._beside(1 - k, at, on_side) & self._beside(2, at, on_side))
        o = on_side[o]
        least, most = self.least[:, o, i], self.most[:, o, i]
        return Candidates(
            axis=axis,
            sign=sign,
            path=self.path,
            pairs=PiecePairs((self.outer,), (self.inner,), np.zeros(len(o), dtype=np.intp), o, i),
            at=np.broadcast_to(at, (len(o), 3)),
            least=least[k] - at[k] if sign > 0 else at[k] - most[k],
            across=np.stack([least[1 - k] - at[1 - k], most[1 - k] - at[1 - k]], axis=1),
            on_low=self.side_low[o, 1 - k],
            on_high=self.side_high[o, 1 - k],
        )

    def _beside(self, j: int, at: Array, rows: Rows | slice = EVERY) -> Flags:
        """Which of some outer pieces meet which inner ones as far as direction `j` goes."""
        found: Flags = self.least[j, rows] < at[j] - TOUCH_MM
        found &= self.most[j, rows] > at[j] + TOUCH_MM
        return found

    def where(self, o: int, i: int, at: Array) -> tuple[float, float, float]:
        """The middle of where the two boxes overlap at the end of the path."""
        outer, inner = self.outer[o], self.inner[i]
        low = np.maximum(outer.low, inner.low + at)
        high = np.minimum(outer.high, inner.high + at)
        x, y, z = 0.5 * (low + high)
        return float(x), float(y), float(z)
