"""Polygons in the plane, given as their corners in order."""

import numpy as np
from numpy.typing import ArrayLike


def polygon_area(corners: ArrayLike) -> float:
    """Signed area of a polygon, corners (n, 2); positive when they run counter-clockwise.

    >>> polygon_area([(0, 0), (2, 0), (2, 1), (0, 1)])
    2.0
    """
    x, y = np.asarray(corners, dtype=float).T
    return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
