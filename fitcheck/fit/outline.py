"""A content in a pose as a convex body for the exact slide.

What stands upright is a prism over its plan, its round corners as they are; a ball is a ball, a
lying cylinder a cylinder. A mesh counts as the prism over its hull's outline and a plate on edge
as a square one, which errs on the safe side near the floor's creases.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from fitcheck.fit.rounded import FACET_ERROR_MM, Ball, Rod, Upright
from fitcheck.folding.blanks import Blanks
from fitcheck.folding.flat import distinct
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import Array, Rows
from fitcheck.folding.prisms import pieces_of
from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.packing.placing import Placement, core_of


def content_piece(name: str, pose: Pose, turn_deg: float, floor_mm: float) -> ConvexPiece:
    """The upright prism over a content that stands on the floor over the middle of the box."""
    return content_pieces(name, [pose], turn_deg, np.array([floor_mm]))[0]


def content_pieces(name: str, poses: Sequence[Pose], turn_deg: float, floors_mm: Array) -> Pieces:
    """The same of many boxes, in each its own pose over its own floor of (b,)."""
    outlines = [turned_outline(pose, turn_deg) for pose in poses]
    heights = floors_mm[:, None] + [[0.0, pose.height_mm] for pose in poses]
    middles = np.zeros((len(poses), 2))
    return upright_pieces([name] * len(poses), outlines, heights, middles, np.arange(len(poses)))


def upright_pieces(
    names: Sequence[str], outlines: Sequence[Array], heights_mm: Array, at_mm: Array, boxes: Rows
) -> Pieces:
    """Upright prisms over outlines (v, 2) about places of (n, 2), between heights of (n, 2) mm.

    `boxes` (n,) says whose each is, and grows.
    """
    known = {name: k for k, name in enumerate(dict.fromkeys(names))}
    kinds = np.array([known[name] for name in names], dtype=np.intp)
    counts = np.array([len(own) for own in outlines])
    blanks = []
    for count in distinct(counts).tolist():
        rows = np.flatnonzero(counts == count)
        plans = np.stack([outlines[row] for row in rows.tolist()])
        poses = np.tile(np.eye(4), (len(rows), 1, 1))
        poses[:, :2, 3] = at_mm[rows]
        blanks.append(Blanks(boxes[rows], rows, kinds[rows], plans, heights_mm[rows], poses))
    return pieces_of(blanks, [(name, frozenset()) for name in known])


def placed_body(place: Placement, corner: Array) -> Upright | Rod | Ball:
    """A placed content as what it is; `corner` (3,) is the room's corner on the floor, mm."""
    at = corner + np.array([place.x_mm, place.y_mm, place.z_mm])
    pose = place.pose
    if pose.shape is Shape.BALL:
        radius = 0.5 * pose.height_mm
        return Ball(place.item, at + np.array([0.0, 0.0, radius]), radius)
    if pose.shape in (Shape.ALONG_WIDTH, Shape.ALONG_LENGTH):
        return _lying(place, at)
    core, radius = core_of(place)
    offset = at[:2] - np.array([place.x_mm, place.y_mm])
    return Upright(
        place.item, np.array(core) + offset, radius, float(at[2]), float(at[2]) + pose.height_mm
    )


def _lying(place: Placement, at: Array) -> Rod:
    along_width = place.pose.shape is Shape.ALONG_WIDTH
    length = place.pose.width_mm if along_width else place.pose.length_mm
    radius = 0.5 * place.pose.height_mm
    turn = math.radians(place.turn_deg + (0.0 if along_width else 90.0))
    way = np.array([math.cos(turn), math.sin(turn), 0.0])
    return Rod(place.item, at + np.array([0.0, 0.0, radius]), way, 0.5 * length, radius)


def _facet_angle(radius: float) -> float:
    """The angle of a facet outside a round that stands off it by FACET_ERROR_MM at the most."""
    return 2.0 * math.acos(radius / (radius + FACET_ERROR_MM))


def _spin(turn_deg: float) -> Array:
    """Turns rows of points about the upright, counter-clockwise."""
    turn = math.radians(turn_deg)
    return np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])


def turned_outline(pose: Pose, turn_deg: float) -> Array:
    """The plan of a pose about its middle turned about the upright, (n, 2) mm."""
    found: Array = plan_outline(pose) @ _spin(turn_deg)
    return found


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
    signs, rounds = _round_corners(radius)
    found: Array = signs * (half - radius) + rounds
    return found


@lru_cache(maxsize=64)
def _round_corners(radius: float) -> tuple[Array, Array]:
    """Towards which corner each point of a rectangle with round corners lies, and where from there.

    (n, 2) each, from the middle of the corner's round.
    """
    count = math.ceil(0.5 * math.pi / _facet_angle(radius))
    width_of = 0.5 * math.pi / count
    at = (np.arange(count) + 0.5) * width_of
    arc = radius / math.cos(0.5 * width_of) * np.column_stack([np.cos(at), np.sin(at)])
    signs, corners = [], []
    for quarter in range(4):
        cos, sin = round(math.cos(quarter * math.pi / 2)), round(math.sin(quarter * math.pi / 2))
        turned = arc @ np.array([[cos, sin], [-sin, cos]])
        ends = np.array([[radius, 0.0], [0.0, radius]]) @ np.array([[cos, sin], [-sin, cos]])
        corners.append(np.vstack([ends[:1], turned, ends[1:]]))
        signs.append(np.broadcast_to(np.sign(turned.mean(axis=0)), corners[-1].shape))
    return np.vstack(signs), np.vstack(corners)
