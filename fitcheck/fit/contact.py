"""Two convex pieces touch for the displacements in their difference body, whose faces are exact.

The displacements d for which `inner + d` meets `outer` form the convex body {o - i}; a straight
path adds the segment that it sweeps. Every face of that body is turned like a face of one piece,
or stands on an edge of each (or an edge and the path), so trying all those directions gives the
body's half spaces `n . d <= h` exactly: no stepping, no tolerance, nothing thin is jumped over.
(The candidate directions are those of the separating-axis theorem for convex polyhedra.)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, Rows

PARALLEL = 1e-7
TOUCH_MM = 1e-9
"""Faces nearer than this touch; touching faces slide."""


@dataclass(frozen=True, eq=False)
class HalfSpaces:
    """A convex body as all d with normals @ d <= limits."""

    normals: Array
    """(m, 3) unit."""
    limits: Array
    """(m,) mm."""

    def along(self, start: Array, direction: Array) -> tuple[float, float] | None:
        """Where the line start + x direction is inside: (from, to) mm, None if it passes by."""
        rate = self.normals @ direction
        room = self.limits - self.normals @ start
        level = np.abs(rate) < PARALLEL
        if np.any(room[level] <= TOUCH_MM):
            return None
        up, down = rate >= PARALLEL, rate <= -PARALLEL
        low = float(np.max(room[down] / rate[down]))
        high = float(np.min(room[up] / rate[up]))
        return (low, high) if high - low > TOUCH_MM else None

    def depth(self, start: Array) -> tuple[float, Array]:
        """How deep a displacement lies inside, mm (negative outside), and the shortest way out."""
        room = self.limits - self.normals @ start
        nearest = int(np.argmin(room))
        return float(room[nearest]), self.normals[nearest]


def difference_body(
    outer: ConvexPiece, inner: ConvexPiece, path: Array | None = None
) -> HalfSpaces:
    """Displacements of `inner` that meet `outer`, when outer moves by the whole of `path` (3,).

    A path of inner is the opposite path of outer.
    """
    edge_pairs = [(outer.edges, inner.edges)]
    if path is not None:
        way = path / np.linalg.norm(path)
        edge_pairs += [(outer.edges, way[None]), (inner.edges, way[None])]
    crossed = [np.cross(a[:, None], b[None]).reshape(-1, 3) for a, b in edge_pairs]
    across = np.vstack(crossed)
    length = np.sqrt(np.einsum("ij,ij->i", across, across))
    proper = length > PARALLEL
    across = across[proper] / length[proper, None]
    normals = np.vstack([outer.normals, -inner.normals, across, -across])
    limits = (outer.vertices @ normals.T).max(axis=0) - (inner.vertices @ normals.T).min(axis=0)
    if path is not None:
        limits = limits + np.maximum(0.0, normals @ path)
    return HalfSpaces(normals, limits)


def stacked(arrays: Sequence[Array]) -> Array:
    """Arrays (n_k, d) as one (k, n, d), the shorter ones filled up with their last row."""
    counts = np.array([len(one) for one in arrays])
    starts = np.cumsum(counts) - counts
    rows = np.minimum(np.arange(counts.max()), counts[:, None] - 1) + starts[:, None]
    filled: Array = np.concatenate(arrays)[rows]
    return filled


def crossed(a: Array, b: Array) -> Array:
    """The cross product of vectors (..., 3)."""
    x, y, z = a[..., 0], a[..., 1], a[..., 2]
    u, v, w = b[..., 0], b[..., 1], b[..., 2]
    return np.stack([y * w - z * v, z * u - x * w, x * v - y * u], axis=-1)


def face_depths(outers: Sequence[ConvexPiece], inners: Sequence[ConvexPiece]) -> Array:
    """How deep pieces stand in each other as far as their own faces say, (n,) mm: at least as deep.

    `outers[k]` is taken with `inners[k]`, both as they stand.
    """
    outer, inner = (stacked([piece.vertices for piece in side]) for side in (outers, inners))
    faces = (stacked([piece.normals for piece in side]) for side in (outers, inners))
    own, other = (normals.transpose(0, 2, 1) for normals in faces)
    beyond = (outer @ own).max(axis=1) - (inner @ own).min(axis=1)
    before = (inner @ other).max(axis=1) - (outer @ other).min(axis=1)
    found: Array = np.minimum(beyond.min(axis=1), before.min(axis=1))
    return found


def by_size(
    outers: Sequence[ConvexPiece],
    inners: Sequence[ConvexPiece],
    work: Callable[[list[ConvexPiece], list[ConvexPiece], Rows], Array],
) -> Array:
    """What `work` finds of pairs, (n, ...), those of pieces of about the same size done together.

    Arrays are as wide as their widest piece: a round of fifty corners among plates of eight would
    make all of them as slow. `work` is given the pairs and their places among all.
    """
    sizes = np.array(
        [
            (len(a.vertices).bit_length(), len(b.vertices).bit_length())
            for a, b in zip(outers, inners, strict=True)
        ]
    )
    kinds, group = np.unique(sizes @ [64, 1], return_inverse=True)
    found: Array | None = None
    for kind in range(len(kinds)):
        rows = np.flatnonzero(group == kind)
        chosen = rows.tolist()
        own = work([outers[k] for k in chosen], [inners[k] for k in chosen], rows)
        if found is None:
            found = np.empty((len(outers), *own.shape[1:]))
        found[rows] = own
    assert found is not None, "there is a pair"
    return found


def depths(outers: Sequence[ConvexPiece], inners: Sequence[ConvexPiece]) -> Array:
    """How deep pieces stand in each other, (n,) mm; negative where they are apart.

    `outers[k]` is taken with `inners[k]`: it is the depth of no displacement in their difference
    body, for many pairs as one array.
    """
    return by_size(outers, inners, lambda a, b, _: _depths(a, b))


def _depths(outers: Sequence[ConvexPiece], inners: Sequence[ConvexPiece]) -> Array:
    outer, inner = (stacked([piece.vertices for piece in side]) for side in (outers, inners))
    edges = [stacked([piece.edges for piece in side]) for side in (outers, inners)]
    across = crossed(edges[0][:, :, None], edges[1][:, None]).reshape(len(outers), -1, 3)
    length = np.sqrt(np.einsum("nij,nij->ni", across, across))
    proper = length > PARALLEL
    across /= np.where(proper, length, 1.0)[..., None]
    normals = across.transpose(0, 2, 1)
    reach, back = outer @ normals, inner @ normals
    room = np.minimum(reach.max(axis=1) - back.min(axis=1), back.max(axis=1) - reach.min(axis=1))
    room[~proper] = np.inf
    found: Array = np.minimum(room.min(axis=1), face_depths(outers, inners))
    return found
