"""What of each face and line is seen: nearer faces are cut out of those that they hide.

Painting whole faces one over another has no right order where three hide each other in a ring, or
where paper passes through paper in the rigid model (a glued wall's foot, a lapped frame); so every
face is cut to what the eye sees of it, pair by pair, by comparing depths exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fitcheck.folding.clip import clip
from fitcheck.folding.pose import Array

GRAZING = 1e-6
"""A face that is turned away so nearly edge-on is not seen."""
LEAST_MM2 = 1e-9
SAME_MM = 1e-6
"""Faces no further apart along the line of sight are one over the other."""
LARGE_SHARE = 0.1
"""Share of the faces that are tried first as hiding the others."""
OWN_MM = 1e-3
"""A line is hidden only by what lies so much nearer: the faces that it bounds do not hide it."""


@dataclass(frozen=True, eq=False)
class Flat:
    """A convex face in the picture: its outline there, and how near each of its points is."""

    outline: Array
    """(n, 2) mm, counter-clockwise."""
    slope: Array
    """(3,): the nearness at (x, y) is slope @ (x, y, 1), mm towards the eye."""
    body: int
    """Faces of one convex body never hide each other."""

    def nearness(self, points: Array) -> Array:
        """Of points (n, 2) of the face's plane, (n,) mm."""
        near: Array = points @ self.slope[:2] + self.slope[2]
        return near


def flat_face(corners: Array, normal: Array, axes: Array, body: int) -> Flat | None:
    """A face (n, 3) as seen along axes (rows: right, up, towards the eye); None when edge-on.

    A twisted face counts as its hull in the picture.
    """
    facing = axes @ normal
    if facing[2] <= GRAZING:
        return None
    along = float(corners.mean(axis=0) @ normal)
    slope = np.array([-facing[0], -facing[1], along]) / facing[2]
    hull = shapely.convex_hull(shapely.multipoints(corners @ axes[:2].T))
    if shapely.area(hull) < LEAST_MM2:
        return None
    ring = shapely.get_exterior_ring(hull)
    outline = shapely.get_coordinates(ring)[:-1]
    return Flat(outline if shapely.is_ccw(ring) else outline[::-1], slope, body)


def seen_faces(faces: Sequence[Flat]) -> list[shapely.Geometry]:
    """What is seen of each face: polygons with holes, empty where it is hidden."""
    shapes = shapely.polygons([shapely.linearrings(face.outline) for face in faces])
    areas = shapely.area(shapes)
    large = areas >= np.quantile(areas, 1.0 - LARGE_SHARE)
    # what the large ones hide altogether hides nothing that they do not hide as well
    seen = _without(shapes, shapes, faces, np.ones(len(faces), dtype=bool), large)
    left = ~shapely.is_empty(seen)
    seen = _without(seen, shapes, faces, left, left & ~large)
    # a grid takes away the spikes of no width that rounding leaves where edges run together
    cut = shapely.area(seen) < areas - LEAST_MM2
    seen[cut] = shapely.set_precision(seen[cut], OWN_MM)
    return list(seen)


def _without(
    seen: Array, shapes: Array, faces: Sequence[Flat], asked: Array, hiding: Array
) -> Array:
    """What is left of the faces asked when the hiding ones are taken out where they are nearer."""
    behind, before = np.flatnonzero(asked), np.flatnonzero(hiding)
    here, other = shapely.STRtree(shapes[before]).query(shapes[behind])
    here, other = behind[here], before[other]
    body = np.array([face.body for face in faces])
    near = np.array([_reach(face) for face in faces])
    may = (body[here] != body[other]) & (near[other, 1] > near[here, 0] - SAME_MM)
    here, other = here[may], other[may]
    shared = shapely.intersection(shapes[here], shapes[other])
    some = shapely.area(shared) > LEAST_MM2
    hiders: dict[int, list[shapely.Geometry]] = {}
    for i, j, area in zip(here[some], other[some], shared[some], strict=True):
        hider = _nearer_part(faces, int(i), int(j), area)
        if hider is not None:
            hiders.setdefault(int(i), []).append(hider)
    left = seen.copy()
    for i, hidden in hiders.items():
        left[i] = shapely.difference(seen[i], shapely.union_all(hidden))
    return left


def _reach(face: Flat) -> tuple[float, float]:
    near = face.nearness(face.outline)
    return float(near.min()), float(near.max())


def _nearer_part(
    faces: Sequence[Flat], i: int, j: int, area: shapely.Geometry
) -> shapely.Geometry | None:
    """Where face j lies in front of face i within the convex area that they share."""
    outline = shapely.get_coordinates(area)[:-1]
    ahead = faces[j].slope - faces[i].slope
    gaps = outline @ ahead[:2] + ahead[2]
    if np.abs(gaps).max() <= SAME_MM:
        return area if j > i else None
    if gaps.max() <= SAME_MM:
        return None
    if gaps.min() >= -SAME_MM:
        return area
    size = float(np.hypot(*ahead[:2]))
    part = clip(outline, -ahead[:2] / size, float(ahead[2]) / size)
    return shapely.Polygon(part) if len(part) > 2 else None


def seen_lines(
    starts: Array, stops: Array, axes: Array, faces: Sequence[Flat], least_mm: float
) -> list[Array]:
    """What is seen of lines from starts (n, 3) to stops (n, 3): (2, 2) pieces in the picture.

    Of a line that is hidden in part, rests shorter than ``least_mm`` are left out.
    """
    a, b = starts @ axes.T, stops @ axes.T
    lines = shapely.linestrings(np.stack([a[:, :2], b[:, :2]], axis=1))
    shapes = shapely.polygons([shapely.linearrings(face.outline) for face in faces])
    number, hider = shapely.STRtree(shapes).query(lines)
    most = max(len(face.outline) for face in faces)
    corners = np.array([_padded(face.outline, most) for face in faces])
    slopes = np.array([face.slope for face in faces])
    along = np.roll(corners, -1, axis=1) - corners
    inward = np.stack([-along[..., 1], along[..., 0]], axis=-1)
    length = np.linalg.norm(inward, axis=-1)
    inward /= np.where(length > 0.0, length, 1.0)[..., None]
    within = [
        np.einsum("pkc,pkc->pk", inward[hider], end[number, None, :2] - corners[hider])
        + np.where(length[hider] > 0.0, 0.0, 1.0)
        - OWN_MM
        for end in (a, b)
    ]
    ahead = [
        np.einsum("pc,pc->p", slopes[hider][:, :2], end[number, :2])
        + slopes[hider][:, 2]
        - end[number, 2]
        - OWN_MM
        for end in (a, b)
    ]
    low, high = _positive(
        np.column_stack([within[0], ahead[0]]), np.column_stack([within[1], ahead[1]])
    )
    pieces = []
    hidden: dict[int, list[tuple[float, float]]] = {}
    for line, start, stop in zip(number, low, high, strict=True):
        if stop > start:
            hidden.setdefault(int(line), []).append((float(start), float(stop)))
    for n in range(len(a)):
        step = b[n, :2] - a[n, :2]
        least = least_mm / max(float(np.hypot(*step)), OWN_MM)
        for start, stop in _rests(hidden.get(n, [])):
            if stop - start >= min(least, 1.0):
                pieces.append(np.array([a[n, :2] + start * step, a[n, :2] + stop * step]))
    return pieces


def _padded(outline: Array, count: int) -> Array:
    """An outline with its last corner repeated until it has so many."""
    return np.vstack([outline, np.repeat(outline[-1:], count - len(outline), axis=0)])


def _positive(first: Array, last: Array) -> tuple[Array, Array]:
    """Where values that go linearly from first (p, k) to last are all positive, as 0 to 1."""
    rise = last - first
    with np.errstate(divide="ignore", invalid="ignore"):
        root = -first / rise
    low = np.where(rise > 0.0, root, np.where((rise == 0.0) & (first <= 0.0), 2.0, 0.0))
    high = np.where(rise < 0.0, root, 1.0)
    return np.clip(low.max(axis=1), 0.0, 2.0), np.clip(high.min(axis=1), -1.0, 1.0)


def _rests(hidden: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """What stretches leave of 0..1."""
    rests, at = [], 0.0
    for start, stop in sorted(hidden):
        if start > at:
            rests.append((at, start))
        at = max(at, stop)
    if at < 1.0:
        rests.append((at, 1.0))
    return rests
