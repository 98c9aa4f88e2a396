"""Convex polygons are cut by half planes; the strip that a crease bends is such a cut."""

from __future__ import annotations

import numpy as np

from fitcheck.folding.pose import Array

TINY_MM = 1e-12


def clip(outline: Array, normal: Array, limit: float) -> Array:
    """The part of a convex polygon (n, 2) where normal . point <= limit; (0, 2) when none is."""
    if len(outline) == 0:
        return outline
    depth = (outline @ normal - limit).tolist()
    if max(depth) <= TINY_MM:
        return outline
    points = outline.tolist()
    kept: list[tuple[float, float]] = []
    for i, (x, y) in enumerate(points):
        following = (i + 1) % len(points)
        here, there = depth[i], depth[following]
        if here <= TINY_MM:
            kept.append((x, y))
        if (here < -TINY_MM and there > TINY_MM) or (here > TINY_MM and there < -TINY_MM):
            share = here / (here - there)
            to_x, to_y = points[following]
            kept.append((x + (to_x - x) * share, y + (to_y - y) * share))
    return np.array(kept) if len(kept) > 2 else np.empty((0, 2))


def span_at(outline: Array, level: float) -> tuple[float, float] | None:
    """The range of the second coordinate where the first is `level`; None beside the polygon."""
    found: list[float] = []
    points = outline.tolist()
    for a, b in zip(points, points[1:] + points[:1], strict=True):
        low, high = min(a[0], b[0]), max(a[0], b[0])
        if low - TINY_MM <= level <= high + TINY_MM:
            if high - low < TINY_MM:
                found += [a[1], b[1]]
            else:
                found.append(a[1] + (b[1] - a[1]) * (level - a[0]) / (b[0] - a[0]))
    return (min(found), max(found)) if found else None


def is_convex(outline: Array) -> bool:
    """True for a counter-clockwise polygon (n, 2) with no corner turned inwards."""
    edges = np.roll(outline, -1, axis=0) - outline
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    return bool(np.all(turns >= -1e-9))
