"""The convex outline of points; one with very many corners gets fewer and never gets smaller."""

import heapq
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

MOST_CORNERS = 72
"""A scan's outline has thousands, and the odds of six pieces take 20 s with 120 each. What is left
round a disc of 100 mm stands out by 0.11 mm at its worst corner (an even ring would by 0.05)."""

Plan = tuple[tuple[float, float], ...]
"""Corners counter-clockwise, mm."""


def convex_outline(flat: "np.ndarray") -> Plan:
    """The outline of points (n, 2) about the middle of their extents; its extents are theirs.

    Where it has more than ``MOST_CORNERS``, edges are left out and their neighbours extended, those
    first where that reaches least beyond it: the outline that remains holds the true one.
    """
    from scipy.spatial import ConvexHull

    middle = flat - 0.5 * (flat.min(axis=0) + flat.max(axis=0))
    corners = middle[ConvexHull(middle).vertices]
    if len(corners) > MOST_CORNERS:
        corners = _within(_Ring(corners).thinned(), corners.min(axis=0), corners.max(axis=0))
    return tuple((float(x), float(y)) for x, y in corners)


class _Ring:
    """The edges of a convex polygon, each a line that its neighbours cut off."""

    def __init__(self, corners: "np.ndarray") -> None:
        count = len(corners)
        self._starts: list[complex] = [complex(x, y) for x, y in corners.tolist()]
        following = self._starts[1:] + self._starts[:1]
        self._along = [end - start for start, end in zip(self._starts, following, strict=True)]
        self._before = [(edge - 1) % count for edge in range(count)]
        self._after = [(edge + 1) % count for edge in range(count)]

    def thinned(self) -> list[complex]:
        """The corners of the ring of ``MOST_CORNERS`` edges that is left."""
        reach = {edge: self._reach(edge) for edge in range(len(self._starts))}
        queue = [(far, edge) for edge, far in reach.items()]
        heapq.heapify(queue)
        while len(reach) > MOST_CORNERS:
            far, edge = heapq.heappop(queue)
            if reach.get(edge) != far:
                continue
            del reach[edge]
            before, after = self._before[edge], self._after[edge]
            self._after[before], self._before[after] = after, before
            for other in (before, after):
                reach[other] = self._reach(other)
                heapq.heappush(queue, (reach[other], other))
        return [self._crossing(self._before[edge], edge) or self._starts[edge] for edge in reach]

    def _reach(self, edge: int) -> float:
        """How far its neighbours' crossing lies beyond an edge, mm; infinite where they part."""
        crossing = self._crossing(self._before[edge], self._after[edge])
        if crossing is None:
            return float("inf")
        along = self._along[edge]
        return abs(_cross(along, crossing - self._starts[edge])) / abs(along)

    def _crossing(self, first: int, second: int) -> complex | None:
        """Where the lines of two edges cross; None where they turn by half a circle or nothing."""
        one, other = self._along[first], self._along[second]
        turn = _cross(one, other)
        if turn <= 1e-12 * abs(one) * abs(other):
            return None
        step = _cross(self._starts[second] - self._starts[first], other) / turn
        return self._starts[first] + step * one


def _cross(one: complex, other: complex) -> float:
    return (one.conjugate() * other).imag


def _within(corners: list[complex], low: "np.ndarray", high: "np.ndarray") -> "np.ndarray":
    """A convex polygon cut off at a rectangle."""
    import numpy as np
    import shapely

    polygon = shapely.Polygon([(corner.real, corner.imag) for corner in corners])
    inside = shapely.intersection(polygon, shapely.box(*low, *high))
    ring = shapely.get_coordinates(shapely.geometry.polygon.orient(inside).exterior)
    return np.asarray(ring[:-1], dtype=float)
