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
MOST_PLANES = 12
"""So many faces of a body are tried as planes that part it from another."""
MOST_AT_ONCE = 50_000
GRID_DIGITS = 9
"""Corners that are one differ by less; where they differ at all, clipping may lose a whole face."""
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
    hull = shapely.convex_hull(shapely.multipoints(np.round(corners @ axes[:2].T, GRID_DIGITS)))
    if shapely.area(hull) < LEAST_MM2:
        return None
    ring = shapely.get_exterior_ring(hull)
    outline = shapely.get_coordinates(ring)[:-1]
    return Flat(outline if shapely.is_ccw(ring) else outline[::-1], slope, body)


def seen_faces(faces: Sequence[Flat]) -> list[shapely.Geometry]:
    """What is seen of each face: polygons with holes, empty where it is hidden."""
    shapes = shapely.polygons([shapely.linearrings(face.outline) for face in faces])
    body = np.array([face.body for face in faces])
    bodies = {int(number): _body(faces, body == number) for number in np.unique(body)}
    parted: dict[tuple[int, int], bool] = {}
    # bodies that a plane parts hide each other whole, the one on the eye's side the other
    outlines = {n: shapely.union_all(shapes[body == n]) for n in bodies}
    numbers = list(bodies)
    tree = shapely.STRtree([outlines[n] for n in numbers])
    for far, near in zip(*tree.query([outlines[n] for n in numbers]), strict=True):
        if far != near:
            pair = numbers[far], numbers[near]
            parted[pair] = _in_front(bodies[pair[1]], bodies[pair[0]])
    seen = shapes.copy()
    for n in numbers:
        # bodies in one plane are both before and behind: their faces are compared below
        before = [outlines[m] for m in numbers if parted.get((n, m)) and not parted[m, n]]
        if before:
            hidden = shapely.union_all(before)
            shapely.prepare(hidden)
            seen[body == n] = shapely.difference(seen[body == n], hidden)
    # what these hide altogether hides nothing that they do not hide as well
    left = ~shapely.is_empty(seen)
    unclear = {pair for pair, clear in parted.items() if clear == parted[pair[::-1]]}
    seen = _without(seen, shapes, faces, left, unclear)
    # a grid takes away the spikes of no width that rounding leaves where edges run together
    cut = shapely.area(seen) < shapely.area(shapes) - LEAST_MM2
    bent = cut & ~shapely.is_valid(seen)
    seen[bent] = shapely.make_valid(seen[bent])
    seen[cut] = shapely.set_precision(seen[cut], OWN_MM)
    return list(seen)


@dataclass(frozen=True, eq=False)
class _Body:
    """The side of a body that looks towards the eye."""

    points: Array
    """(n, 3): right, up, towards the eye, mm."""
    normals: Array
    """(m, 3) of its faces, towards the eye."""


def _body(faces: Sequence[Flat], own: Array) -> _Body:
    mine = [face for face, chosen in zip(faces, own, strict=True) if chosen]
    points = [np.column_stack([face.outline, face.nearness(face.outline)]) for face in mine]
    normals = np.array([[-face.slope[0], -face.slope[1], 1.0] for face in mine])
    return _Body(np.vstack(points), normals / np.linalg.norm(normals, axis=1)[:, None])


def _in_front(near: _Body, far: _Body) -> bool:
    """Whether a plane that looks towards the eye has one body wholly before it, the other behind.

    Tried are the planes of their faces and the one square to the line between their middles.
    """
    between = near.points.mean(axis=0) - far.points.mean(axis=0)
    tried = [far.normals[:MOST_PLANES], near.normals[:MOST_PLANES]]
    if between[2] > GRAZING:
        tried.append(between[None, :] / np.linalg.norm(between))
    planes = np.vstack(tried)
    lowest = (near.points @ planes.T).min(axis=0)
    highest = (far.points @ planes.T).max(axis=0)
    return bool(np.any(lowest >= highest - SAME_MM))


def _without(
    seen: Array, shapes: Array, faces: Sequence[Flat], left: Array, unclear: set[tuple[int, int]]
) -> Array:
    """What is left of faces when, between bodies that no plane parts, nearer ones are taken out."""
    there = np.flatnonzero(left)
    here, other = shapely.STRtree(shapes[there]).query(shapes[there])
    here, other = there[here], there[other]
    near = np.array([_reach(face) for face in faces])
    pairs = zip(here, other, strict=True)
    asked = np.array([(faces[i].body, faces[j].body) in unclear for i, j in pairs], dtype=bool)
    may = asked & (near[other, 1] > near[here, 0] - SAME_MM)
    here, other = here[may], other[may]
    shared = shapely.intersection(shapes[here], shapes[other])
    some = shapely.area(shared) > LEAST_MM2
    hiders: dict[int, list[shapely.Geometry]] = {}
    for i, j, area in zip(here[some], other[some], shared[some], strict=True):
        hider = _nearer_part(faces, int(i), int(j), area)
        if hider is not None:
            hiders.setdefault(int(i), []).append(hider)
    rest = seen.copy()
    for i, hidden in hiders.items():
        rest[i] = shapely.difference(seen[i], shapely.union_all(hidden))
    return rest


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

    ``faces`` are those of which something is seen: where a line is hidden, one of them hides it.

    Of a line that is hidden in part, rests shorter than ``least_mm`` are left out.
    """
    a, b = starts @ axes.T, stops @ axes.T
    lines = shapely.linestrings(np.stack([a[:, :2], b[:, :2]], axis=1))
    shapes = shapely.polygons([shapely.linearrings(face.outline) for face in faces])
    number, hider = shapely.STRtree(shapes).query(lines)
    most = max(len(face.outline) for face in faces)
    corners = np.array([_padded(face.outline, most) for face in faces])
    slopes = np.array([face.slope for face in faces])
    hidden: dict[int, list[tuple[float, float]]] = {}
    # so many at a time that their arrays stay small
    for at in range(0, len(number), MOST_AT_ONCE):
        some = slice(at, at + MOST_AT_ONCE)
        low, high = _stretches(a, b, corners, slopes, number[some], hider[some])
        for line, start, stop in zip(number[some], low, high, strict=True):
            if stop > start:
                hidden.setdefault(int(line), []).append((float(start), float(stop)))
    pieces = []
    for n in range(len(a)):
        step = b[n, :2] - a[n, :2]
        least = least_mm / max(float(np.hypot(*step)), OWN_MM)
        for start, stop in _rests(hidden.get(n, [])):
            if stop - start >= min(least, 1.0):
                pieces.append(np.array([a[n, :2] + start * step, a[n, :2] + stop * step]))
    return pieces


def _stretches(
    a: Array, b: Array, corners: Array, slopes: Array, number: Array, hider: Array
) -> tuple[Array, Array]:
    """From where to where, 0 to 1, each line of `number` runs behind its face of `hider`."""
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
    return _positive(np.column_stack([within[0], ahead[0]]), np.column_stack([within[1], ahead[1]]))


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
