"""Convex pieces stand in tables; their forms are worked out for those that are looked at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, Protocol

import numpy as np

from fitcheck.folding.flat import Flat, joined
from fitcheck.folding.pose import Array, Flags, Rows


class Forms(NamedTuple):
    """Corners, face normals and edge directions of some pieces, the shorter lists filled up.

    (3, w, n) each, coordinates first and pieces last; what fills a list up is one of its own.
    """

    vertices: Array
    normals: Array
    edges: Array


class Flats(NamedTuple):
    """The same of all pieces of a table, behind each other."""

    vertices: Flat
    normals: Flat
    edges: Flat


class Table(Protocol):
    """Pieces whose numbers stand together."""

    @property
    def counts(self) -> Rows:
        """(p,) how many corners each has."""

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

    def uprights(self, rows: Rows) -> Flags:
        """(n,) which of some are prisms over a plan: half of the corners right above the others."""

    def taken(self, rows: Rows, *, kept: bool = False) -> Table:
        """Some of them; their forms are kept where they are looked at again and again."""

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
    def flat(self) -> Flat:
        """All of their corners."""
        return self.flats.vertices

    def bounds(self, rows: Rows) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of some of them, (3, n) mm each."""
        low, high = self.around
        return low[:, rows], high[:, rows]

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
        for count in np.unique(counts[counts % 2 == 0]).tolist():
            own = np.flatnonzero(counts == count)
            x, y, z = self.corners(rows[own])
            half = count // 2
            level = (np.ptp(z[:half], axis=0) == 0.0) & (np.ptp(z[half:], axis=0) == 0.0)
            found[own] = level & ((x[:half] == x[half:]) & (y[:half] == y[half:])).all(axis=0)
        return found

    def taken(self, rows: Rows, *, kept: bool = False) -> Listed:
        """Some of them; they are known, so that there is nothing more to keep."""
        return Listed(Flats(*(own.take(rows) for own in self.flats)))

    def corners(self, rows: Rows) -> Array:
        """The corners of some of them, (3, w, n) mm, the shorter lists filled up."""
        return self.flats.vertices.padded(rows)

    def padded(self, rows: Rows) -> Forms:
        """The forms of some of them."""
        return Forms(*(own.padded(rows) for own in self.flats))

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


class Places(NamedTuple):
    """Where some pieces stand: in which of some tables, and in which row of it."""

    tables: tuple[Table, ...]
    table: Rows
    """(q,)"""
    row: Rows
    """(q,)"""

    @classmethod
    def all_of(cls, tables: Sequence[Table]) -> Places:
        """All that stands in some tables, one after the other."""
        counts = [len(own.counts) for own in tables]
        rows = [np.arange(count) for count in counts]
        return cls(tuple(tables), np.arange(len(counts)).repeat(counts), np.concatenate(rows))

    @classmethod
    def joined(cls, each: Sequence[Places]) -> Places:
        """Those of all, behind each other."""
        numbers: dict[int, int] = {}
        tables: list[Table] = []
        place: dict[int, Rows] = {}
        for own in each:
            if id(own.tables) in place:
                continue
            for one in own.tables:
                if id(one) not in numbers:
                    numbers[id(one)] = len(tables)
                    tables.append(one)
            known = [numbers[id(one)] for one in own.tables]
            place[id(own.tables)] = np.array(known, dtype=np.intp)
        table = np.concatenate([place[id(own.tables)][own.table] for own in each])
        return cls(tuple(tables), table, np.concatenate([own.row for own in each]))

    def take(self, rows: Rows | slice) -> Places:
        """Those of some pieces."""
        return Places(self.tables, self.table[rows], self.row[rows])

    def each(self) -> list[tuple[Table, Rows]]:
        """The tables that are in use, and which of the pieces (n,) stand in each."""
        if len(self.tables) == 1:
            return [(self.tables[0], np.arange(len(self.table)))] if len(self.table) else []
        there = np.flatnonzero(np.bincount(self.table, minlength=len(self.tables))).tolist()
        return [(self.tables[k], np.flatnonzero(self.table == k)) for k in there]

    def counts(self) -> Rows:
        """(q,) how many corners each has."""
        found = np.zeros(len(self.row), dtype=np.intp)
        for table, own in self.each():
            found[own] = table.counts[self.row[own]]
        return found

    def bounds(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each, (q, 3) mm each."""
        return self._ends(lambda table, rows: table.bounds(rows))

    def around(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of boxes round each, (q, 3) mm each."""
        return self._ends(lambda table, rows: tuple(own[:, rows] for own in table.around))

    def _ends(self, ends_of: Callable[[Table, Rows], tuple[Array, ...]]) -> tuple[Array, Array]:
        low, high = np.zeros((len(self.row), 3)), np.zeros((len(self.row), 3))
        for table, own in self.each():
            for to, ends in zip((low, high), ends_of(table, self.row[own]), strict=True):
                to[own] = ends.T
        return low, high

    def uprights(self) -> Flags:
        """(q,) which are prisms over a plan: half of the corners right above the others."""
        found = np.zeros(len(self.row), dtype=bool)
        for table, own in self.each():
            found[own] = table.uprights(self.row[own])
        return found

    def corners(self) -> Array:
        """The corners of all, (3, w, q) mm, the shorter lists filled up."""
        each = self.each()
        return _filled([table.corners(self.row[own]) for table, own in each], each)

    def padded(self) -> Forms:
        """The forms of all."""
        each = self.each()
        forms = [table.padded(self.row[own]) for table, own in each]
        return Forms(*(_filled(parts, each) for parts in zip(*forms, strict=True)))

    def flat(self, which: int) -> Flat:
        """Corners, normals or edges of all, by which of the three, behind each other."""
        each = self.each()
        if not each:
            return Flat(np.zeros((3, 0)), np.zeros(1, dtype=np.intp))
        flats = [one.flats[which] if which else one.flat for one, _ in each]
        forms = joined(
            [flat.take(self.row[own]) for flat, (_, own) in zip(flats, each, strict=True)]
        )
        return forms.take(np.argsort(np.concatenate([own for _, own in each]), kind="stable"))

    def kept(self) -> Places:
        """The same pieces alone, their forms kept when they are worked out."""
        return self._anew(lambda table, own: table.taken(self.row[own], kept=True))

    def moved(self, turn: Array, shifts: Array) -> Places:
        """All turned (3, 3), then shifted by their own of (3, q) mm."""
        return self._anew(lambda table, own: table.moved(self.row[own], turn, shifts[:, own]))

    def _anew(self, made: Callable[[Table, Rows], Table]) -> Places:
        """The same pieces in tables of their own."""
        table, row = np.zeros_like(self.table), np.zeros_like(self.row)
        tables = []
        for k, (one, own) in enumerate(self.each()):
            tables.append(made(one, own))
            table[own], row[own] = k, np.arange(len(own))
        return Places(tuple(tables), table, row)


def _filled(parts: Sequence[Array], each: Sequence[tuple[Table, Rows]]) -> Array:
    """Lists (3, w, n) of the pieces of each table as one (3, w, q), the shorter ones filled up."""
    if len(parts) == 1:
        return parts[0]
    count = sum(len(own) for _, own in each)
    found = np.empty((3, max(own.shape[1] for own in parts), count))
    for own, (_, rows) in zip(parts, each, strict=True):
        found[:, : own.shape[1], rows] = own
        found[:, own.shape[1] :, rows] = own[:, -1:]
    return found
