"""Convex pieces in place, and the plates of a folded part: each is one, a bend is made of many."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import polygon_area

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
    heights = np.array([[low, high]])
    return _prisms([Blank(name, panels, outline[None], heights, np.eye(4))])[0]


@dataclass(frozen=True, eq=False)
class Blank:
    """Prisms of one name before they are put in place."""

    name: str
    panels: frozenset[str]
    outlines: Array
    """(p, n, 2) convex, counter-clockwise."""
    heights: Array
    """(p, 2) from and to."""
    pose: Array


def _prisms(blanks: Sequence[Blank]) -> list[ConvexPiece]:
    """The prisms of blanks whose outlines have the same number of corners."""
    named = [blank for blank in blanks for _ in blank.outlines]
    outlines = np.concatenate([blank.outlines for blank in blanks])
    heights = np.concatenate([blank.heights for blank in blanks])
    poses = np.array([blank.pose for blank in named])
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
    turn = poses[:, :3, :3].transpose(0, 2, 1)
    vertices = vertices @ turn + poses[:, None, :3, 3]
    normals, edges = normals @ turn, edges @ turn
    if proper.all():
        each = zip(named, vertices, normals, edges, strict=True)
        return [ConvexPiece(b.name, b.panels, v, n, e) for b, v, n, e in each]
    kept = np.concatenate([proper, np.ones((len(outlines), 2), dtype=bool)], axis=1)
    rows = zip(named, vertices, normals, edges, kept, strict=True)
    return [ConvexPiece(b.name, b.panels, v, n[k], e[k[:-1]]) for b, v, n, e, k in rows]


def pieces_of(blanks: Sequence[Blank]) -> list[ConvexPiece]:
    """The convex pieces of blanks, one after the other."""
    alike: dict[int, list[Blank]] = {}
    for blank in blanks:
        alike.setdefault(blank.outlines.shape[1], []).append(blank)
    made = {corners: iter(_prisms(own)) for corners, own in alike.items()}
    return [next(made[b.outlines.shape[1]]) for b in blanks for _ in b.outlines]


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

    def blank(self) -> Blank:
        """The plate as one prism over its outline."""
        heights, panels = np.array([[0.0, self.thickness_mm]]), frozenset([self.name])
        return Blank(self.name, panels, self.outline[None], heights, self.pose)

    def pieces(self) -> list[ConvexPiece]:
        """The plate as one convex piece."""
        return pieces_of([self.blank()])

    def corners(self) -> Array:
        """Its corners in place, (2 n, 3) mm, those of the outside face first."""
        outside = self.outline @ self.pose[:3, :2].T + self.pose[:3, 3]
        return np.concatenate([outside, outside + self.thickness_mm * self.pose[:3, 2]])

    def support(self, direction: Array) -> float:
        """The furthest reach along a unit direction (3,), mm."""
        reach = self.outline @ (direction @ self.pose[:3, :2])
        lift = max(0.0, self.thickness_mm * float(direction @ self.pose[:3, 2]))
        return float(reach.max()) + float(direction @ self.pose[:3, 3]) + lift
