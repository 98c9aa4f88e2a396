"""Bends are cut into slices that are drawn only when they are looked at: few are ever met."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.folding.blanks import Blanks
from fitcheck.folding.flat import Flat
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.folding.tables import Flats, Forms, Memo, size_of

if TYPE_CHECKING:
    from fitcheck.folding.bends import Bends


HAIR_MM = 1e-6
"""Rounding puts no slice further out than this."""


@dataclass(frozen=True, eq=False)
class Slices:
    """Bends cut into a slice for each facet, all of them with a radius inside or all without."""

    bends: Bends
    of: Rows
    """(p,) the bend that each is cut from."""
    angles: Array
    """(p, 2) from and to."""
    places: Rows
    """(m,) where each bend stands in the order of all."""
    first: int
    """Kinds and orders begin behind it."""

    @property
    def boxes(self) -> Rows:
        """(p,) the box that each is of."""
        return self.bends.boxes[self.of]

    @property
    def orders(self) -> Rows:
        """(p,) its place among the pieces of its box."""
        found: Rows = self.first + self.places[self.of]
        return found

    @property
    def kinds(self) -> Rows:
        """(p,) the name that it has."""
        found: Rows = self.first + self.bends.kinds[self.of]
        return found

    @property
    def counts(self) -> Rows:
        """(p,) how many corners each has."""
        return np.full(len(self.of), 10 if (self.bends.radius_mm > 0.0).any() else 8)

    @property
    def sizes(self) -> Rows:
        """(p,) as of `size_of`, and one more: no two of their edges are parallel."""
        return size_of(self.counts) + 1

    @property
    def around(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of boxes round their bends, (3, p) mm each."""
        low, high = self.bends.around
        return low.take(self.of, axis=1), high.take(self.of, axis=1)

    @cached_property
    def _every(self) -> Blanks:
        return self.taken(np.arange(len(self.of)))

    @property
    def flat(self) -> Flat:
        """All of their corners."""
        return self._every.flat

    @property
    def flats(self) -> Flats:
        """All of their forms."""
        return self._every.flats

    def bounds(self, rows: Rows) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of some of them, (3, n) mm each."""
        (both,) = self._bounds.of(rows, lambda fresh: [np.stack(self.taken(fresh).around, axis=1)])
        return both[:, 0], both[:, 1]

    @cached_property
    def _bounds(self) -> Memo:
        return Memo(len(self.of))

    def about(self, rows: Rows, axis: int) -> tuple[Array, Array]:
        """Between what some of them lie along an axis at the most, (n,) mm each.

        A slice is within the arc about its middle and between its bend's furthest ends, so that
        it need not be cut for this.
        """
        bends, of, (start, stop) = self.bends, self.of[rows], self.angles[rows].T
        x, y, z, at = bends.poses[:, axis].T
        ends = y * bends.ends_mm[..., 0].min(axis=1), y * bends.ends_mm[..., 1].max(axis=1)
        half, size = 0.5 * (stop - start), np.hypot(x, z)[of]
        facing = np.abs(0.5 * (start + stop) - np.arctan2(x, -z)[of])
        off = np.abs(facing - 2.0 * np.pi * np.round(facing / (2.0 * np.pi)))
        most = size * np.cos(np.maximum(off - half, 0.0))
        least = size * np.cos(np.minimum(off + half, np.pi))
        inner, outer = bends.radius_mm[of], bends.outer_mm[of] / np.cos(half)
        low = np.minimum(inner * least, outer * least) + (np.minimum(*ends) + at)[of]
        high = np.maximum(inner * most, outer * most) + (np.maximum(*ends) + at)[of]
        return low - HAIR_MM, high + HAIR_MM

    def uprights(self, rows: Rows) -> Flags:
        """(n,) which of some stand on their outlines."""
        return self.taken(rows).uprights(np.arange(len(rows)))

    def corners(self, rows: Rows) -> Array:
        """The corners of some of them, (3, w, n) mm."""
        return self.taken(rows).corners(np.arange(len(rows)))

    def padded(self, rows: Rows) -> Forms:
        """The forms of some of them."""
        return Forms(*self._forms.of(rows, lambda fresh: self.taken(fresh).packed()))

    @cached_property
    def _forms(self) -> Memo:
        return Memo(len(self.of))

    def moved(self, rows: Rows, turn: Array, shifts: Array) -> Slices:
        """Some of them turned (3, 3), then shifted by their own of (3, n) mm.

        A bend that stands in several boxes becomes one for each shift.
        """
        of = self.of[rows]
        fresh = np.ones(len(of), dtype=bool)
        fresh[1:] = (np.diff(of) != 0) | (np.diff(shifts, axis=1) != 0.0).any(axis=0)
        firsts = np.flatnonzero(fresh)
        bends = self.bends.take(of[firsts]).moved(turn, shifts[:, firsts])
        place = np.cumsum(fresh) - 1
        return Slices(bends, place, self.angles[rows], self.places[of[firsts]], self.first)

    def taken(self, rows: Rows) -> Blanks:
        """Some of them as prisms; a slanted end stands out by what it gains over one facet."""
        of, slices = self.of[rows], self.angles[rows]
        start, stop = self.bends.angles_rad[of].T
        share = (slices - start[:, None]) / (stop - start)[:, None]
        own = self.bends.ends_mm[of]
        ends = own[:, :1] + share[..., None] * (own[:, 1:] - own[:, :1])
        widest = np.stack([ends[..., 0].min(axis=1), ends[..., 1].max(axis=1)], axis=1)
        return self.bends.sectors(of, slices, widest, self.first)
