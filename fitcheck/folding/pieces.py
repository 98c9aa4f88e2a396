"""Convex pieces in place, and the plates of a folded part: each is one, a bend is made of many."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import polygon_area

Rows = NDArray[np.intp]
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

    @cached_property
    def upright(self) -> bool:
        """True for a prism over a plan: its two halves' corners stand right above each other."""
        half = len(self.vertices) // 2
        foot, head = self.vertices[:half], self.vertices[half:]
        level = (foot[:, 2] == foot[0, 2]).all() and (head[:, 2] == head[0, 2]).all()
        return bool(level and np.array_equal(foot[:, :2], head[:, :2]))


def moved(pieces: Sequence[ConvexPiece], pose: Array) -> list[ConvexPiece]:
    """The same pieces elsewhere."""
    if not pieces:
        return []
    carried = []
    for part, shift in (("vertices", pose[:3, 3]), ("normals", 0.0), ("edges", 0.0)):
        arrays = [getattr(piece, part) for piece in pieces]
        rows = np.concatenate(arrays) @ pose[:3, :3].T + shift
        stops = list(itertools.accumulate(len(one) for one in arrays))
        carried.append([rows[a:b] for a, b in zip([0, *stops], stops, strict=False)])
    return [
        ConvexPiece(piece.name, piece.panels, *arrays)
        for piece, *arrays in zip(pieces, *carried, strict=True)
    ]


def bounds(pieces: Sequence[ConvexPiece]) -> tuple[Array, Array]:
    """The least and the greatest x, y, z of each piece, (n, 3) mm each."""
    starts = np.cumsum([0, *(len(piece.vertices) for piece in pieces[:-1])])
    corners = np.concatenate([piece.vertices for piece in pieces])
    return np.minimum.reduceat(corners, starts), np.maximum.reduceat(corners, starts)


def prism(
    name: str, panels: frozenset[str], outline: Array, low: float, high: float
) -> ConvexPiece:
    """An upright prism over a convex counter-clockwise outline (n, 2), between two heights, mm."""
    one = np.zeros(1, dtype=np.intp)
    blank = Blanks(one, one, one, outline[None], np.array([[low, high]]), np.eye(4)[None])
    return pieces_of([blank], [(name, panels)]).of_box(0)[0]


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


@dataclass(frozen=True, eq=False)
class Pieces:
    """The convex pieces of many boxes, box by box, their corners, faces and edges each in one list.

    `vertices[at]` to `vertices[at + 1]` of `vertex_ends` belong to piece `at`, and so on.
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

    def kinds_of(self, box: int) -> Rows:
        """The kinds of one box's pieces."""
        first, last = self._ends(box)
        return self.kinds[first:last]

    def bounds_of(self, box: int) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of each of one box's pieces, (n, 3) mm each."""
        first, last = self._ends(box)
        low, high = self._bounds
        return low[first:last], high[first:last]

    @cached_property
    def _bounds(self) -> tuple[Array, Array]:
        starts = self.vertex_ends[:-1]
        return (
            np.minimum.reduceat(self.vertices, starts),
            np.maximum.reduceat(self.vertices, starts),
        )

    def _ends(self, box: int) -> tuple[int, int]:
        first, last = np.searchsorted(self.boxes, [box, box + 1]).tolist()
        return first, last

    def of_box(self, box: int, names: Collection[str] | None = None) -> tuple[ConvexPiece, ...]:
        """The pieces of one box, or those of some names."""
        first, last = self._ends(box)
        at = [
            ends[first : last + 1].tolist()
            for ends in (self.vertex_ends, self.normal_ends, self.edge_ends)
        ]
        found = []
        for k, kind in enumerate(self.kinds[first:last].tolist()):
            name, panels = self.names[kind]
            if names is not None and name not in names:
                continue
            lists = zip((self.vertices, self.normals, self.edges), at, strict=True)
            found.append(ConvexPiece(name, panels, *(own[e[k] : e[k + 1]] for own, e in lists)))
        return tuple(found)


def pieces_of(blanks: Sequence[Blanks], names: Sequence[tuple[str, frozenset[str]]]) -> Pieces:
    """The prisms of all blanks, box by box and there by their orders."""
    made = [_prisms(blank) for blank in blanks]
    boxes, orders, kinds = (
        np.concatenate([getattr(blank, key) for blank in blanks])
        for key in ("boxes", "orders", "kinds")
    )
    sorting = np.lexsort((orders, boxes))
    lists: list[Array | Rows] = []
    for part in range(3):
        flat = np.concatenate([own[part][0] for own in made])
        counts = np.concatenate([own[part][1] for own in made])
        starts = np.cumsum(counts) - counts
        ends = np.concatenate([[0], np.cumsum(counts[sorting])])
        rows = np.arange(ends[-1]) + (starts[sorting] - ends[:-1]).repeat(counts[sorting])
        lists += [flat[rows], ends]
    return Pieces(boxes[sorting], kinds[sorting], names, *lists)  # type: ignore[arg-type]


def _prisms(blanks: Blanks) -> list[tuple[Array, Rows]]:
    """Corners, normals and edges (rows, 3) of prisms, and how many each has (p,).

    Edges that are points have neither direction nor face.
    """
    outlines, heights = blanks.outlines, blanks.heights
    count = outlines.shape[1]
    vertices = np.empty((len(outlines), 2 * count, 3))
    vertices[:, :count, :2] = vertices[:, count:, :2] = outlines
    vertices[:, :count, 2], vertices[:, count:, 2] = heights[:, :1], heights[:, 1:]
    along = np.concatenate([outlines[:, 1:], outlines[:, :1]], axis=1) - outlines
    length = np.hypot(along[..., 0], along[..., 1])
    proper = length > SHORT_MM
    edges = np.zeros((len(outlines), count + 1, 3))
    np.divide(along, length[..., None], out=edges[:, :count, :2], where=proper[..., None])
    edges[:, count, 2] = 1.0
    normals = np.zeros((len(outlines), count + 2, 3))
    normals[:, :count, 0], normals[:, :count, 1] = edges[:, :count, 1], -edges[:, :count, 0]
    normals[:, count, 2], normals[:, count + 1, 2] = 1.0, -1.0
    turn = blanks.poses[:, :3, :3].transpose(0, 2, 1)
    vertices = vertices @ turn + blanks.poses[:, None, :3, 3]
    kept = np.concatenate([proper, np.ones((len(outlines), 2), dtype=bool)], axis=1)
    return [
        (vertices.reshape(-1, 3), np.full(len(outlines), 2 * count)),
        ((normals @ turn)[kept], kept.sum(axis=1)),
        ((edges @ turn)[kept[:, :-1]], kept[:, :-1].sum(axis=1)),
    ]


@dataclass(frozen=True, eq=False)
class Plate:
    """The flat rest of a panel between its bends."""

    name: str
    outline: Array
    """(n, 2) mm, convex, counter-clockwise, in the panel's own place on the sheet."""
    pose: Array
    """(4, 4); local z = 0 is the outside face, z = thickness the inside face."""
    thickness_mm: float

    @property
    def volume_mm3(self) -> float:
        """Exact volume."""
        return polygon_area(self.outline) * self.thickness_mm

    def pieces(self) -> tuple[ConvexPiece, ...]:
        """The plate as one convex piece."""
        flat = prism(self.name, frozenset([self.name]), self.outline, 0.0, self.thickness_mm)
        return (flat.moved(self.pose),)

    def corners(self) -> Array:
        """Its corners in place, (2 n, 3) mm, those of the outside face first."""
        outside = self.outline @ self.pose[:3, :2].T + self.pose[:3, 3]
        return np.concatenate([outside, outside + self.thickness_mm * self.pose[:3, 2]])

    def support(self, direction: Array) -> float:
        """The furthest reach along a unit direction (3,), mm."""
        reach = self.outline @ (direction @ self.pose[:3, :2])
        lift = max(0.0, self.thickness_mm * float(direction @ self.pose[:3, 2]))
        return float(reach.max()) + float(direction @ self.pose[:3, 3]) + lift
