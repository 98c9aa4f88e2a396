"""The cross section of a rolled side: where its inner wall and its flap's tip come to stand."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.closure import close_upright, tip_gap, wall_of
from fitcheck.folding.kinematics import Angles, panel_pose
from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import RIGHT_ANGLE, RollJoint


@dataclass(frozen=True)
class RollSection:
    """One rolled side cut across; lengths in mm from the floor's score into the box."""

    wall: str
    """The outer wall that it begins with."""
    top_mm: float
    """The inner wall's face towards the box, at the frame's upper face."""
    foot_mm: float
    """The same face at the flap's underside."""
    edge_height_mm: float
    """The frame's upper face at that edge, above the floor's inside face."""
    rim_height_mm: float
    """The frame's upper face at its outer edge, above the floor's inside face."""
    lean_deg: float
    """Of the inner wall; positive when its foot stands further into the box than its top."""
    tip_gap_mm: float
    """What is left between the flap's tip and the outer wall's foot; 0 where they meet."""
    trim_mm: float
    """Cut off the flap, this would set the inner wall upright with the tip at the wall's foot;
    negative when the flap is shorter than that already."""

    @property
    def stands_in_mm(self) -> float:
        """How much further into the box the foot stands than the top."""
        return self.foot_mm - self.top_mm

    @property
    def rises_mm(self) -> float:
        """How much higher the frame's inner edge stands than its outer one; 0 when it is level."""
        return self.edge_height_mm - self.rim_height_mm


def section_of(layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles) -> RollSection:
    """The section of a closed roll. Raises ModelError when it could not be closed upright."""
    *_, to_frame, to_lining, _ = layout.pattern.chain(joint.flap)
    wall = wall_of(layout, joint)
    fold = layout.folds[wall]

    def face(panel: str) -> tuple[Array, Array]:
        """A point of a panel's outside face and its unit normal, as (into the box, up), mm."""
        pose = panel_pose(layout, panel, angles)
        point = (pose @ np.append(layout.outlines[panel][0], [0.0, 1.0]))[:3]
        inward = -(point[:2] - fold.origin) @ fold.outward
        normal = pose[:3, 2]
        return np.array([inward, point[2]]), np.array([-normal[:2] @ fold.outward, normal[2]])

    outer, frame, lining = face(wall), face(to_frame.child), face(to_lining.child)
    floor = layout.crease.caliper_mm
    under = np.array([0.0, floor + joint_mm]), np.array([0.0, 1.0])
    top, foot = _crossing(frame, lining), _crossing(under, lining)
    rim = _crossing(outer, frame)
    upright = close_upright(layout, joint, joint_mm, angles, frozenset([wall]))
    return RollSection(
        wall=wall,
        top_mm=float(top[0]),
        foot_mm=float(foot[0]),
        edge_height_mm=float(top[1]) - floor,
        rim_height_mm=float(rim[1]) - floor,
        lean_deg=math.degrees(angles[joint.flap] - RIGHT_ANGLE),
        tip_gap_mm=tip_gap(layout, joint, angles),
        trim_mm=-tip_gap(layout, joint, upright),
    )


def _crossing(one: tuple[Array, Array], other: tuple[Array, Array]) -> Array:
    """Where two lines, each given by a point and a normal, cross."""
    normals = np.array([one[1], other[1]])
    found: Array = np.linalg.solve(normals, [one[0] @ one[1], other[0] @ other[1]])
    return found
