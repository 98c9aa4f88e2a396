"""Where pieces stand among tables, as a list of places that is cheap to choose from and to join."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.folding.flat import Flat, joined
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.folding.tables import Forms, Table


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

    def sizes(self) -> Rows:
        """(q,) how large each is to look at."""
        found = np.zeros(len(self.row), dtype=np.intp)
        for table, own in self.each():
            found[own] = table.sizes[self.row[own]]
        return found

    def bounds(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each, (q, 3) mm each."""
        return self._ends(lambda table, rows: table.bounds(rows))

    def about(self, axis: int) -> tuple[Array, Array]:
        """Between what each lies along an axis at the most, (q,) mm each."""
        low, high = np.zeros(len(self.row)), np.zeros(len(self.row))
        for table, own in self.each():
            low[own], high[own] = table.about(self.row[own], axis)
        return low, high

    def around(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of boxes round each, (q, 3) mm each."""
        return self._ends(lambda table, rows: tuple(own.take(rows, axis=1) for own in table.around))

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

    def moved(self, turn: Array, shifts: Array) -> Places:
        """All turned (3, 3), then shifted by their own of (3, q) mm."""
        table, row = np.zeros_like(self.table), np.zeros_like(self.row)
        tables = []
        for k, (one, own) in enumerate(self.each()):
            tables.append(one.moved(self.row[own], turn, shifts[:, own]))
            table[own], row[own] = k, np.arange(len(own))
        return Places(tuple(tables), table, row)


class Stretches(NamedTuple):
    """Pieces of one box and one name that stand behind each other: a plate, or a bend's slices."""

    boxes: Rows
    """(s,) whose each is."""
    kinds: Rows
    """(s,) what it is named."""
    ends: Rows
    """(s + 1,) where each begins among the pieces, and the end."""
    low: Array
    """(s, 3) the least x, y, z of a box round it, all but as small as it may be."""
    high: Array


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
