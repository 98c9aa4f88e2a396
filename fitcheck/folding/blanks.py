"""Prisms before they are put in place: outlines, heights and poses; forms of those looked at."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from fitcheck.folding.flat import Flat
from fitcheck.folding.pieces import SHORT_MM
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.folding.tables import Flats, Forms, Memo, Table, size_of, turned

FEW_SIDES = 8
"""Only of outlines with so few sides are parallel ones sought."""
SAME_DIRECTION = 1e-13
"""Edges whose directions differ by less than this, in radians, are parallel."""


@dataclass(frozen=True, eq=False)
class Blanks:
    """Prisms over outlines with the same number of corners, before they are put in place."""

    boxes: Rows
    """(p,) the box that each is of."""
    orders: Rows
    """(p,) its place among the pieces of its box."""
    kinds: Rows
    """(p,) the name that it has."""
    outlines: Array
    """(p, n, 2) convex, counter-clockwise."""
    heights: Array
    """(p, 2) from and to."""
    poses: Array
    """(p, 4, 4)."""

    @property
    def counts(self) -> Rows:
        """(p,) how many corners each has."""
        return np.full(len(self.outlines), 2 * self.outlines.shape[1])

    @property
    def sizes(self) -> Rows:
        """(p,) as of `size_of`."""
        return size_of(self.counts)

    def bounds(self, rows: Rows) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of some of them, (3, n) mm each."""
        low, high = self.around
        return low.take(rows, axis=1), high.take(rows, axis=1)

    @cached_property
    def around(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each, (3, p) mm each."""
        low, high = np.empty((3, len(self.outlines))), np.empty((3, len(self.outlines)))
        for least, most, flat, (one, other) in zip(low, high, *self._levels, strict=True):
            start, stop = flat.min(axis=0), flat.max(axis=0)
            np.minimum(start + one, start + other, out=least)
            np.maximum(stop + one, stop + other, out=most)
        return low, high

    def about(self, rows: Rows, axis: int) -> tuple[Array, Array]:
        """The same along one axis, (n,) mm each."""
        low, high = self.around
        return low[axis].take(rows), high[axis].take(rows)

    def uprights(self, rows: Rows) -> Flags:
        """(n,) which of some stand on their outlines."""
        turns = self.poses[rows, :3, :3]
        found: Flags = (turns[:, :2, 2] == 0.0).all(axis=1) & (turns[:, 2, :2] == 0.0).all(axis=1)
        return found

    @cached_property
    def flat(self) -> Flat:
        """All of their corners."""
        return _flat(self._corners, np.ones(self._corners.shape[1:], dtype=bool))

    @cached_property
    def flats(self) -> Flats:
        """All of their forms; edges that are points have neither direction nor face."""
        normals, edges, proper, fresh = self._directions()
        every = np.ones((2, len(self.outlines)), dtype=bool)
        return Flats(
            self.flat,
            _flat(normals, np.concatenate([proper, every])),
            _flat(edges, np.concatenate([fresh, every[:1]])),
        )

    def corners(self, rows: Rows) -> Array:
        """The corners of some of them, (3, w, n) mm."""
        return self._known_corners.of(rows, lambda fresh: [self.taken(fresh)._corners])[0]

    def padded(self, rows: Rows) -> Forms:
        """The forms of some of them."""
        return Forms(*self._known_forms.of(rows, lambda fresh: self.taken(fresh).packed()))

    def packed(self) -> Forms:
        """The forms of all; sides that are none or run along others are left out."""
        normals, edges, proper, fresh = self._directions()
        if not proper.all():
            normals = _packed(normals, proper)
        ends = np.stack([flat + low for flat, (low, _) in zip(*self._levels, strict=True)])
        low, high = self.heights.T
        rises = self._turns[:, 2, None] * (high - low)
        return Forms(ends, normals, edges if fresh.all() else _packed(edges, fresh), rises)

    @cached_property
    def _known_corners(self) -> Memo:
        return Memo(len(self.outlines))

    @cached_property
    def _known_forms(self) -> Memo:
        return Memo(len(self.outlines))

    def moved(self, rows: Rows, turn: Array, shifts: Array) -> Blanks:
        """Some of them turned (3, 3), then shifted by their own of (3, n) mm."""
        own = self.taken(rows)
        poses = own.poses.copy()
        poses[:, :3] = turned(turn, own.poses[:, :3].transpose(1, 2, 0)).transpose(2, 0, 1)
        poses[:, :3, 3] += shifts.T
        return replace(own, poses=poses)

    def taken(self, rows: Rows) -> Blanks:
        """Some of them."""
        return Blanks(
            self.boxes[rows],
            self.orders[rows],
            self.kinds[rows],
            self.outlines[rows],
            self.heights[rows],
            self.poses[rows],
        )

    @property
    def _turns(self) -> Array:
        """(3, 3, p) the directions of each, coordinates first."""
        found: Array = self.poses[:, :3, :3].transpose(1, 2, 0)
        return found

    @property
    def _levels(self) -> tuple[list[Array], list[tuple[Array, Array]]]:
        """x, y and z of outlines (n, p) as they lie, and by how much both their ends are off (p,).

        One of each for each coordinate.
        """
        x, y = self.outlines.astype(float).transpose(2, 1, 0)
        turns, shifts = self._turns, self.poses[:, :3, 3].T
        low, high = self.heights.T
        flat = [row[0] * x + row[1] * y + by for row, by in zip(turns, shifts, strict=True)]
        return flat, [(row[2] * low, row[2] * high) for row in turns]

    @cached_property
    def _corners(self) -> Array:
        """(3, 2 n, p) those of one end first."""
        number, count = self.outlines.shape[:2]
        found = np.empty((3, 2 * count, number))
        for to, flat, (low, high) in zip(found, *self._levels, strict=True):
            to[:count], to[count:] = flat + low, flat + high
        return found

    def _directions(self) -> tuple[Array, Array, Flags, Flags]:
        """Normals and edges; which sides (n, p) are none, and which run along no other."""
        x, y = self.outlines.astype(float).transpose(2, 1, 0)
        count, number = x.shape
        along = np.stack([np.roll(own, -1, axis=0) - own for own in (x, y)])
        length = np.hypot(*along)
        proper = length > SHORT_MM
        u, v = np.divide(along, length, out=np.zeros_like(along), where=proper)
        edges, normals = np.empty((3, count + 1, number)), np.empty((3, count + 2, number))
        for edge, normal, row in zip(edges, normals, self._turns, strict=True):
            edge[:count], edge[count] = row[0] * u + row[1] * v, row[2]
            normal[:count], normal[count] = row[0] * v - row[1] * u, row[2]
            normal[count + 1] = -row[2]
        # edges that are parallel to one before add nothing: a rectangle has two directions
        fresh = proper.copy()
        for k in range(1, count if count <= FEW_SIDES else 0):
            again = np.abs(u[k] * v[:k] - v[k] * u[:k]) < SAME_DIRECTION
            fresh[k] &= ~(again & proper[:k]).any(axis=0)
        return normals, edges, proper, fresh


class Drawn(Table, Protocol):
    """Prisms that know whose they are."""

    @property
    def boxes(self) -> Rows:
        """(p,) the box that each is of."""

    @property
    def orders(self) -> Rows:
        """(p,) its place among the pieces of its box."""

    @property
    def kinds(self) -> Rows:
        """(p,) the name that it has."""


def _packed(values: Array, kept: Flags) -> Array:
    """Values (3, w, p) of sides that are kept (n, p) and all behind the sides, the last filling up.

    As wide as the longest list.
    """
    behind = np.ones((values.shape[1] - len(kept), values.shape[2]), dtype=bool)
    every = np.concatenate([kept, behind])
    counts = every.sum(axis=0)
    order = np.argsort(~every, axis=0, kind="stable")[: int(counts.max(initial=0))]
    order = np.where(np.arange(len(order))[:, None] < counts, order, len(every) - 1)
    return np.take_along_axis(values, order[None], axis=1)


def _flat(values: Array, kept: Flags) -> Flat:
    """Values (3, w, p) of pieces that are kept (w, p), piece by piece."""
    counts = kept.sum(axis=0)
    ends = np.concatenate([[0], np.cumsum(counts)])
    rows = values.transpose(0, 2, 1)
    if kept.all():
        return Flat(rows.reshape(3, -1), ends)
    return Flat(rows[:, kept.T], ends)
