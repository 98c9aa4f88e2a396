"""Cross sections of closed tubes and linings, read from the panels as they stand."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.kinematics import panel_poses
from fitcheck.folding.lines import Layout
from fitcheck.folding.linkage import chain_of, columns_of
from fitcheck.folding.pose import Array
from fitcheck.folding.rolls import crossing
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.joints import Joint

Faces = tuple[Array, Array]
"""A face cut across: one of its points (2,), and its unit normal (2,) on the side of the paper's
inside."""


@dataclass(frozen=True)
class TubeSection:
    """A tube cut across, on what its flap is glued to; lengths in mm.

    Its corners are where the faces of neighbouring walls meet inside it, x from the first wall's
    foot towards the seam, y up from the face below. The first is the foot of the first wall, the
    last that of the wall that carries the flap, both at that face.
    """

    flap: str
    walls: tuple[str, ...]
    """From the first one to the one that carries the flap."""
    corners_mm: tuple[tuple[float, float], ...]
    turns_deg: tuple[float, ...]
    """The fold angles, of the first wall first and the flap last."""
    seam_mm: float
    """How high the flap and its glue stand on the face below."""

    @property
    def inside_mm(self) -> tuple[float, ...]:
        """The inside lengths of the walls, then of what the flap is glued to."""
        ends = zip(self.corners_mm, self.corners_mm[1:] + self.corners_mm[:1], strict=True)
        return tuple(math.dist(one, other) for one, other in ends)


@dataclass(frozen=True)
class LiningSection:
    """A wall and its lining cut across; lengths in mm."""

    lining: str
    wall: str
    rim_mm: float
    """Over both walls and what is between them, across the wall at the rim."""
    foot_mm: float
    """The same at the lining's foot."""
    stands_off_mm: float
    """How far the foot is above what the wall is folded on; 0 where it stands on it."""
    turns_deg: tuple[float, ...]
    """The fold angles from the wall's rim on."""


def tube_section(layout: Layout, joint: Joint, joint_mm: float, angles: Array) -> TubeSection:
    """The section of one box's tube; its layout is that of one box, the angles (1, c)."""
    bond, walls = joint.bond, chain_of(layout.pattern, joint.bond)
    caliper = float(layout.creases.caliper_mm[0])
    place = _Place(layout, joint, angles)
    inwards = joint.path[0].line.sign
    within = caliper if inwards > 0.0 else 0.0
    faces = [place.face(name, within) for name in (bond.onto, *walls[:-1], bond.onto)]
    corners = [crossing(one, other) for one, other in itertools.pairwise(faces)]
    start = corners[0]
    gap = float(bond.gap_mm(caliper, joint_mm))
    return TubeSection(
        flap=bond.panel,
        walls=walls[:-1],
        corners_mm=tuple((float(start[0] - x), inwards * float(y - start[1])) for x, y in corners),
        turns_deg=tuple(np.degrees(place.angles).tolist()),
        seam_mm=caliper + gap if (bond.side is Face.INSIDE) == (inwards > 0.0) else 0.0,
    )


def lining_section(layout: Layout, joint: Joint, angles: Array) -> LiningSection:
    """The section of one box's lining; its layout is that of one box, the angles (1, c)."""
    bond = joint.bond
    caliper = float(layout.creases.caliper_mm[0])
    place = _Place(layout, joint, angles)
    below = layout.pattern.crease_to(bond.onto).parent
    floor = _Place(layout, joint, angles, below)
    point, normal = floor.face(below, caliper)
    over = [
        float(end[1]) if bond.side is Face.INSIDE else caliper - float(end[1])
        for end in place.ends(bond.panel)
    ]
    return LiningSection(
        lining=bond.panel,
        wall=bond.onto,
        rim_mm=over[0],
        foot_mm=over[1],
        stands_off_mm=min(float((e - point) @ normal) for e in floor.edge(bond.panel, caliper)),
        turns_deg=tuple(np.degrees(place.angles).tolist()),
    )


class _Place:
    """A section's plane, in the place of the panel that stays or another one."""

    def __init__(
        self, layout: Layout, joint: Joint, angles: Array, stays: str | None = None
    ) -> None:
        tree, columns = layout.tree, columns_of(layout, joint.bond)
        poses = panel_poses(layout, angles)[0]
        home = np.linalg.inv(poses[tree.panel[stays or joint.bond.onto]])
        sign = 1.0 if joint.path[0].outwards else -1.0
        self.layout, self.poses = layout, home @ poses
        self.along = np.append(sign * layout.outwards[0, columns[0]], 0.0)
        self.angles = angles[0, columns]
        last = joint.path[-1]
        self.score = float(layout.origins[0, columns[-1]] @ self.along[:2])
        self.half = float(layout.halves(angles)[0, columns[-1]])
        self.name = last.into

    def _across(self, panel: str, points: Array) -> Array:
        pose = self.poses[self.layout.tree.panel[panel]]
        placed = points @ pose[:3, :3].T + pose[:3, 3]
        found: Array = np.stack([placed @ self.along, placed[..., 2]], axis=-1)
        return found

    def face(self, panel: str, height: float) -> Faces:
        """A panel's face at a height above its outside face."""
        x, y = self.layout.outline(panel)[0, 0]
        low, high = self._across(panel, np.array([[x, y, height], [x, y, height + 1.0]]))
        return low, high - low

    def ends(self, panel: str) -> tuple[Array, Array]:
        """The near and the far end of the last panel's outside face."""
        outline = self.layout.outline(panel)[0]
        reach = outline @ self.along[:2]
        tip = outline[int(np.argmax(reach))]
        near = tip + (self.score + self.half - float(reach.max())) * self.along[:2]
        both = np.array([np.append(near, 0.0), np.append(tip, 0.0)])
        first, last = self._across(panel, both)
        return first, last

    def edge(self, panel: str, caliper: float) -> Array:
        """Both edges of the last panel's free end, (2, 2)."""
        outline = self.layout.outline(panel)[0]
        tip = outline[int(np.argmax(outline @ self.along[:2]))]
        return self._across(panel, np.array([[*tip, 0.0], [*tip, caliper]]))
