"""Pairs of pieces that may stop a travel sideways, those of many boxes cast together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.frames import ACROSS
from fitcheck.fit.groups import PiecePairs
from fitcheck.folding.pose import Array, Flags, Rows

PairTravels = dict[tuple[str, str], float]
"""Displacement of the inner part, mm, at which each pair (outer, inner) of names would stop it."""


@dataclass(frozen=True, eq=False)
class Candidates:
    """Pairs of pieces, of one box or of many, that may stop a travel across a path."""

    across: int
    """Along which of the two directions across the path."""
    sign: float
    """Towards which side."""
    path: Array
    pairs: PiecePairs
    """The outer pieces with the inner ones."""
    at: Array
    """(n, 3) displacement of the inner piece that the travel is measured from."""
    least: Array
    """(n,) the least travel that each pair can allow, mm."""
    beside: Array
    """(n, 2) between what displacements along the other direction the boxes of a pair meet, mm."""
    on_low: Flags
    """(n,) whether the outer piece counts as standing on the low side there."""
    on_high: Flags
    nearest: Flags
    """(n,) whether a pair stops the travel on the side on which its contact is nearer, whatever
    side its outer piece stands on."""
    free: Flags
    """(n,) whether nothing meets as it stands."""

    def take(self, rows: Rows) -> Candidates:
        """Some of the pairs."""
        return replace(
            self,
            pairs=self.pairs.take(rows),
            at=self.at[rows],
            least=self.least[rows],
            beside=self.beside[rows],
            on_low=self.on_low[rows],
            on_high=self.on_high[rows],
            nearest=self.nearest[rows],
            free=self.free[rows],
        )

    def reach(self, rows: Rows) -> Array:
        """Travel until each of some pairs meets, (m,) mm; negative when it already presses."""
        own = self.take(rows)
        low, high = own._cast(own.across)
        reach = low if self.sign > 0 else -high
        reach[own.nearest & (self.sign * (low + high) < 0.0)] = np.nan
        pressed = np.flatnonzero((reach < 0.0) & ~own.free)
        if len(pressed):
            freed = own.take(pressed)._freed_beside()
            reach[pressed[freed > reach[pressed]]] = np.nan
        return reach

    def _freed_beside(self) -> Array:
        """The least press (negative) that frees pairs along the other direction; -inf when none.

        Where the pieces do not meet as they stand, the inner one is on the wrong side of a corner
        piece, and what frees it is to move past the whole of it.
        """
        low, high = self._cast(1 - self.across)
        apart = np.isnan(low)
        low[apart], high[apart] = self.beside[apart].T
        freed: Array = np.maximum(
            np.where(self.on_high, low, -np.inf), np.where(self.on_low, -high, -np.inf)
        )
        return freed

    def _cast(self, across: int) -> tuple[Array, Array]:
        return casts(self.pairs, self.path, self.at, ACROSS[across])


def travels_of(every: Candidates, boxes: int, within_mm: float) -> list[PairTravels]:
    """The travel that each pair of names allows in each of so many boxes.

    Pairs that let the inner part go more than `within_mm` beyond their box's first stop are left
    out.
    """
    groups = every.pairs.groups
    reach = nearest_first(every.least, every.reach, within_mm, groups.of, every.pairs.whose)
    best = np.full(len(groups.names), np.inf)
    np.fmin.at(best, groups.of, reach)
    nearest = np.full(boxes, np.inf)
    np.minimum.at(nearest, groups.boxes, best)
    travels: list[PairTravels] = [{} for _ in range(boxes)]
    for box, names, travel in zip(groups.boxes.tolist(), groups.names, best.tolist(), strict=True):
        if travel <= nearest[box] + within_mm and travel < np.inf:
            travels[box][names] = every.sign * travel
    return travels
