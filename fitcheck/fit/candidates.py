"""Pairs of pieces that may stop a travel sideways, those of many boxes cast together."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from fitcheck.design.model import Axis
from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.contact import Flags, Rows
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array

DIRECTIONS: dict[Axis, Array] = {
    Axis.WIDTH: np.array([1.0, 0.0, 0.0]),
    Axis.LENGTH: np.array([0.0, 1.0, 0.0]),
}
PairTravels = dict[tuple[str, str], float]
"""Displacement of the inner part, mm, at which each pair (outer, inner) of names would stop it."""


@dataclass(frozen=True, eq=False)
class Candidates:
    """Pairs of pieces, of one box or of many, that may stop a travel along an axis."""

    axis: Axis
    sign: float
    """Towards which side."""
    path: Array
    o: Rows
    """(n,) the outer pieces' places among their box's."""
    i: Rows
    outers: list[ConvexPiece]
    inners: list[ConvexPiece]
    at: Array
    """(n, 3) displacement of the inner piece that the travel is measured from."""
    least: Array
    """(n,) the least travel that each pair can allow, mm."""
    across: Array
    """(n, 2) between what displacements along the other axis the boxes of a pair meet, mm."""
    on_low: Flags
    """(n,) whether the outer piece lies wholly on the low side across."""
    on_high: Flags

    def take(self, rows: Rows) -> Candidates:
        """Some of the pairs."""
        chosen = rows.tolist()
        return replace(
            self,
            o=self.o[rows],
            i=self.i[rows],
            outers=[self.outers[k] for k in chosen],
            inners=[self.inners[k] for k in chosen],
            at=self.at[rows],
            least=self.least[rows],
            across=self.across[rows],
            on_low=self.on_low[rows],
            on_high=self.on_high[rows],
        )

    def named(self, only: Collection[tuple[str, str]]) -> Candidates:
        """Those of some pairs of names."""
        names = [(a.name, b.name) for a, b in zip(self.outers, self.inners, strict=True)]
        return self.take(np.flatnonzero(np.array([name in only for name in names], dtype=bool)))

    def reach(self, rows: Rows) -> Array:
        """Travel until each of some pairs meets, (m,) mm; negative when it already presses."""
        own = self.take(rows)
        low, high = own._cast(own.axis)
        reach = low if self.sign > 0 else -high
        pressed = np.flatnonzero(reach < 0.0)
        if len(pressed):
            freed = own.take(pressed)._freed_across()
            reach[pressed[freed > reach[pressed]]] = np.nan
        return reach

    def _freed_across(self) -> Array:
        """The least press (negative) that frees pairs along the other axis; -inf when none does.

        Where the pieces do not meet as they stand, the inner one is on the wrong side of a corner
        piece, and what frees it is to move past the whole of it.
        """
        low, high = self._cast(Axis.LENGTH if self.axis is Axis.WIDTH else Axis.WIDTH)
        apart = np.isnan(low)
        low[apart], high[apart] = self.across[apart].T
        freed: Array = np.maximum(
            np.where(self.on_high, low, -np.inf), np.where(self.on_low, -high, -np.inf)
        )
        return freed

    def _cast(self, axis: Axis) -> tuple[Array, Array]:
        return casts(self.outers, self.inners, self.path, self.at, DIRECTIONS[axis])


def travels_of(
    boxes: Sequence[Candidates],
    within_mm: float,
    only: Collection[tuple[str, str]] | None = None,
) -> list[PairTravels]:
    """The travel that each pair of names allows in each box, of boxes that slide along one path.

    Pairs that let the inner part go more than `within_mm` beyond their box's first stop are left
    out, and so are pairs of names that are not in `only`.
    """
    found = boxes if only is None else [own.named(only) for own in boxes]
    every, whose = joined(found)
    names = [
        (box, a.name, b.name)
        for box, a, b in zip(whose.tolist(), every.outers, every.inners, strict=True)
    ]
    places = {name: place for place, name in enumerate(dict.fromkeys(names))}
    group = np.array([places[name] for name in names], dtype=np.intp)
    box_of = np.array([box for box, _, _ in places], dtype=np.intp)
    reach = nearest_first(every.least, every.reach, within_mm, group, whose)
    best = np.full(len(places), np.inf)
    np.fmin.at(best, group, reach)
    nearest = np.full(len(boxes), np.inf)
    np.minimum.at(nearest, box_of, best)
    travels: list[PairTravels] = [{} for _ in boxes]
    for (box, outer, inner), travel in zip(places, best.tolist(), strict=True):
        if travel <= nearest[box] + within_mm and travel < np.inf:
            travels[box][outer, inner] = every.sign * travel
    return travels


def joined(boxes: Sequence[Candidates]) -> tuple[Candidates, Rows]:
    """The candidates of all boxes behind each other, and which box each is of, (n,)."""
    assert all(np.array_equal(own.path, boxes[0].path) for own in boxes), "all have one path"
    whose = np.arange(len(boxes)).repeat([len(own.o) for own in boxes])
    if len(boxes) == 1:
        return boxes[0], whose

    def column(key: str) -> Any:
        return np.concatenate([getattr(own, key) for own in boxes])

    every = replace(
        boxes[0],
        o=column("o"),
        i=column("i"),
        outers=list(itertools.chain.from_iterable(own.outers for own in boxes)),
        inners=list(itertools.chain.from_iterable(own.inners for own in boxes)),
        at=column("at"),
        least=column("least"),
        across=column("across"),
        on_low=column("on_low"),
        on_high=column("on_high"),
    )
    return every, whose
