"""A body in any attitude in a right-angled room: a proof that none goes in, or one that does.

A body goes into a plain room in some attitude just when none of its three extents is over the
room's. Over a small cell of attitudes an extent has a lower bound in closed form, so cells are
halved and thrown away until none is left (a proof), or one attitude goes in (branch and bound).
What is not settled within the limit of cells proves nothing.

Blocks, plates with round corners and cylinders are one family: a box (the core) grown by a disc
of radius r square to its third axis (block: r = 0; cylinder: a line grown by a disc). Along a
room's axis u, (u1, u2, u3) in the body's frame, such a body measures
a1 |u1| + a2 |u2| + a3 |u3| + 2 r sqrt(1 - u3^2).
"""

from __future__ import annotations

import enum
import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.packing.room import Room

Array = NDArray[np.float64]

MOST_CELLS = 300_000
SURE_MM = 1e-6
"""A bound has to be passed by more than this, so that rounding proves nothing."""
QUARTER = 0.5 * math.pi


class Leans(enum.Enum):
    """What is known about a body that may lean as it likes."""

    GOES_IN = "goes in"
    NEVER = "never"
    UNKNOWN = "unknown"


def leans_in(room: Room, poses: Sequence[Pose]) -> Leans:
    """Whether a body, given by its upright poses, goes into a plain room in any attitude.

    The room may be open upwards; a body that leans out over a rim is not in it. Of a mesh only
    outlines are known, so nothing is said of it.
    """
    ends = np.array([room.width_mm, room.length_mm, room.height_mm])
    ball = next((p for p in poses if p.shape is Shape.BALL), None)
    if ball is not None:
        return Leans.GOES_IN if ball.width_mm <= ends.min() + SURE_MM else Leans.NEVER
    known = _core(poses)
    return Leans.UNKNOWN if known is None else _settle(ends, *known)


def _core(poses: Sequence[Pose]) -> tuple[Array, float] | None:
    """The core's three sides, mm, and the radius by which it is grown."""
    for pose in poses:
        if pose.shape is Shape.PRISM and isinstance(pose.footprint, Disc):
            return np.array([0.0, 0.0, pose.height_mm]), 0.5 * pose.width_mm
        if pose.shape in (Shape.ALONG_WIDTH, Shape.ALONG_LENGTH):
            along = pose.width_mm if pose.shape is Shape.ALONG_WIDTH else pose.length_mm
            return np.array([0.0, 0.0, along]), 0.5 * pose.height_mm
    for pose in poses:
        if pose.shape is Shape.PRISM and not isinstance(pose.footprint, Disc | Polygon):
            radius = pose.footprint.corner_radius_mm
            if radius > 0.0 or all(p.shape is Shape.PRISM for p in poses):
                less = np.array([2.0 * radius, 2.0 * radius, 0.0])
                return np.array([pose.width_mm, pose.length_mm, pose.height_mm]) - less, radius
    return None


def _settle(ends: Array, core: Array, radius: float) -> Leans:
    """Branch and bound over the angles about the room's z, then y, and the body's own z.

    Mirroring the room or the body changes nothing, so a quarter of the turns is enough.
    """
    own = 0.0 if core[0] == core[1] == 0.0 else 0.5 * QUARTER
    square = np.array(list(itertools.product((0.0, QUARTER), repeat=3)))
    if np.any(np.all(_extents(_room_axes(square), core, radius) <= ends + SURE_MM, axis=1)):
        return Leans.GOES_IN
    middles = np.array([[QUARTER, 0.5 * QUARTER, own]])
    halves = np.array([[QUARTER, 0.5 * QUARTER, own]])
    seen = 0
    while len(middles):
        seen += len(middles)
        if seen > MOST_CELLS:
            return Leans.UNKNOWN
        axes = _room_axes(middles)
        if np.any(np.all(_extents(axes, core, radius) <= ends + SURE_MM, axis=1)):
            return Leans.GOES_IN
        least = _least_extents(axes, halves.sum(axis=1), core, radius)
        left = np.all(least <= ends + SURE_MM, axis=1)
        middles, halves = _halved(middles[left], halves[left])
    return Leans.NEVER


def _room_axes(angles: Array) -> Array:
    """The room's axes in the body's frame, (n, 3 axes, 3), for angles (n, 3)."""
    (ca, cb, cc), (sa, sb, sc) = np.cos(angles.T), np.sin(angles.T)
    return np.stack(
        [
            np.column_stack([ca * cb * cc - sa * sc, -ca * cb * sc - sa * cc, ca * sb]),
            np.column_stack([sa * cb * cc + ca * sc, -sa * cb * sc + ca * cc, sa * sb]),
            np.column_stack([-sb * cc, sb * sc, cb]),
        ],
        axis=1,
    )


def _extents(axes: Array, core: Array, radius: float) -> Array:
    shares = np.abs(axes)
    found: Array = shares @ core + 2.0 * radius * np.sqrt(
        np.maximum(0.0, 1.0 - shares[..., 2] ** 2)
    )
    return found


def _least_extents(axes: Array, turn: Array, core: Array, radius: float) -> Array:
    """Lower bounds of the extents, (n, 3) mm, in all attitudes within an angle `turn` (n,).

    One takes every share of the axis at its least; the other follows the corner that reaches
    furthest along the axis: no body reaches less far than any one of its points.
    """
    shares = np.minimum(1.0, np.abs(axes))
    angle = np.arccos(shares)
    wide = turn[:, None, None]
    away = np.minimum(angle + wide, QUARTER)
    nearest = np.sin(np.maximum(angle[..., 2] - wide[..., 0], 0.0))
    by_shares = np.cos(away) @ core + 2.0 * radius * nearest
    extents = _extents(axes, core, radius)
    across = np.sqrt(np.maximum(0.0, 1.0 - shares[..., 2] ** 2))
    # twice the furthest point: the core's corner, and the disc's rim straight below the axis
    rim = 2.0 * radius * shares[..., :2] / np.maximum(across, 1e-12)[..., None]
    reach = np.sqrt(((core[:2] + rim) ** 2).sum(axis=-1) + core[2] ** 2)
    slant = np.arccos(np.clip(extents / np.maximum(reach, 1e-12), -1.0, 1.0))
    by_corner = reach * np.cos(np.minimum(slant + wide[..., 0], math.pi))
    least: Array = np.maximum(by_shares, by_corner)
    return least


def _halved(middles: Array, halves: Array) -> tuple[Array, Array]:
    """Every cell cut in two across its longest side."""
    longest = np.argmax(halves, axis=1)
    rows = np.arange(len(middles))
    smaller = halves.copy()
    smaller[rows, longest] *= 0.5
    step = np.zeros_like(middles)
    step[rows, longest] = smaller[rows, longest]
    return np.vstack([middles - step, middles + step]), np.vstack([smaller, smaller])
