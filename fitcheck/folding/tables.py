"""Convex pieces stand in tables; their forms are worked out for those that are looked at."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, Protocol

import numpy as np

from fitcheck.folding.flat import Flat, distinct
from fitcheck.folding.pose import Array, Flags, Rows


class Forms(NamedTuple):
    """Corners, face normals and edge directions of some pieces, the shorter lists filled up.

    (3, w, n) each, coordinates first and pieces last; what fills a list up is one of its own.
    """

    vertices: Array
    """Of prisms those of one end."""
    normals: Array
    edges: Array
    rises: Array
    """(3, 1, n) how far the other end of a prism is; nothing where all corners are given."""


class Flats(NamedTuple):
    """The same of all pieces of a table, behind each other."""

    vertices: Flat
    normals: Flat
    edges: Flat


def size_of(counts: Rows) -> Rows:
    """The sizes of pieces of so many corners: those of one size are looked at together."""
    found: Rows = 2 * np.frexp(counts)[1]
    return found


class Table(Protocol):
    """Pieces whose numbers stand together."""

    @property
    def counts(self) -> Rows:
        """(p,) how many corners each has."""

    @property
    def sizes(self) -> Rows:
        """(p,) as of `size_of`, one more for what has more edges that are not parallel."""

    @property
    def around(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of boxes round each, (3, p) mm each.

        They are no larger than what the piece is a slice of.
        """

    @property
    def flat(self) -> Flat:
        """All of their corners."""

    @property
    def flats(self) -> Flats:
        """All of their forms."""

    def bounds(self, rows: Rows) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of some of them, (3, n) mm each."""

    def about(self, rows: Rows, axis: int) -> tuple[Array, Array]:
        """Between what some of them lie along one axis at the most, (n,) mm each.

        Cheaper than `bounds` and hardly wider.
        """

    def uprights(self, rows: Rows) -> Flags:
        """(n,) which of some are prisms over a plan: half of the corners right above the others."""

    def taken(self, rows: Rows) -> Table:
        """Some of them."""

    def corners(self, rows: Rows) -> Array:
        """The corners of some of them, (3, w, n) mm, the shorter lists filled up."""

    def padded(self, rows: Rows) -> Forms:
        """The forms of some of them."""

    def moved(self, rows: Rows, turn: Array, shifts: Array) -> Table:
        """Some of them turned (3, 3), then shifted by their own of (3, n) mm."""


@dataclass(frozen=True, eq=False)
class Listed:
    """Pieces whose forms are known."""

    flats: Flats

    @property
    def counts(self) -> Rows:
        """(p,) how many corners each has."""
        return np.diff(self.flats.vertices.ends)

    @property
    def sizes(self) -> Rows:
        """(p,) as of `size_of`."""
        return size_of(self.counts)

    @property
    def flat(self) -> Flat:
        """All of their corners."""
        return self.flats.vertices

    def bounds(self, rows: Rows) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of some of them, (3, n) mm each."""
        low, high = self.around
        return low.take(rows, axis=1), high.take(rows, axis=1)

    def about(self, rows: Rows, axis: int) -> tuple[Array, Array]:
        """The same along one axis, (n,) mm each."""
        low, high = self.around
        return low[axis].take(rows), high[axis].take(rows)

    @cached_property
    def around(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each, (3, p) mm each."""
        values, ends = self.flats.vertices
        if len(ends) < 2:
            return np.zeros((3, 0)), np.zeros((3, 0))
        low, high = (most.reduceat(values, ends[:-1], axis=1) for most in (np.minimum, np.maximum))
        return low, high

    def uprights(self, rows: Rows) -> Flags:
        """(n,) which of some are prisms over a plan: half of the corners right above the others."""
        found = np.zeros(len(rows), dtype=bool)
        counts = self.counts[rows]
        for count in distinct(counts[counts % 2 == 0]).tolist():
            own = np.flatnonzero(counts == count)
            x, y, z = self.corners(rows[own])
            half = count // 2
            level = (np.ptp(z[:half], axis=0) == 0.0) & (np.ptp(z[half:], axis=0) == 0.0)
            found[own] = level & ((x[:half] == x[half:]) & (y[:half] == y[half:])).all(axis=0)
        return found

    def taken(self, rows: Rows) -> Listed:
        """Some of them."""
        return Listed(Flats(*(own.take(rows) for own in self.flats)))

    def corners(self, rows: Rows) -> Array:
        """The corners of some of them, (3, w, n) mm, the shorter lists filled up."""
        return self.flats.vertices.padded(rows)

    def padded(self, rows: Rows) -> Forms:
        """The forms of some of them."""
        vertices, normals, edges = (own.padded(rows) for own in self.flats)
        return Forms(vertices, normals, edges, np.zeros((3, 1, len(rows))))

    def moved(self, rows: Rows, turn: Array, shifts: Array) -> Listed:
        """Some of them turned (3, 3), then shifted by their own of (3, n) mm."""
        vertices, normals, edges = (
            Flat(turned(turn, own.values), own.ends) for own in self.taken(rows).flats
        )
        by = shifts.repeat(np.diff(vertices.ends), axis=1)
        return Listed(Flats(Flat(vertices.values + by, vertices.ends), normals, edges))


def turned(turn: Array, points: Array) -> Array:
    """Points (3, ...) turned by (3, 3); one by one, so that none depends on how many there are."""
    x, y, z = points
    return np.stack([row[0] * x + row[1] * y + row[2] * z for row in turn])


ASKING = threading.RLock()
"""Held while a memo is asked; what works something out may ask another one."""


class Memo:
    """Arrays (3, w, p) of the pieces of a table, worked out for those that are asked about.

    One thread at a time asks: a part that is remembered may stand in the checks of several.
    """

    def __init__(self, count: int) -> None:
        """For so many pieces."""
        self._place = np.full(count, -1)
        self._used = 0
        self._arrays: list[Array] = []

    def of(self, rows: Rows, work: Callable[[Rows], Sequence[Array]]) -> list[Array]:
        """Those of some pieces, (3, w, n) each, the shorter ones filled up with their last.

        `work` gives them for pieces that were not asked about before.
        """
        with ASKING:
            self.learn(rows, work)
            place = self._place[rows]
            # taken, not indexed, so that numbers stay in the order of the pieces
            return [own.take(place, axis=2) for own in self._arrays]

    def learn(self, rows: Rows, work: Callable[[Rows], Sequence[Array]]) -> None:
        """Work out those of some pieces that were not asked about before, all together."""
        with ASKING:
            new = self._place[rows] < 0
            if not new.any():
                return
            fresh = distinct(rows[new])
            found = work(fresh)
            used = self._used + len(fresh)
            known = self._arrays or [own[:, :, :0] for own in found]
            self._arrays = [
                _with(*both, self._used, used) for both in zip(known, found, strict=True)
            ]
            self._place[fresh] = np.arange(self._used, used)
            self._used = used


def _with(known: Array, own: Array, start: int, stop: int) -> Array:
    """Arrays (3, w, p) with those (3, v, n) of some more pieces behind, as wide as the wider."""
    wide, room = max(known.shape[1], own.shape[1]), known.shape[2]
    if stop > room or wide > known.shape[1]:
        before = known[:, :, :start]
        known = np.empty((3, wide, max(2 * start, stop)))
        known[:, : before.shape[1], :start] = before
        known[:, before.shape[1] :, :start] = before[:, -1:]
    known[:, : own.shape[1], start:stop] = own
    known[:, own.shape[1] :, start:stop] = own[:, -1:]
    return known
