"""Pairs of pieces that may stop a travel sideways, those of many boxes cast together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.casts import casts, nearest_first
from fitcheck.fit.groups import PiecePairs
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.pattern.sheet import Axis

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
    pairs: PiecePairs
    """The outer pieces with the inner ones."""
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
        return replace(
            self,
            pairs=self.pairs.take(rows),
            at=self.at[rows],
            least=self.least[rows],
            across=self.across[rows],
            on_low=self.on_low[rows],
            on_high=self.on_high[rows],
        )

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
        return casts(self.pairs, self.path, self.at, DIRECTIONS[axis])


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
