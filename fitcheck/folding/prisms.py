"""Plates and bends become prisms, and those convex pieces: one of a plate, many of a bend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pieces import SHORT_MM, ConvexPiece, Pieces
from fitcheck.folding.pose import Array, Rows
from fitcheck.pattern.pattern import polygon_area

SAME_DIRECTION = 1e-13
"""Edges whose directions differ by less than this, in radians, are parallel."""


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
    faces = np.concatenate([proper, np.ones((len(outlines), 2), dtype=bool)], axis=1)
    # edges that are parallel to one before add nothing: a rectangle has two directions
    turned = edges[:, :count, None, 0] * edges[:, None, :count, 1]
    again = np.abs(turned - turned.transpose(0, 2, 1)) < SAME_DIRECTION
    again &= proper[:, None] & np.tril(np.ones((count, count), dtype=bool), -1)
    kept = np.concatenate([proper & ~again.any(axis=2), faces[:, -1:]], axis=1)
    return [
        (vertices.reshape(-1, 3), np.full(len(outlines), 2 * count)),
        ((normals @ turn)[faces], faces.sum(axis=1)),
        ((edges @ turn)[kept], kept.sum(axis=1)),
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
