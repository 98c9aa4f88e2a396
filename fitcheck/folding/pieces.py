"""Convex pieces in place, one by one and those of many boxes in common lists."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import overload

import numpy as np

from fitcheck.folding.flat import Flat, distinct, numbered
from fitcheck.folding.places import Places, Stretches
from fitcheck.folding.pose import UP, Array, Flags, Rows
from fitcheck.folding.tables import ASKING, Flats, Forms, Listed, Memo

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
    places: Places
    """Where their numbers stand."""

    @classmethod
    def listed(cls, boxes: Rows, kinds: Rows, names: Sequence[Name], flats: Flats) -> Pieces:
        """Pieces whose forms are known."""
        return cls(boxes, kinds, names, Places.all_of([Listed(flats)]))

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
        forms = self.vertices, self.normals, self.edges
        made = ConvexPiece(*self.names[self.kinds[k]], *(own.of(k) for own in forms))
        self._made[k] = made
        return made

    @cached_property
    def _made(self) -> list[ConvexPiece | None]:
        return [None] * len(self)

    @cached_property
    def vertices(self) -> Flat:
        """Their corners, mm."""
        return self.places.flat(0)

    @cached_property
    def normals(self) -> Flat:
        """Their unit outward face normals."""
        return self.places.flat(1)

    @cached_property
    def edges(self) -> Flat:
        """Their unit edge directions."""
        return self.places.flat(2)

    @cached_property
    def counts(self) -> Rows:
        """(q,) how many corners each has."""
        return self.places.counts()

    @cached_property
    def sizes(self) -> Rows:
        """(q,) how large each is to look at: those of one size are looked at together."""
        return self.places.sizes()

    def corners(self, rows: Rows) -> Array:
        """The corners of some pieces, (3, w, n) mm, the shorter lists filled up with their last."""
        return self.places.take(rows).corners()

    def padded(self, rows: Rows) -> Forms:
        """The forms of some pieces (n,), at least one, that are all of one size."""
        return Forms(*self._forms[int(self.sizes[rows[0]])].of(rows, self._padded))

    def learn(self, rows: Rows) -> None:
        """Work out the forms of some pieces together that are to be asked for in turn."""
        sizes = self.sizes[rows]
        for size in distinct(sizes).tolist():
            self._forms[size].learn(rows[sizes == size], self._padded)

    def _padded(self, rows: Rows) -> Forms:
        return self.places.take(rows).padded()

    @cached_property
    def _forms(self) -> defaultdict[int, Memo]:
        """By their sizes, each as wide as the widest of it."""
        return defaultdict(partial(Memo, len(self)))

    def bounds_of(self, rows: Rows) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of some pieces, (n, 3) mm each."""
        with ASKING:
            known, low, high = self._ends
            fresh = rows[~known[rows]]
            if len(fresh):
                fresh = distinct(fresh)
                ends = self.places.take(fresh).bounds()
                low[:, fresh], high[:, fresh] = (own.T for own in ends)
                known[fresh] = True
        return low.take(rows, axis=1).T, high.take(rows, axis=1).T

    def about(self, rows: Rows, axis: int) -> tuple[Array, Array]:
        """Between what some lie along an axis, hardly wider than they do, (n,) mm each."""
        some, place = numbered(rows)
        low, high = self.places.take(some).about(axis)
        return low.take(place), high.take(place)

    @cached_property
    def _ends(self) -> tuple[Flags, Array, Array]:
        """Which were worked out (q,), and from where to where those reach, (3, q) each."""
        return np.zeros(len(self), dtype=bool), np.empty((3, len(self))), np.empty((3, len(self)))

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each, (q, 3) mm each."""
        return self.places.bounds()

    def uprights(self, rows: Rows) -> Flags:
        """(n,) which of some are prisms over a plan: half of the corners right above the others."""
        return self.places.take(rows).uprights()

    @cached_property
    def stretches(self) -> Stretches:
        """The pieces of one box and one name that stand behind each other."""
        first = np.ones(len(self), dtype=bool)
        first[1:] = (np.diff(self.kinds) != 0) | (np.diff(self.boxes) != 0)
        starts = np.flatnonzero(first)
        low, high = self.places.around()
        if len(starts):
            low, high = np.minimum.reduceat(low, starts), np.maximum.reduceat(high, starts)
        ends = np.append(starts, len(self))
        return Stretches(self.boxes[starts], self.kinds[starts], ends, low, high)

    def of_box(self, box: int) -> Pieces:
        """The pieces of one box."""
        own = slice(*np.searchsorted(self.boxes, [box, box + 1]).tolist())
        return Pieces(self.boxes[own], self.kinds[own], self.names, self.places.take(own))

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
        places_of = Places.joined([own.places for own in each])
        return cls(numbers, np.concatenate(kinds), names, places_of)

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
        boxes = np.zeros(len(pieces), dtype=np.intp)
        return cls.listed(boxes, kinds, tuple(names), Flats(*forms))

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
        places_of = Places.joined([self.places, other.places])
        both = Pieces(boxes, np.concatenate(kinds), tuple(places), places_of)
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
        return Pieces(self.boxes[rows], self.kinds[rows], self.names, self.places.take(rows))

    def with_vertices(self, vertices: Flat) -> Pieces:
        """The same pieces with their corners elsewhere."""
        flats = Flats(vertices, self.normals, self.edges)
        return Pieces.listed(self.boxes, self.kinds, self.names, flats)

    def numbered(self, number: int) -> Pieces:
        """The same pieces, their names and panels numbered, as those of one copy of a part."""
        names = [
            (f"{name} {number}", frozenset(f"{panel} {number}" for panel in panels))
            for name, panels in self.names
        ]
        return replace(self, names=tuple(names))

    def shifted(self, by_mm: Array) -> Pieces:
        """The same pieces, those of each box shifted by its own of (b, 3) mm."""
        return replace(self, places=self.places.moved(np.eye(3), by_mm[self.boxes].T))

    def turned(self, turn: Array) -> Pieces:
        """The same pieces turned by (3, 3)."""
        return replace(self, places=self.places.moved(turn, np.zeros((3, len(self)))))

    def moved(self, pose: Array, lifts_mm: Array | None = None) -> Pieces:
        """The same pieces elsewhere, and those of each box lifted by its own share of (b,)."""
        shifts = np.broadcast_to(pose[:3, 3, None], (3, len(self)))
        if lifts_mm is not None:
            shifts = shifts + UP[:, None] * lifts_mm[self.boxes]
        return replace(self, places=self.places.moved(pose[:3, :3], shifts))
