"""Contents as they fit, each piece with the pose that puts it in the box, and its mesh."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.face.frozen import Floats, frozen
from fitcheck.fit.check import Check
from fitcheck.fit.contents import Cavity, ContentFit
from fitcheck.packing.placing import Placement

if TYPE_CHECKING:
    from fitcheck.solids.handed_out import Trimesh


@dataclass(frozen=True, eq=False)
class Content:
    """One line of contents and how it fits in the base."""

    _fit: ContentFit = field(repr=False)
    _cavity: Cavity = field(repr=False)

    @property
    def item(self) -> str:
        """The item's name."""
        return self._fit.content.item.name

    @property
    def kind(self) -> str:
        """What shape it has, such as card, block, cylinder, sphere or mesh."""
        return str(self._fit.content.item.kind)

    @property
    def sizes_mm(self) -> tuple[float, ...]:
        """The item's sizes in the order in which its kind has them."""
        return self._fit.content.item.size_mm

    @property
    def count(self) -> int:
        """How many of it."""
        return self._fit.content.count

    @property
    def verdict(self) -> str:
        """fits, does not fit (proved) or none found."""
        return str(self._fit.verdict)

    @property
    def slack_mm(self) -> tuple[float, float, float] | None:
        """Its own free travel along width, length and height, pushing along what stands in its way;
        None without any arrangement."""
        slack = self._fit.own
        return None if slack is None else (slack.width_mm, slack.length_mm, slack.height_mm)

    @property
    def protrudes_mm(self) -> float:
        """How far it stands out above the rim."""
        return self._fit.protrudes_mm

    @property
    def orientations(self) -> tuple[str, ...]:
        """How each piece that has a place lies, such as flat or on edge."""
        return tuple(place.pose.name for place in self._fit.placements)

    @property
    def extents_mm(self) -> Floats:
        """(k, 3) each piece's size along its own x, y, z as it lies, before it is turned."""
        poses = [place.pose for place in self._fit.placements]
        sizes = [(one.width_mm, one.length_mm, one.height_mm) for one in poses]
        return frozen(np.reshape(sizes, (-1, 3)))

    @cached_property
    def poses(self) -> Floats:
        """(k, 4, 4) carries each piece, as it lies with the middle of its plan over the origin and
        its underside on z = 0, to its place in the base, mm. None of them where it has no place."""
        return frozen(
            np.reshape([_pose(p, self._cavity) for p in self._fit.placements], (-1, 4, 4))
        )

    def mesh(self, piece: int = 0) -> Trimesh:
        """A piece in its place in the base as a closed `trimesh.Trimesh`, mm; rounds within
        0.005 mm.

        Of a mesh file it is the file's own triangles. Raises IndexError where no piece of that
        number has a place, MissingLibraryError without trimesh or manifold3d, ModelError where the
        file is no closed surface.
        """
        from fitcheck.solids.handed_out import as_trimesh, load_trimesh
        from fitcheck.solids.lying import lying_mesh

        load_trimesh()
        place = self._fit.placements[piece]
        made = as_trimesh(lying_mesh(self._fit.content.item, place.pose))
        made.apply_transform(_pose(place, self._cavity))
        return made

    def __repr__(self) -> str:
        return f"Content({self.item!r}, count={self.count}, verdict={self.verdict!r})"


def _pose(place: Placement, cavity: Cavity) -> Floats:
    """Placements stand in the frame of the clear room, which is centred over the floor."""
    turn = np.radians(place.turn_deg)
    pose = np.eye(4)
    pose[:2, :2] = [[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]
    room = cavity.room
    pose[:3, 3] = (
        place.x_mm - 0.5 * room.width_mm,
        place.y_mm - 0.5 * room.length_mm,
        place.z_mm + cavity.base.caliper_mm,
    )
    return pose


def contents_of(check: Check) -> tuple[Content, ...]:
    """All contents of a checked design."""
    return tuple(Content(fit, check.cavity) for fit in check.contents)
