"""Plans of convex pieces: what they have above a height, seen from above, and outlines in order."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array

THIN_MM2 = 1e-12
"""Corners that turn by less area than this lie on a straight edge."""


def from_lowest(outline: Array) -> Array:
    """A counter-clockwise outline that begins with its lowest corner, the left one of two."""
    first = np.lexsort((outline[:, 0], outline[:, 1]))[0]
    return np.roll(outline, -int(first), axis=0)


@lru_cache(maxsize=4096)
def plan_above(piece: ConvexPiece, height_mm: float) -> Array | None:
    """The plan of what a piece has above a height, (n, 2) mm, counter-clockwise; None when it has
    nothing there."""
    z = piece.vertices[:, 2]
    over = z > height_mm + TOUCH_MM
    if not over.any():
        return None
    points = [piece.vertices[over, :2]]
    if not over.all():
        a, b = piece.vertices[over][:, None], piece.vertices[~over][None]
        share = (a[..., 2] - height_mm) / (a[..., 2] - b[..., 2])
        cut = a + np.minimum(1.0, share)[..., None] * (b - a)
        points.append(cut.reshape(-1, 3)[:, :2])
    corners = _hull(np.vstack(points))
    return corners if len(corners) > 2 else None


def _hull(points: Array) -> Array:
    """Corners of the convex hull of points (n, 2), counter-clockwise (Andrew's monotone chain)."""
    order = sorted({(float(x), float(y)) for x, y in points})
    if len(order) < 3:
        return np.array(order)
    chains = []
    for run in (order, order[::-1]):
        chain: list[tuple[float, float]] = []
        for x, y in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], (x, y)) <= THIN_MM2:
                chain.pop()
            chain.append((x, y))
        chains.append(chain[:-1])
    return np.array(chains[0] + chains[1])


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
