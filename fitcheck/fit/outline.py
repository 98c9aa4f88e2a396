"""A content in a pose is an upright prism over its plan, rounds faceted from outside.

For a straight way in between upright walls that is exact; a ball or a lying cylinder counts as
the prism over its plan, which errs on the safe side near the floor's creases.
"""

from __future__ import annotations

import math

import numpy as np

from fitcheck.folding.pieces import ConvexPiece, prism
from fitcheck.folding.pose import Array
from fitcheck.packing.bodies import Disc, Polygon, Pose

FACET_ERROR_MM = 5e-4


def content_piece(name: str, pose: Pose, turn_deg: float, floor_mm: float) -> ConvexPiece:
    """A content standing on the floor over the middle of the box."""
    turn = math.radians(turn_deg)
    spin = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    outline = plan_outline(pose) @ spin
    return prism(name, frozenset(), outline, floor_mm, floor_mm + pose.height_mm)


def plan_outline(pose: Pose) -> Array:
    """The plan of a pose about its middle, (n, 2) mm, counter-clockwise."""
    if isinstance(pose.footprint, Polygon):
        return np.array(pose.footprint.points)
    if isinstance(pose.footprint, Disc):
        return _rounded(pose.width_mm, pose.width_mm, 0.5 * pose.width_mm)
    return _rounded(pose.width_mm, pose.length_mm, pose.footprint.corner_radius_mm)


def _rounded(width: float, length: float, radius: float) -> Array:
    """A rectangle with round corners, each round within facets that touch it."""
    half = 0.5 * np.array([width, length])
    if radius <= 0.0:
        return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
    step = 2.0 * math.acos(radius / (radius + FACET_ERROR_MM))
    count = math.ceil(0.5 * math.pi / step)
    width_of = 0.5 * math.pi / count
    at = (np.arange(count) + 0.5) * width_of
    arc = radius / math.cos(0.5 * width_of) * np.column_stack([np.cos(at), np.sin(at)])
    corners = []
    for quarter in range(4):
        cos, sin = round(math.cos(quarter * math.pi / 2)), round(math.sin(quarter * math.pi / 2))
        turned = arc @ np.array([[cos, sin], [-sin, cos]])
        sign = np.sign(turned.mean(axis=0))
        ends = np.array([[radius, 0.0], [0.0, radius]]) @ np.array([[cos, sin], [-sin, cos]])
        corners.append(sign * (half - radius) + np.vstack([ends[:1], turned, ends[1:]]))
    return np.vstack(corners)
