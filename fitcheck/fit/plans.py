"""Plans of convex pieces: what they have above a height, seen from above, and outlines in order."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array
from fitcheck.polygons import convex_hull

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
    corners = convex_hull(np.vstack(points), THIN_MM2)
    return corners if len(corners) > 2 else None
