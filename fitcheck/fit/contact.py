"""Two convex pieces touch for the displacements in their difference body, whose faces are exact.

The displacements d for which `inner + d` meets `outer` form the convex body {o - i}; a straight
path adds the segment that it sweeps. Every face of that body is turned like a face of one piece,
or stands on an edge of each (or an edge and the path), so trying all those directions gives the
body's half spaces `n . d <= h` exactly: no stepping, no tolerance, nothing thin is jumped over.
(The candidate directions are those of the separating-axis theorem for convex polyhedra.)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.groups import PiecePairs
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, Flags, Rows

PARALLEL = 1e-7
SQUARE = 0.2
"""Directions whose cosine is less than this are square to each other, or nearly so."""
TOUCH_MM = 1e-9
"""Faces nearer than this touch; touching faces slide."""
AT_A_TIME, SHORTEST = 1 << 16, 64
"""So many pairs of corners are worked out at a time, and at least so many pairs of pieces."""


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


def crossed(a: Array, b: Array) -> Array:
    """The cross product of vectors (3, ...)."""
    (x, y, z), (u, v, w) = a, b
    return np.array([y * w - z * v, z * u - x * w, x * v - y * u])


def directions_across(a: Array, b: Array) -> tuple[Array, Flags]:
    """Unit directions across two directions of each pair, (3, i j, n), of (3, i, n) and (3, j, n).

    And which are none, as both are parallel (i j, n).
    """
    across = crossed(a[:, :, None], b[:, None]).reshape(3, -1, a.shape[-1])
    length = np.sqrt(across[0] ** 2 + across[1] ** 2 + across[2] ** 2)
    parallel = length <= PARALLEL
    length[parallel] = 1.0
    across /= length
    return across, parallel


def reaches(vertices: Array, directions: Array, rises: Array | None = None) -> tuple[Array, Array]:
    """The most and the least of corners (3, v, n) along directions (3, d, n); (d, n) each.

    Prisms are given by the corners of one end and how far the other is, `rises` (3, 1, n).
    """
    x, y, z = directions
    most, at, part = (np.empty(x.shape) for _ in range(3))
    least = np.empty(x.shape)

    def along(corner: Array) -> None:
        u, v, w = corner
        np.multiply(x, u, out=at)
        np.add(at, np.multiply(y, v, out=part), out=at)
        np.add(at, np.multiply(z, w, out=part), out=at)

    for k, corner in enumerate(vertices.transpose(1, 0, 2)):
        along(corner)
        if k:
            np.maximum(most, at, out=most)
            np.minimum(least, at, out=least)
        else:
            most[:] = least[:] = at
    if rises is not None:
        along(rises[:, 0])
        most += np.maximum(at, 0.0, out=part)
        least += np.minimum(at, 0.0, out=part)
    return most, least


def by_size(pairs: PiecePairs, work: Callable[[PiecePairs, Rows], Array]) -> Array:
    """What `work` finds of pairs, (..., n), those of pieces of about the same size done together.

    Arrays are as wide as their widest piece: a round of fifty corners among plates of eight would
    make all of them as slow; and no longer than what stays near the processor. `work` is given
    the pairs and their places among all.
    """
    pairs.firsts.learn(pairs.a)
    pairs.seconds.learn(pairs.b)
    own, others = pairs.firsts.sizes[pairs.a], pairs.seconds.sizes[pairs.b]
    kinds, group = np.unique(own * 128 + others, return_inverse=True)
    found: Array | None = None
    for kind, code in enumerate(kinds.tolist()):
        every = np.flatnonzero(group == kind)
        length = max(SHORTEST, AT_A_TIME >> sum(size // 2 for size in divmod(code, 128)))
        for start in range(0, len(every), length):
            rows = every[start : start + length]
            part = work(pairs.take(rows), rows)
            if found is None:
                found = np.empty((*part.shape[:-1], len(pairs)))
            found[..., rows] = part
    assert found is not None, "there is a pair"
    return found


def depths(pairs: PiecePairs) -> Array:
    """How deep pieces stand in each other, (n,) mm; negative where they are apart.

    It is the depth of no displacement in their difference body, for many pairs as one array.
    """
    return by_size(pairs, lambda own, _: _depths(Forms(own)))


def depths_across(pairs: PiecePairs) -> Array:
    """How deep pieces stand in each other by their faces, and square to that way, (2, n) mm.

    However far one slides along the way that they do so least, they stand no deeper than square to
    it; infinite where no face lies so.
    """
    return by_size(pairs, lambda own, _: _depths_across(Forms(own)))


class Forms:
    """Corners, faces, edges and rises of both sides of some pairs, (3, w, n)."""

    def __init__(self, pairs: PiecePairs) -> None:
        self._outer, self.outer_faces, self.outer_edges, self._outer_rises = pairs.firsts.padded(
            pairs.a
        )
        self._inner, self.inner_faces, self.inner_edges, self._inner_rises = pairs.seconds.padded(
            pairs.b
        )

    def outer_reaches(self, directions: Array) -> tuple[Array, Array]:
        """The most and the least of the outer ones along directions (3, d, n); (d, n) each."""
        return reaches(self._outer, directions, self._outer_rises)

    def inner_reaches(self, directions: Array) -> tuple[Array, Array]:
        """The same of the inner ones."""
        return reaches(self._inner, directions, self._inner_rises)


def _depths_across(forms: Forms) -> Array:
    normals = np.concatenate([forms.outer_faces, forms.inner_faces], axis=1)
    far, near = forms.outer_reaches(normals)
    ahead, back = forms.inner_reaches(normals)
    deep = np.minimum(far - back, ahead - near)
    least = np.take_along_axis(normals, deep.argmin(axis=0)[None, None], axis=1)
    square = np.abs((normals * least).sum(axis=0)) < SQUARE
    return np.stack([deep.min(axis=0), np.where(square, deep, np.inf).min(axis=0)])


def _depths(forms: Forms) -> Array:
    """How deep along faces and across edges, those that run alike left out."""
    across, parallel = directions_across(forms.outer_edges, forms.inner_edges)
    normals = np.concatenate([forms.outer_faces, forms.inner_faces, across], axis=1)
    far, near = forms.outer_reaches(normals)
    ahead, back = forms.inner_reaches(normals)
    beyond, before = far - back, ahead - near
    first = forms.outer_faces.shape[1]
    last = first + forms.inner_faces.shape[1]
    room = np.minimum(beyond[last:], before[last:])
    room[parallel] = np.inf
    faces = np.minimum(beyond[:first].min(axis=0), before[first:last].min(axis=0))
    found: Array = np.minimum(room.min(axis=0, initial=np.inf), faces)
    return found
