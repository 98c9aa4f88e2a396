"""Convex polygons, many at a time, are cut by half planes; a crease's strip is such a cut."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fitcheck.folding.pose import Array, Flags, Rows

TINY_MM = 1e-12


class Polygons(NamedTuple):
    """Convex polygons as one array."""

    points: Array
    """(m, n, 2); those behind a polygon's own count mean nothing."""
    counts: Rows
    """(m,) corners of each; 0 where nothing is left."""

    @property
    def valid(self) -> Flags:
        """(m, n) which points are corners."""
        found: Flags = np.arange(self.points.shape[1]) < self.counts[:, None]
        return found

    def following(self, values: Array) -> Array:
        """What each corner's next one has of values (m, n, ...)."""
        found = np.concatenate([values[:, 1:], values[:, :1]], axis=1)
        if values.shape[1]:
            found[np.arange(len(values)), self.counts - 1] = values[:, 0]
        return found

    @property
    def next_points(self) -> Array:
        """(m, n, 2) each corner's next one."""
        return self.following(self.points)


def clip_all(polygons: Polygons, normals: Array, limits: Array) -> Polygons:
    """The part of each polygon where its normal (m, 2) . point <= its limit (m,)."""
    points, valid = polygons.points, polygons.valid
    depth = np.einsum("mni,mi->mn", points, normals) - limits[:, None]
    if not (valid & (depth > TINY_MM)).any():
        return polygons
    there = polygons.following(depth)
    keep = valid & (depth <= TINY_MM)
    cross = ((depth < -TINY_MM) & (there > TINY_MM)) | ((depth > TINY_MM) & (there < -TINY_MM))
    cross &= valid
    with np.errstate(invalid="ignore", over="ignore"):  # behind the counts there may be anything
        share = np.where(cross, depth / np.where(cross, depth - there, 1.0), 0.0)
    met = points + (polygons.next_points - points) * share[..., None]
    flags = np.stack([keep, cross], axis=2).reshape(len(points), -1)
    spots = np.stack([points, met], axis=2).reshape(len(points), -1, 2)
    counts = flags.sum(axis=1)
    rows, places = np.nonzero(flags)
    left = np.zeros((len(points), int(counts.max(initial=0)), 2))
    left[rows, np.arange(len(rows)) - (np.cumsum(counts) - counts)[rows]] = spots[rows, places]
    counts[counts <= 2] = 0
    return Polygons(left, counts)


def spans_at(polygons: Polygons, levels: Array) -> tuple[Array, Array]:
    """The range of the second coordinate where the first is at levels (m, k): from, to, (m, k).

    Both are nan where a level passes a polygon by.
    """
    a, b = polygons.points[:, None], polygons.next_points[:, None]
    low, high = np.minimum(a[..., 0], b[..., 0]), np.maximum(a[..., 0], b[..., 0])
    at = levels[..., None]
    hit = (low - TINY_MM <= at) & (at <= high + TINY_MM) & polygons.valid[:, None]
    flat = high - low < TINY_MM
    share = np.where(hit, at - a[..., 0], 0.0) / np.where(flat, 1.0, b[..., 0] - a[..., 0])
    met = a[..., 1] + (b[..., 1] - a[..., 1]) * share
    least = np.where(flat, np.minimum(a[..., 1], b[..., 1]), met)
    most = np.where(flat, np.maximum(a[..., 1], b[..., 1]), met)
    found = np.where(hit, least, np.inf).min(axis=2), np.where(hit, most, -np.inf).max(axis=2)
    beside = ~hit.any(axis=2)
    for one in found:
        one[beside] = np.nan
    return found


def clip(outline: Array, normal: Array, limit: float) -> Array:
    """The part of one convex polygon (n, 2) where normal . point <= limit; (0, 2) if none is."""
    one = Polygons(outline[None], np.array([len(outline)]))
    found = clip_all(one, normal[None], np.array([limit]))
    return found.points[0, : found.counts[0]]


def are_convex(polygons: Polygons) -> Flags:
    """(m,) true for a counter-clockwise polygon with no corner turned inwards."""
    edges = polygons.next_points - polygons.points
    following = polygons.following(edges)
    turns = edges[..., 0] * following[..., 1] - edges[..., 1] * following[..., 0]
    found: Flags = np.all((turns >= -1e-9) | ~polygons.valid, axis=1)
    return found
