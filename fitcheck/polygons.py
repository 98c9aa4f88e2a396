"""Polygons in the plane, given as their corners in order."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray


def polygon_area(corners: ArrayLike) -> float:
    """Signed area of a polygon, corners (n, 2); positive when they run counter-clockwise.

    >>> polygon_area([(0, 0), (2, 0), (2, 1), (0, 1)])
    2.0
    """
    x, y = np.asarray(corners, dtype=float).T
    return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def convex_hull(points: Iterable[tuple[float, float]], thin: float = 0.0) -> NDArray[np.float64]:
    """Corners of the convex hull of points, (n, 2), counter-clockwise (Andrew's monotone chain).

    A corner whose triangle with its neighbours has twice an area of no more than `thin` is none. A
    check loads no library of hulls for the few it needs.

    >>> convex_hull([(0, 0), (1, 0), (2, 0), (1, 1), (2, 2)]).tolist()
    [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0]]
    """
    order = sorted({(float(x), float(y)) for x, y in points})
    if len(order) < 3:
        return np.array(order)
    chains = []
    for run in (order, order[::-1]):
        chain: list[tuple[float, float]] = []
        for c in run:
            while len(chain) > 1:
                a, b = chain[-2:]
                if (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > thin:
                    break
                chain.pop()
            chain.append(c)
        chains.append(chain[:-1])
    return np.array(chains[0] + chains[1])
