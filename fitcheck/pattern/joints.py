"""What a bond makes of the creases on the way between its two panels."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from fitcheck.pattern.bonds import Bond, JointKind

if TYPE_CHECKING:
    from fitcheck.pattern.creases import CreaseLine
    from fitcheck.pattern.pattern import Pattern

SAME_RAD = 1e-6


class Crossing(NamedTuple):
    """A crease on the way from one panel to another."""

    line: CreaseLine
    outwards: bool
    """Whether the way goes from its parent to its child."""

    @property
    def into(self) -> str:
        """The panel that it leads to."""
        return self.line.child if self.outwards else self.line.parent


class Joint(NamedTuple):
    """A bond with what it makes of the creases between its panels."""

    bond: Bond
    kind: JointKind
    path: tuple[Crossing, ...]
    """From what it lies on to the panel that is laid on it."""

    @property
    def lined(self) -> bool:
        """Whether a panel is folded back over the wall that carries it."""
        return self.kind in (JointKind.LINING, JointKind.HEM)


def joint_of(pattern: Pattern, bond: Bond) -> Joint:
    """What a bond makes; ValueError where its faces cannot lie on each other."""
    import numpy as np

    path = pattern.path(bond.onto, bond.panel)
    ends = np.array([pattern.score(crossing.line, {}) for crossing in path])
    along = ends[:, 1] - ends[:, 0]
    along /= np.hypot(*along.T)[:, None]
    if np.abs(along[:, 0] * along[0, 1] - along[:, 1] * along[0, 0]).max() > SAME_RAD:
        return Joint(bond, JointKind.CORNER, path)
    turned = sum(crossing.line.angle_rad for crossing in path)
    halves = round(turned / math.pi)
    same_way = halves % 2 == 0
    if (bond.face is not bond.side) != same_way or halves == 0:
        raise ValueError(
            f"the {bond.panel} comes to lie otherwise on the {bond.onto} than by its "
            f"{bond.face} face on the {bond.side} face"
        )
    if same_way:
        return Joint(bond, JointKind.ROLL if bond.home else JointKind.TUBE, path)
    return Joint(bond, JointKind.HEM if len(path) == 1 else JointKind.LINING, path)
