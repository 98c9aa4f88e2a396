"""Where a part stands free of another over a whole path, nearest to where it is.

Seen along the path, each pair of pieces forbids a convex polygon of displacements across it: what
of their difference body the path sweeps through the level at which the part starts. Free is the
plane without all of them, so the nearest free place is found exactly, in whatever opening it lies.
Where there is none near, the polygons are made smaller all round until there is one: by that much
the parts stand in each other at the least.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.fit.broad_phase import MEETING
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.pairs import Block, Pairs
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array

SETTLED_MM = 1e-7
"""The least overlap is known to this."""
MANY_POINTS = 1024
"""Of more points than this the hull is taken before they are cut."""


@dataclass(frozen=True, eq=False)
class Place:
    """A place of the inner part across the path."""

    place: Array
    """(2,) displacement along the first and the second direction."""
    block: Block | None
    """The pair that is deepest in each other there; None where it stands free."""


def nearest_place(pairs: Pairs, box: int, at: Array, near_mm: float) -> Place:
    """A free place of a box's inner part in the opening nearest to `at` (3,) across the path.

    It stands off the opening's edges by half of what its widest place allows. Openings are looked
    for up to `near_mm` away along both directions; where there is none, the place is given at
    which the parts stand in each other least, and what does so.
    """
    import shapely

    ats = np.broadcast_to(at, (pairs.boxes, 3))
    beside = MEETING + np.array([near_mm, near_mm, 0.0])
    near, _ = pairs.broad.meeting(ats, beside)
    near = near.take(np.flatnonzero(near.whose == box))
    near, shadows = _shadows(near, pairs.path, float(at[2]))
    start = shapely.Point(at[:2])
    room = shapely.box(*(at[:2] - max(near_mm, TOUCH_MM)), *(at[:2] + max(near_mm, TOUCH_MM)))

    def free(smaller_mm: float) -> shapely.Geometry:
        kept = shapely.buffer(shadows, -smaller_mm, join_style="mitre")
        return shapely.difference(room, shapely.union_all(kept))

    def nearest(openings: shapely.Geometry) -> Array:
        every = shapely.get_parts(openings)
        opening = every[int(np.argmin(shapely.distance(every, start)))]
        room_mm = shapely.maximum_inscribed_circle(opening).length
        inside = shapely.buffer(opening, -0.5 * room_mm, join_style="mitre")
        line = shapely.shortest_line(opening if inside.is_empty else inside, start)
        found: Array = shapely.get_coordinates(line)[0]
        return found

    # what only touches is free, and an opening that is just filled is one
    openings = free(TOUCH_MM)
    if not openings.is_empty:
        return Place(nearest(openings), None)
    low, high = TOUCH_MM, max(shapely.maximum_inscribed_circle(one).length for one in shadows)
    while high - low > SETTLED_MM:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if free(middle).is_empty else (low, middle)
    place = nearest(free(high + SETTLED_MM))
    here = shapely.Point(place)
    deep = np.where(
        shapely.contains(shadows, here), shapely.distance(shapely.boundary(shadows), here), 0.0
    )
    row = int(np.argmax(deep >= deep.max() - 2.0 * SETTLED_MM))
    (outer,), (inner,) = near.first_pieces(np.array([row])), near.second_pieces(np.array([row]))
    return Place(place, Block((outer.name, inner.name), high))


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
