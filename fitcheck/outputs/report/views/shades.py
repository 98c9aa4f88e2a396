"""Soft shade as graded bands: round what stands on the table, and where paper meets paper inside.

Each band is a polygon of a thin even grey laid over the last, narrower and narrower, so that a
printer and every reader of SVG show it alike; no filter is needed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from fitcheck.folding.clip import clip
from fitcheck.folding.pose import Array
from fitcheck.outputs.report.views.light import LIGHT
from fitcheck.outputs.report.views.solids import Face, Solid

BANDS = 9
GROUND = 0.034
"""How much darker each band makes the table."""
AWAY = 0.30
"""By how much of its width a band on the table is moved away from the lamp."""
LOW_MM = 1.0
"""What is no higher above the table stands on it."""
INNER_BANDS = 6
INNER = 0.027
"""The same within a box, for the bands along a fold or a corner."""
DEEPEST_MM = 9.0
NEAR_MM = 2.0
"""Paper that comes so near to a side of a face, and rises from it, shades it."""
RISES_MM = 1.5
SAME_WAY = 0.7
"""Faces whose directions agree so far are side by side; neither rises from the other."""
STANDS_MM = 1.5
"""A content no higher above a floor stands on it, as far as its shade is concerned."""
FOOT_MM = 4.5
"""What of it is no higher above the floor makes the shade."""


def ground_shades(solids: Sequence[Solid], reach_mm: float) -> list[shapely.Geometry]:
    """What stands on the table, spread by up to a reach: (x, y) mm, the widest first.

    A wider band takes in what is higher above the table, as a soft shadow does.
    """
    level = ground_mm(solids)
    away = -AWAY * LIGHT[:2] / np.linalg.norm(LIGHT[:2])
    standing = [solid.vertices for solid in solids if not solid.content]
    found = []
    for band in range(BANDS, 0, -1):
        wide = reach_mm * (band / BANDS) ** 1.5
        low = [_below(points, level + LOW_MM + wide) for points in standing]
        foot = shapely.union_all([shape for shape in low if shape is not None])
        spread = shapely.buffer(foot, wide, quad_segs=4)
        moved = shapely.transform(spread, lambda xy, w=wide: xy + w * away)
        found.append(shapely.simplify(moved, 0.02 * reach_mm))
    return found


def ground_mm(solids: Sequence[Solid]) -> float:
    """The height of the table."""
    return min(float(solid.vertices[:, 2].min()) for solid in solids)


def _below(points: Array, height: float) -> shapely.Geometry | None:
    """The plan of what of a convex body lies below a height; None where nothing does."""
    under = points[:, 2] <= height
    if not under.any():
        return None
    low, high = points[under], points[~under]
    if len(high):
        share = (height - low[:, None, 2]) / (high[None, :, 2] - low[:, None, 2])
        met = low[:, None] + share[..., None] * (high[None] - low[:, None])
        low = np.vstack([low, met.reshape(-1, 3)])
    return shapely.convex_hull(shapely.multipoints(low[:, :2]))


def inner_shades(solids: Sequence[Solid], eye: Array) -> Iterator[tuple[Face, Array]]:
    """Bands on faces of panels that look to the eye: the face of each, its outline (n, 3) mm."""
    panels = _Panels([face for solid in solids for face in solid.faces if face.broad])
    for face, normal in zip(panels.faces, panels.normals, strict=True):
        if normal @ eye <= 0.0:
            continue
        for side, edged in enumerate(face.edged):
            rises = panels.rise(face, normal, side) if edged else 0.0
            if rises > RISES_MM:
                yield from _along_side(face, normal, side, rises)
        if normal[2] > 0.99:
            yield from _under_contents(face, solids)


class _Panels:
    """The faces of panels as arrays, to find what rises from a side of one of them."""

    def __init__(self, faces: Sequence[Face]) -> None:
        most = max((len(face.corners) for face in faces), default=3)
        self.faces = faces
        self._corners = np.array([_padded(face.corners, most) for face in faces]).reshape(
            -1, most, 3
        )
        along = np.roll(self._corners, -1, axis=1) - self._corners
        normals = np.cross(self._corners, np.roll(self._corners, -1, axis=1)).sum(axis=1)
        self.normals: Array = normals / np.linalg.norm(normals, axis=1)[:, None]
        inward = np.cross(self.normals[:, None], along)
        length = np.linalg.norm(inward, axis=2)
        self._inward = inward / np.where(length > 0.0, length, 1.0)[..., None]

    def rise(self, face: Face, normal: Array, side: int) -> float:
        """How high the highest paper rises from a side of a face, mm; nothing where none does."""
        corners = face.corners
        middle = 0.5 * (corners[side] + corners[(side + 1) % len(corners)])
        starts = self._corners[:, 0]
        before = ((middle - starts) * self.normals).sum(axis=1)
        ahead = ((corners.mean(axis=0) - starts) * self.normals).sum(axis=1)
        within = ((middle - self._corners) * self._inward).sum(axis=2).min(axis=1)
        near = (self.normals @ normal < SAME_WAY) & (np.abs(before) < NEAR_MM)
        near &= (ahead > NEAR_MM) & (within > -NEAR_MM)
        return float(((self._corners[near] - middle) @ normal).max(initial=0.0))


def _padded(corners: Array, count: int) -> Array:
    """Corners with the last one repeated until they are so many."""
    return np.vstack([corners, np.repeat(corners[-1:], count - len(corners), axis=0)])


def _along_side(face: Face, normal: Array, side: int, rises: float) -> Iterator[tuple[Face, Array]]:
    """Bands of a face along one of its sides."""
    corners = face.corners
    start, along = corners[side], corners[(side + 1) % len(corners)] - corners[side]
    across = along / max(float(np.linalg.norm(along)), 1e-9)
    inward = np.cross(normal, across)
    flat = np.column_stack([(corners - start) @ across, (corners - start) @ inward])
    wide = min(DEEPEST_MM, 0.6 * rises, 0.5 * float(flat[:, 1].max()))
    for band in range(INNER_BANDS, 0, -1):
        depth = wide * (band / INNER_BANDS) ** 1.5
        part = clip(flat, np.array([0.0, 1.0]), depth)
        if len(part) > 2:
            yield face, start + part[:, :1] * across + part[:, 1:] * inward


def _under_contents(face: Face, solids: Sequence[Solid]) -> Iterator[tuple[Face, Array]]:
    """Bands on a floor round the foot of what stands on it."""
    height = float(face.corners[:, 2].mean())
    floor = shapely.Polygon(face.corners[:, :2])
    stands = [
        solid.vertices
        for solid in solids
        if solid.content and abs(solid.vertices[:, 2].min() - height) < STANDS_MM
    ]
    # of a content its corners are near enough to each other
    feet = [
        shapely.convex_hull(shapely.multipoints(points[points[:, 2] < height + FOOT_MM, :2]))
        for points in stands
    ]
    stood = shapely.union_all(feet)
    if not shapely.intersects(stood, floor):
        return
    for band in range(INNER_BANDS, 0, -1):
        wide = 0.5 * DEEPEST_MM * (band / INNER_BANDS) ** 1.5
        shade = shapely.simplify(shapely.buffer(stood, wide, quad_segs=4), 0.05)
        for part in shapely.get_parts(shapely.intersection(shade, floor)):
            if isinstance(part, shapely.Polygon):
                flat = shapely.get_coordinates(part.exterior)[:-1]
                yield face, np.column_stack([flat, np.full(len(flat), height)])
