"""The cross section of a rolled side: where its inner wall and its flap's tip come to stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.closure import close_upright, unclosed
from fitcheck.folding.kinematics import panel_poses
from fitcheck.folding.lines import Layout
from fitcheck.folding.linkage import chain_of, chains_of, columns_of, joint_of, tip_gaps
from fitcheck.folding.pose import Array
from fitcheck.pattern.bonds import Bond
from fitcheck.pattern.creases import RIGHT_ANGLE


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


class RollStates(NamedTuple):
    """How the rolled sides of many boxes came to stand."""

    leans_rad: Array
    """(b, j) of the inner walls, as in their sections."""
    trims_mm: Array
    """(b, j) as in their sections; nan where a roll cannot be closed upright."""


def states_of(layout: Layout, joints: Sequence[Bond], joint_mm: Array, angles: Array) -> RollStates:
    """The states of closed rolls; the angles (b, c) are those of all creases of each box."""
    rolls, own = chains_of(layout, joints, joint_mm), _own_angles(layout, joints, angles)
    upright = close_upright(rolls, own, [0])
    trims = np.where(upright.ok, -tip_gaps(rolls, upright.angles), np.nan)
    leans = own[:, -1] - RIGHT_ANGLE
    return RollStates(leans.reshape(-1, len(joints)), trims.reshape(-1, len(joints)))


def _own_angles(layout: Layout, joints: Sequence[Bond], angles: Array) -> Array:
    """(b j, c) of the creases of each roll, the outer wall's first and the flap's last."""
    columns = np.stack([columns_of(layout, joint) for joint in joints])
    found: Array = angles[:, columns].reshape(-1, columns.shape[1])
    return found


def sections_of(
    layout: Layout, joints: Sequence[Bond], joint_mm: Array, angles: Array
) -> tuple[RollSection, ...]:
    """The sections of closed rolls.

    The layout is that of one box, its joint (1,) and angles (1, c). Raises ModelError when a roll
    cannot be closed upright.
    """
    if not joints:
        return ()
    chains = [chain_of(layout.pattern, joint) for joint in joints]
    rolls = chains_of(layout, joints, joint_mm)
    own = _own_angles(layout, joints, angles)
    upright = close_upright(rolls, own, [0])
    if not upright.ok.all():
        raise ModelError(unclosed(joint_of(layout.pattern, joints[int(np.argmin(upright.ok))])))
    gaps, trims = tip_gaps(rolls, own), -tip_gaps(rolls, upright.angles)
    poses = panel_poses(layout, angles)[0]
    return tuple(
        _section(layout, joint_mm[0], poses, chain, lean, gap, trim)
        for chain, lean, gap, trim in zip(
            chains, own[:, -1].tolist(), gaps.tolist(), trims.tolist(), strict=True
        )
    )


def _section(
    layout: Layout,
    joint_mm: float,
    poses: Array,
    chain: tuple[str, ...],
    foot_rad: float,
    gap: float,
    trim: float,
) -> RollSection:
    wall, panels = chain[0], (chain[0], chain[-3], chain[-2])
    outward, origin = layout.outward(wall)[0], layout.origin(wall)[0]

    def face(panel: str) -> tuple[Array, Array]:
        """A point of a panel's outside face and its unit normal, as (into the box, up), mm."""
        pose = poses[layout.tree.panel[panel]]
        point = (pose @ np.append(layout.outline(panel)[0, 0], [0.0, 1.0]))[:3]
        inward = -(point[:2] - origin) @ outward
        normal = pose[:3, 2]
        return np.array([inward, point[2]]), np.array([-normal[:2] @ outward, normal[2]])

    outer, frame, lining = map(face, panels)
    floor = float(layout.creases.caliper_mm[0])
    under = np.array([0.0, floor + joint_mm]), np.array([0.0, 1.0])
    top, foot = crossing(frame, lining), crossing(under, lining)
    rim = crossing(outer, frame)
    return RollSection(
        wall=wall,
        top_mm=float(top[0]),
        foot_mm=float(foot[0]),
        edge_height_mm=float(top[1]) - floor,
        rim_height_mm=float(rim[1]) - floor,
        lean_deg=math.degrees(foot_rad - RIGHT_ANGLE),
        tip_gap_mm=gap,
        trim_mm=trim,
    )


def crossing(one: tuple[Array, Array], other: tuple[Array, Array]) -> Array:
    """Where two lines, each given by a point and a normal, cross."""
    normals = np.array([one[1], other[1]])
    found: Array = np.linalg.solve(normals, [one[0] @ one[1], other[0] @ other[1]])
    return found
