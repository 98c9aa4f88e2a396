"""Convex pieces in place, one by one and those of many boxes in common lists."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple, overload

import numpy as np

from fitcheck.folding.flat import Flat, joined
from fitcheck.folding.pose import Array, Flags, Rows

SHORT_MM = 1e-9
"""An outline's edge shorter than this is a point."""


@dataclass(frozen=True, eq=False)
class ConvexPiece:
    """A convex polyhedron in place."""

    name: str
    panels: frozenset[str]
    """The panel it is, or the two panels that it joins."""
    vertices: Array
    """(n, 3) mm."""
    normals: Array
    """(f, 3) unit outward face normals."""
    edges: Array
    """(e, 3) unit edge directions."""

    def moved(self, pose: Array) -> ConvexPiece:
        """The same piece elsewhere."""
        return moved([self], pose)[0]

    @cached_property
    def low(self) -> Array:
        """The least x, y, z, (3,) mm."""
        return np.asarray(self.vertices.min(axis=0))

    @cached_property
    def high(self) -> Array:
        """The greatest x, y, z, (3,) mm."""
        return np.asarray(self.vertices.max(axis=0))


def moved(pieces: Sequence[ConvexPiece], pose: Array) -> Sequence[ConvexPiece]:
    """The same pieces elsewhere."""
    if isinstance(pieces, Pieces):
        return pieces.moved(pose)
    turn, shift = pose[:3, :3].T, pose[:3, 3]
    return [
        ConvexPiece(
            one.name, one.panels, one.vertices @ turn + shift, one.normals @ turn, one.edges @ turn
        )
        for one in pieces
    ]


class Stretches(NamedTuple):
    """Pieces of one box and one name that stand behind each other: a plate, or a bend's slices."""

    boxes: Rows
    """(s,) whose each is."""
    kinds: Rows
    """(s,) what it is named."""
    ends: Rows
    """(s + 1,) where each begins among the pieces, and the end."""
    low: Array
    """(s, 3) the least x, y, z."""
    high: Array


Name = tuple[str, frozenset[str]]
"""A piece's name and panels."""


@dataclass(frozen=True, eq=False)
class Pieces(Sequence[ConvexPiece]):
    """Convex pieces, of one box or box by box; a piece by itself is made when it is asked for."""

    boxes: Rows
    """(q,) the box that each is of."""
    kinds: Rows
    """(q,) the place of its name in `names`."""
    names: Sequence[Name]
    vertices: Flat
    normals: Flat
    edges: Flat

    def __len__(self) -> int:
        return len(self.kinds)

    @overload
    def __getitem__(self, place: int) -> ConvexPiece: ...

    @overload
    def __getitem__(self, place: slice) -> Sequence[ConvexPiece]: ...

    def __getitem__(self, place: int | slice) -> ConvexPiece | Sequence[ConvexPiece]:
        if isinstance(place, slice):
            return [self[k] for k in range(*place.indices(len(self)))]
        known = self._made[place]
        return self._make(place % len(self)) if known is None else known

    def _make(self, k: int) -> ConvexPiece:
        made = ConvexPiece(*self.names[self.kinds[k]], *(own.of(k) for own in self._forms))
        self._made[k] = made
        return made

    @cached_property
    def _made(self) -> list[ConvexPiece | None]:
        return [None] * len(self)

    @property
    def _forms(self) -> tuple[Flat, Flat, Flat]:
        return self.vertices, self.normals, self.edges

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each, (q, 3) mm each."""
        if not len(self):
            return np.zeros((0, 3)), np.zeros((0, 3))
        values, starts = self.vertices.values, self.vertices.ends[:-1]
        low, high = (
            np.stack([most.reduceat(one, starts) for one in values], axis=1)
            for most in (np.minimum, np.maximum)
        )
        return low, high

    def uprights(self, rows: Rows) -> Flags:
        """(n,) which of some are prisms over a plan: half of the corners right above the others."""
        found = np.zeros(len(rows), dtype=bool)
        counts = np.diff(self.vertices.ends)[rows]
        for count in np.unique(counts[counts % 2 == 0]).tolist():
            own = np.flatnonzero(counts == count)
            x, y, z = self.vertices.padded(rows[own])
            half = count // 2
            level = (np.ptp(z[:half], axis=0) == 0.0) & (np.ptp(z[half:], axis=0) == 0.0)
            found[own] = level & ((x[:half] == x[half:]) & (y[:half] == y[half:])).all(axis=0)
        return found

    @cached_property
    def stretches(self) -> Stretches:
        """The pieces of one box and one name that stand behind each other."""
        first = np.ones(len(self), dtype=bool)
        first[1:] = (np.diff(self.kinds) != 0) | (np.diff(self.boxes) != 0)
        starts = np.flatnonzero(first)
        low, high = self.bounds
        if len(starts):
            low, high = np.minimum.reduceat(low, starts), np.maximum.reduceat(high, starts)
        ends = np.append(starts, len(self))
        return Stretches(self.boxes[starts], self.kinds[starts], ends, low, high)

    def of_box(self, box: int) -> Pieces:
        """The pieces of one box."""
        first, last = np.searchsorted(self.boxes, [box, box + 1]).tolist()
        return Pieces(
            self.boxes[first:last],
            self.kinds[first:last],
            self.names,
            *(own.between(first, last) for own in self._forms),
        )

    @classmethod
    def joined(cls, boxes: Sequence[Sequence[ConvexPiece]]) -> Pieces:
        """The pieces of many boxes behind each other; `boxes[k]` become those of box k."""
        each = [own if isinstance(own, Pieces) else cls._listed(own) for own in boxes]
        names = each[0].names
        kinds = [own.kinds for own in each]
        if any(own.names is not names for own in each):
            places: dict[Name, int] = {}
            kinds = [
                np.array([places.setdefault(n, len(places)) for n in own.names], dtype=np.intp)[
                    own.kinds
                ]
                for own in each
            ]
            names = tuple(places)
        numbers = np.arange(len(each)).repeat([len(own) for own in each])
        forms = (joined(flats) for flats in zip(*(own._forms for own in each), strict=True))
        return cls(numbers, np.concatenate(kinds), names, *forms)

    @classmethod
    def _listed(cls, pieces: Sequence[ConvexPiece]) -> Pieces:
        names = dict.fromkeys((one.name, one.panels) for one in pieces)
        places = {name: k for k, name in enumerate(names)}
        kinds = np.array([places[one.name, one.panels] for one in pieces], dtype=np.intp)
        forms = []
        for key in ("vertices", "normals", "edges"):
            each: list[Array] = [np.zeros((0, 3)), *(getattr(one, key) for one in pieces)]
            ends = np.cumsum([len(own) for own in each])
            forms.append(Flat(np.ascontiguousarray(np.concatenate(each).T), ends))
        return cls(np.zeros(len(pieces), dtype=np.intp), kinds, tuple(names), *forms)

    def beside(self, other: Pieces) -> Pieces:
        """These and those of another part of the same boxes, box by box."""
        places: dict[Name, int] = {}
        kinds = [
            np.array([places.setdefault(n, len(places)) for n in own.names], dtype=np.intp)[
                own.kinds
            ]
            for own in (self, other)
        ]
        boxes = np.concatenate([self.boxes, other.boxes])
        forms = (joined(flats) for flats in zip(self._forms, other._forms, strict=True))
        both = Pieces(boxes, np.concatenate(kinds), tuple(places), *forms)
        return both.take(np.argsort(boxes, kind="stable"))

    def kept(self, keep: Callable[[str, frozenset[str]], bool]) -> Pieces:
        """Those whose names and panels are wanted."""
        wanted = np.array([keep(name, panels) for name, panels in self.names], dtype=bool)
        return self if wanted.all() else self.take(np.flatnonzero(wanted[self.kinds]))

    def named(self, names: Collection[str] | None) -> Pieces:
        """Those of some names; None for all."""
        return self if names is None else self.kept(lambda name, _: name in names)

    def take(self, rows: Rows) -> Pieces:
        """Some of the pieces."""
        forms = (own.take(rows) for own in self._forms)
        return Pieces(self.boxes[rows], self.kinds[rows], self.names, *forms)

    def shifts_from(self, other: Pieces) -> Array:
        """How far all that has a name is shifted from where it is in one box, (b, k, 3) mm.

        That box is the other one, with the same names; nan where something is turned or is of
        another form or not there at all.
        """
        here, there = self.stretches, other.stretches
        boxes = 1 + int(self.boxes.max(initial=0))
        found = np.full((boxes, len(self.names), 3), np.nan)
        place = np.full(len(self.names), -1)
        place[there.kinds] = np.arange(len(there.kinds))
        ends, others = (
            own.vertices.ends[runs.ends] for own, runs in ((self, here), (other, there))
        )
        like = place[here.kinds]
        counts = np.diff(ends)
        alike = np.flatnonzero((like >= 0) & (counts == np.diff(others)[like]))
        if not len(alike):
            return found
        counts, start = counts[alike], np.cumsum(counts[alike]) - counts[alike]
        within = np.arange(counts.sum()) - start.repeat(counts)
        by = self.vertices.values[:, ends[alike].repeat(counts) + within]
        by = by - other.vertices.values[:, others[like[alike]].repeat(counts) + within]
        low, high = (
            np.stack([most.reduceat(one, start) for one in by], axis=1)
            for most in (np.minimum, np.maximum)
        )
        rigid = (high - low).max(axis=1) < SHORT_MM
        rows = alike[rigid]
        found[here.boxes[rows], here.kinds[rows]] = by[:, start[rigid]].T
        return found

    def numbered(self, number: int) -> Pieces:
        """The same pieces, their names and panels numbered, as those of one copy of a part."""
        names = [
            (f"{name} {number}", frozenset(f"{panel} {number}" for panel in panels))
            for name, panels in self.names
        ]
        return replace(self, names=tuple(names))

    def shifted(self, by_mm: Array) -> Pieces:
        """The same pieces, those of each box shifted by its own of (b, 3) mm."""
        by = by_mm[self.boxes].repeat(np.diff(self.vertices.ends), axis=0).T
        return replace(self, vertices=Flat(self.vertices.values + by, self.vertices.ends))

    def moved(self, pose: Array, lifts_mm: Array | None = None) -> Pieces:
        """The same pieces elsewhere, and those of each box lifted by its own share of (b,)."""
        turn, shift = pose[:3, :3], pose[:3, 3, None]
        vertices, normals, edges = (Flat(turn @ own.values, own.ends) for own in self._forms)
        vertices.values[:] += shift
        if lifts_mm is not None:
            vertices.values[2] += lifts_mm[self.boxes].repeat(np.diff(vertices.ends))
        return replace(self, vertices=vertices, normals=normals, edges=edges)
