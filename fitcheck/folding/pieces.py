"""Convex pieces in place, one by one and those of many boxes in common lists."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple, overload

import numpy as np

from fitcheck.folding.pose import Array, Flags, Rows

SHORT_MM = 1e-9
"""An outline's edge shorter than this is a point."""
VERTICES, NORMALS, EDGES = range(3)


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

    @cached_property
    def upright(self) -> bool:
        """True for a prism over a plan: its two halves' corners stand right above each other."""
        half = len(self.vertices) // 2
        foot, head = self.vertices[:half], self.vertices[half:]
        level = (foot[:, 2] == foot[0, 2]).all() and (head[:, 2] == head[0, 2]).all()
        return bool(level and np.array_equal(foot[:, :2], head[:, :2]))


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


def kept(
    pieces: Sequence[ConvexPiece], keep: Callable[[str, frozenset[str]], bool]
) -> Sequence[ConvexPiece]:
    """The pieces whose names and panels are wanted."""
    if isinstance(pieces, Pieces):
        return pieces.kept(keep)
    return [one for one in pieces if keep(one.name, one.panels)]


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


@dataclass(frozen=True, eq=False)
class Pieces(Sequence[ConvexPiece]):
    """Convex pieces, of one box or box by box, their corners, faces and edges each in one list.

    `vertices[at]` to `vertices[at + 1]` of `vertex_ends` belong to piece `at`, and so on. A piece
    by itself is made when it is asked for.
    """

    boxes: Rows
    """(q,) the box that each is of."""
    kinds: Rows
    """(q,) the place of its name and panels in `names`."""
    names: Sequence[tuple[str, frozenset[str]]]
    vertices: Array
    vertex_ends: Rows
    normals: Array
    normal_ends: Rows
    edges: Array
    edge_ends: Rows

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
        name, panels = self.names[self.kinds[k]]
        lists = zip((self.vertices, self.normals, self.edges), self._ends, strict=True)
        made = ConvexPiece(name, panels, *(own[e[k] : e[k + 1]] for own, e in lists))
        self._made[k] = made
        return made

    @cached_property
    def _made(self) -> list[ConvexPiece | None]:
        return [None] * len(self)

    @cached_property
    def _ends(self) -> tuple[list[int], list[int], list[int]]:
        return self.vertex_ends.tolist(), self.normal_ends.tolist(), self.edge_ends.tolist()

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each, (q, 3) mm each."""
        if not len(self):
            return np.zeros((0, 3)), np.zeros((0, 3))
        starts = self.vertex_ends[:-1]
        return (
            np.minimum.reduceat(self.vertices, starts),
            np.maximum.reduceat(self.vertices, starts),
        )

    @cached_property
    def uprights(self) -> Flags:
        """(q,) which are prisms over a plan, as `ConvexPiece.upright` says."""
        found = np.zeros(len(self), dtype=bool)
        counts = np.diff(self.vertex_ends)
        for count in np.unique(counts).tolist():
            rows = np.flatnonzero(counts == count)
            corners = self.vertices[self.vertex_ends[rows, None] + np.arange(count)]
            foot, head = corners[:, : count // 2], corners[:, count // 2 :]
            level = (np.ptp(foot[..., 2], axis=1) == 0.0) & (np.ptp(head[..., 2], axis=1) == 0.0)
            if count % 2 == 0:
                found[rows] = level & (foot[..., :2] == head[..., :2]).all(axis=(1, 2))
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

    def padded(self, what: int, rows: Rows) -> Array:
        """VERTICES, NORMALS or EDGES of some pieces, (3, w, n), the shorter ones filled up.

        Coordinates come first and pieces last, so that arithmetic runs along the pieces.
        """
        ends = self._lists[what][1]
        counts = ends[rows + 1] - ends[rows]
        places = np.minimum(np.arange(counts.max(initial=0))[:, None], counts - 1) + ends[rows]
        found: Array = self._turned[what][:, places]
        return found

    @cached_property
    def _turned(self) -> tuple[Array, ...]:
        """(3, m) corners, faces and edges, coordinates first."""
        return tuple(np.ascontiguousarray(flat.T) for flat, _ in self._lists)

    def of_box(self, box: int) -> Pieces:
        """The pieces of one box."""
        first, last = np.searchsorted(self.boxes, [box, box + 1]).tolist()
        lists: list[Array | Rows] = []
        for own, ends in self._lists:
            lists += [own[ends[first] : ends[last]], ends[first : last + 1] - ends[first]]
        return Pieces(
            self.boxes[first:last],
            self.kinds[first:last],
            self.names,
            *lists,  # type: ignore[arg-type]
        )

    @classmethod
    def joined(cls, boxes: Sequence[Sequence[ConvexPiece]]) -> Pieces:
        """The pieces of many boxes behind each other; `boxes[k]` become those of box k."""
        each = [own if isinstance(own, Pieces) else cls._listed(own) for own in boxes]
        places: dict[tuple[str, frozenset[str]], int] = {}
        kinds: list[Rows] = []
        for own in each:
            if own.names is each[0].names:
                known = np.arange(len(own.names))
                if not kinds:
                    places = {name: k for k, name in enumerate(own.names)}
            else:
                known = np.array(
                    [places.setdefault(name, len(places)) for name in own.names], dtype=np.intp
                )
            kinds.append(known[own.kinds])
        lists: list[Array | Rows] = []
        for flats in zip(*(own._lists for own in each), strict=True):
            lists.append(np.concatenate([flat for flat, _ in flats]))
            counts = np.concatenate([np.diff(ends) for _, ends in flats])
            lists.append(np.concatenate([[0], np.cumsum(counts)]))
        numbers = np.arange(len(each)).repeat([len(own) for own in each])
        return cls(numbers, np.concatenate(kinds), tuple(places), *lists)  # type: ignore[arg-type]

    @classmethod
    def _listed(cls, pieces: Sequence[ConvexPiece]) -> Pieces:
        names = dict.fromkeys((one.name, one.panels) for one in pieces)
        places = {name: k for k, name in enumerate(names)}
        kinds = np.array([places[one.name, one.panels] for one in pieces], dtype=np.intp)
        lists: list[Array | Rows] = []
        for key in ("vertices", "normals", "edges"):
            flats: list[Array] = [np.zeros((0, 3)), *(getattr(one, key) for one in pieces)]
            lists += [np.concatenate(flats), np.cumsum([len(flat) for flat in flats])]
        return cls(np.zeros(len(pieces), dtype=np.intp), kinds, tuple(names), *lists)  # type: ignore[arg-type]

    def kept(self, keep: Callable[[str, frozenset[str]], bool]) -> Pieces:
        """Those whose names and panels are wanted."""
        wanted = np.array([keep(name, panels) for name, panels in self.names], dtype=bool)
        return self.take(np.flatnonzero(wanted[self.kinds]))

    def take(self, rows: Rows) -> Pieces:
        """Some of the pieces."""
        lists: list[Array | Rows] = []
        for own, ends in self._lists:
            counts = np.diff(ends)[rows]
            stops = np.concatenate([[0], np.cumsum(counts)])
            places = np.arange(stops[-1]) + (ends[rows] - stops[:-1]).repeat(counts)
            lists += [own[places], stops]
        return Pieces(self.boxes[rows], self.kinds[rows], self.names, *lists)  # type: ignore[arg-type]

    def shifts_from(self, other: Pieces) -> Array:
        """How far all that has a name is shifted from where it is among other pieces, (k, 3) mm.

        Of one box each, with the same names; nan where something is turned or of another form.
        """
        found = np.full((len(self.names), 3), np.nan)
        ends = [own.vertex_ends[_starts_of_kinds(own)] for own in (self, other)]
        here, there = (np.diff(own) for own in ends)
        for k in np.flatnonzero((here == there) & (here > 0)).tolist():
            one = self.vertices[ends[0][k] : ends[0][k + 1]]
            by = one - other.vertices[ends[1][k] : ends[1][k + 1]]
            if np.ptp(by, axis=0).max() < SHORT_MM:
                found[k] = by[0]
        return found

    def moved(self, pose: Array) -> Pieces:
        """The same pieces elsewhere."""
        turn = pose[:3, :3].T
        return replace(
            self,
            vertices=self.vertices @ turn + pose[:3, 3],
            normals=self.normals @ turn,
            edges=self.edges @ turn,
        )

    @property
    def _lists(self) -> tuple[tuple[Array, Rows], ...]:
        return (
            (self.vertices, self.vertex_ends),
            (self.normals, self.normal_ends),
            (self.edges, self.edge_ends),
        )


def _starts_of_kinds(pieces: Pieces) -> Rows:
    """(k + 1,) where each kind begins among pieces that stand in the order of their kinds."""
    found: Rows = np.searchsorted(pieces.kinds, np.arange(len(pieces.names) + 1))
    return found
