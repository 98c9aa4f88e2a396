"""Convex pieces cut by an upright plane, and the planes in which two of them come nearest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.travel import Stop
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array
from fitcheck.pattern.sheet import Axis
from fitcheck.polygons import convex_hull

SAME_MM = 1e-9
INSIDE_MM = 1e-6


@dataclass(frozen=True, eq=False)
class CutFace:
    """What a plane leaves of one piece."""

    name: str
    outline: Array
    """(n, 2) mm: along the axis, and height."""


@dataclass(frozen=True, eq=False)
class Nearest:
    """Where a stop's two pieces come nearest on the whole way."""

    at_mm: float
    """The cutting plane's place along the other axis."""
    outer_mm: float
    """The outer piece's reach there, along the axis."""
    inner_mm: float
    side: int
    """-1 on the low side, 1 on the high side."""

    @property
    def gap_mm(self) -> float:
        """Free travel, mm; negative when they press."""
        return self.side * (self.outer_mm - self.inner_mm)


def cut(pieces: Iterable[ConvexPiece], axis: Axis, at_mm: float) -> tuple[CutFace, ...]:
    """The faces that the plane square to the other axis makes, at a place along that axis, mm."""
    along = DIRECTIONS[axis]
    other = DIRECTIONS[Axis.LENGTH if axis is Axis.WIDTH else Axis.WIDTH]
    faces = []
    for piece in pieces:
        depth = piece.vertices @ other - at_mm
        if depth.min() >= -SAME_MM or depth.max() <= SAME_MM:
            continue
        flat = np.column_stack([piece.vertices @ along, piece.vertices[:, 2]])
        faces.append(CutFace(piece.name, hull(_crossings(flat, depth))))
    return tuple(face for face in faces if len(face.outline) > 2)


def nearest(
    outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], axis: Axis, stop: Stop, side: int
) -> Nearest:
    """Where the pieces that a stop names come nearest, on the low (-1) or the high (+1) side.

    Seen along the path, each piece is a convex shadow, so the distance of the two shadows across
    the path is a convex function of the place along the other axis and least at a corner.
    """
    best: Nearest | None = None
    for o in (p for p in outer if p.name == stop.outer and side * _low(p, axis, side) > 0.0):
        for i in (p for p in inner if p.name == stop.inner):
            found = _nearest_of(o, i, axis, side)
            if found is not None and (best is None or found.gap_mm < best.gap_mm):
                best = found
    if best is None:
        k = 1 if axis is Axis.WIDTH else 0
        here = stop.at_mm[1 - k]
        return Nearest(stop.at_mm[k], here, here, side)
    return best


def _low(piece: ConvexPiece, axis: Axis, side: int) -> float:
    k = 0 if axis is Axis.WIDTH else 1
    return float(piece.low[k] if side > 0 else piece.high[k])


def _nearest_of(o: ConvexPiece, i: ConvexPiece, axis: Axis, side: int) -> Nearest | None:
    k = 0 if axis is Axis.WIDTH else 1
    low = max(o.low[1 - k], i.low[1 - k]) + INSIDE_MM
    high = min(o.high[1 - k], i.high[1 - k]) - INSIDE_MM
    if low >= high:
        return None
    shadows = [hull(p.vertices[:, [k, 1 - k]]) for p in (o, i)]
    corners = np.concatenate([shadow[:, 1] for shadow in shadows])
    places = np.unique(np.clip(np.concatenate([corners, [low, high]]), low, high))
    reaches = np.array(
        [[_reach(shadows[0], at, -side), _reach(shadows[1], at, side)] for at in places]
    )
    gaps = side * (reaches[:, 0] - reaches[:, 1])
    least = np.flatnonzero(gaps <= gaps.min() + INSIDE_MM)
    at = float(0.5 * (places[least[0]] + places[least[-1]]))
    return Nearest(at, _reach(shadows[0], at, -side), _reach(shadows[1], at, side), side)


def _reach(shadow: Array, at: float, side: int) -> float:
    """The furthest reach of a convex outline (n, 2) towards a side where its second is `at`."""
    crossings = _crossings(shadow, shadow[:, 1] - at)[:, 0]
    return float(crossings.max() if side > 0 else crossings.min())


def _crossings(points: Array, depth: Array) -> Array:
    """Where the lines between points on the two sides of a plane pass through it."""
    under, over = depth < 0.0, depth >= 0.0
    share = depth[under][:, None] / (depth[under][:, None] - depth[over][None])
    a, b = points[under][:, None], points[over][None]
    crossed: Array = (a + (b - a) * share[:, :, None]).reshape(-1, points.shape[1])
    return crossed


def hull(points: Array) -> Array:
    """The convex hull of (n, 2) points, counter-clockwise, its corners to the ninth decimal."""
    return convex_hull((round(float(x), 9), round(float(y), 9)) for x, y in points)
