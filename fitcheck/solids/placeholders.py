"""A content becomes a solid of its true size, lying as its kind is printed best."""

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.solids.body import Ball, Body, Oval, Printed, rectangle
from fitcheck.solids.body import Polygon as Straight
from fitcheck.solids.correction import IDENTITY, Correction


def placeholder(pose: Pose, correction: Correction = IDENTITY) -> Printed:
    """A body in the pose in which it is printed; z = 0 at the bottom, centred in x, y.

    Raises ``ModelError`` for a pose that is neither a prism over its plan nor a ball.
    """
    x, y, z = correction.outside(pose.width_mm, pose.length_mm, pose.height_mm)
    if pose.shape is Shape.BALL:
        return Ball(x, y, z)
    if pose.shape is not Shape.PRISM:
        raise ModelError(f"what is printed is a prism or a ball, and this pose is a {pose.shape}")
    if isinstance(pose.footprint, Disc):
        return Body(Oval(x, y), z)
    if isinstance(pose.footprint, Polygon):
        share = np.array([x / pose.width_mm, y / pose.length_mm])
        corners = (np.array(pose.footprint.points) * share).tolist()
        return Body(Straight(tuple((along, across) for along, across in corners)), z)
    corner = pose.footprint.corner_radius_mm
    # A spread outline keeps its rounded shape: the radius grows by the spread.
    radius = min(corner - correction.outside_offset_mm, min(x, y) / 2 * (1 - 1e-6))
    return Body(rectangle(x, y, radius if min(corner, radius) > 0 else 0.0), z)


def square_share(pose: Pose) -> float:
    """How much of its plan's width and length a rectangle about its middle takes, 0 to 1."""
    if isinstance(pose.footprint, Disc):
        return 0.5**0.5
    if not isinstance(pose.footprint, Polygon):
        return 1.0
    corners = np.array(pose.footprint.points)
    along = np.roll(corners, -1, axis=0) - corners
    outward = np.column_stack([along[:, 1], -along[:, 0]])
    reach = np.abs(outward) @ np.array([0.5 * pose.width_mm, 0.5 * pose.length_mm])
    room = np.einsum("ij,ij->i", outward, corners)
    least = float((room / reach).min())
    return min(max(least, 0.0), 1.0)
