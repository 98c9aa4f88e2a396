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
    path: Array
    sign: Array
    """(n,) towards which side, -1 or 1."""
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

    @property
    def ends(self) -> Rows:
        """(n,) which end of the travels each pair may be: the low and the high one of each box."""
        found: Rows = 2 * self.pairs.whose + (self.sign > 0.0)
        return found

    def take(self, rows: Rows) -> Candidates:
        """Some of the pairs."""
        return replace(
            self,
            sign=self.sign[rows],
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
        reach = np.where(own.sign > 0.0, low, -high)
        reach[own.nearest & (own.sign * (low + high) < 0.0)] = np.nan
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


def travels_of(
    every: Candidates, boxes: int, within_mm: float
) -> list[tuple[PairTravels, PairTravels]]:
    """The travel that each pair of names allows in each of so many boxes, to the low and the high.

    Pairs that let the inner part go more than `within_mm` beyond the first stop on their side are
    left out.
    """
    groups, high = every.pairs.groups, every.sign > 0.0
    of = 2 * groups.of + high
    reach = nearest_first(every.least, every.reach, within_mm, of, every.ends)
    best = np.full((len(groups.names), 2), np.inf)
    np.fmin.at(best.reshape(-1), of, reach)
    nearest = np.full((boxes, 2), np.inf)
    np.minimum.at(nearest, groups.boxes, best)
    kept = (best <= nearest[groups.boxes] + within_mm) & (best < np.inf)
    travels: list[tuple[PairTravels, PairTravels]] = [({}, {}) for _ in range(boxes)]
    for group, side in np.argwhere(kept).tolist():
        way = float(best[group, side])
        travels[groups.boxes[group]][side][groups.names[group]] = way if side else -way
    return travels
