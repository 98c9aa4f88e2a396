"""Where a part stands free of another over a whole path, nearest to where it is.

Seen along the path, each pair of pieces forbids a convex polygon of displacements across it: what
of their difference body the path sweeps through the level at which the part starts. Free is the
plane without all of them, so the nearest free place is found exactly, in whatever opening it lies.
Where there is none near, the polygons are made smaller all round until there is one: by that much
the parts stand in each other at the least.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from fitcheck.fit.broad_phase import MEETING
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.pairs import Block, Pairs
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array

if TYPE_CHECKING:
    import shapely

SETTLED_MM = 1e-7
"""The least overlap is known to this."""
MANY_POINTS = 1024
"""Of more points than this the hull is taken before they are cut."""


class Openings:
    """What a box's parts leave free across the path round the place at which they stand."""

    def __init__(self, pairs: Pairs, box: int, at: Array, near_mm: float) -> None:
        """The place (3,) in the frame of the path, and how far round it along both directions."""
        import shapely

        ats = np.broadcast_to(at, (pairs.boxes, 3))
        near, _ = pairs.broad.meeting(ats, MEETING + np.array([near_mm, near_mm, 0.0]))
        near = near.take(np.flatnonzero(near.whose == box))
        self._pairs, self._shadows = _shadows(near, pairs.path, float(at[2]))
        self._start = shapely.Point(at[:2])
        reach = max(near_mm, TOUCH_MM)
        self._room = shapely.box(*(at[:2] - reach), *(at[:2] + reach))

    def nearest(self) -> Array | None:
        """A place (2,) in the opening that is nearest, None where there is none.

        It stands off the opening's edges by half of what its widest place allows.
        """
        # what only touches is free, and an opening that is just filled is one
        free = self._free(TOUCH_MM)
        return None if free.is_empty else self._nearest_of(free)

    def least_overlap(self) -> tuple[Array, Block]:
        """The place (2,) at which parts stand in each other least where there is no opening.

        And what pair does so there, by how much.
        """
        import shapely

        low = TOUCH_MM
        high = max(shapely.maximum_inscribed_circle(one).length for one in self._shadows)
        while high - low > SETTLED_MM:
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self._free(middle).is_empty else (low, middle)
        place = self._nearest_of(self._free(high))
        here = shapely.Point(place)
        edges = shapely.distance(shapely.boundary(self._shadows), here)
        deep = np.where(shapely.contains(self._shadows, here), edges, 0.0)
        row = np.flatnonzero(deep >= deep.max() - 2.0 * SETTLED_MM)[:1]
        (outer,), (inner,) = self._pairs.first_pieces(row), self._pairs.second_pieces(row)
        return place, Block((outer.name, inner.name), high)

    def _free(self, smaller_mm: float) -> shapely.Geometry:
        """What is left when all that is forbidden is made smaller all round."""
        import shapely

        forbidden = shapely.buffer(self._shadows, -smaller_mm, join_style="mitre")
        return shapely.difference(self._room, shapely.union_all(forbidden))

    def _nearest_of(self, free: shapely.Geometry) -> Array:
        import shapely

        every = shapely.get_parts(free)
        opening = every[int(np.argmin(shapely.distance(every, self._start)))]
        room_mm = shapely.maximum_inscribed_circle(opening).length
        inside = shapely.buffer(opening, -0.5 * room_mm, join_style="mitre")
        line = shapely.shortest_line(opening if inside.is_empty else inside, self._start)
        found: Array = shapely.get_coordinates(line)[0]
        return found


def _shadows(pairs: PiecePairs, path: Array, level_mm: float) -> tuple[PiecePairs, Array]:
    """Pairs that meet on their path, and at what displacements at a level along it: polygons (n,).

    Pairs that can only touch are left out.
    """
    import shapely

    every = np.arange(len(pairs))
    points = [
        _swept(outer, inner, level_mm - max(0.0, path[2]), level_mm - min(0.0, path[2]))
        for outer, inner in zip(pairs.first_pieces(every), pairs.second_pieces(every), strict=True)
    ]
    found = np.array(shapely.convex_hull([shapely.MultiPoint(one) for one in points]), dtype=object)
    rows = np.flatnonzero(shapely.area(found) > 0.0)
    return pairs.take(rows), found[rows]


def _swept(outer: ConvexPiece, inner: ConvexPiece, low: float, high: float) -> Array:
    """Points (n, 2) whose hull is what of a difference body lies between two levels along z.

    Where two of its points lie on different sides of a level, the line between them is inside
    the body, so all such crossings span the cut.
    """
    body = (outer.vertices[:, None] - inner.vertices[None]).reshape(-1, 3)
    if len(body) > MANY_POINTS:
        from scipy.spatial import ConvexHull

        body = body[ConvexHull(body).vertices]
    height = body[:, 2]
    points = [body[(height >= low) & (height <= high), :2]]
    for level in (low, high):
        a, b = body[height < level], body[height > level]
        share = (level - a[:, None, 2]) / (b[None, :, 2] - a[:, None, 2])
        cut = a[:, None, :2] + share[..., None] * (b[None, :, :2] - a[:, None, :2])
        points.append(cut.reshape(-1, 2))
    return np.concatenate(points)
