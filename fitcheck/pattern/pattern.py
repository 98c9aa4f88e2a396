"""A pattern is the tree of panels of one part, with the creases, joints and laps that fold it."""

from __future__ import annotations

import enum
import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from fitcheck.pattern.bonds import Bond, JointKind
from fitcheck.pattern.sheet import Corner, Sheet, Shifts

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Points: TypeAlias = NDArray[np.float64]

RIGHT_ANGLE = math.pi / 2
HALF_TURN = math.pi
SAME_RAD = 1e-6


class Role(enum.StrEnum):
    """What a panel is for."""

    FLOOR = "floor"
    TOP = "top"
    """What lies over the floor, in one piece with it."""
    WALL = "wall"
    TAB = "tab"
    FRAME = "frame"
    INNER_WALL = "inner wall"
    FLAP = "flap"


@dataclass(frozen=True)
class Panel:
    """A flat convex region between creases and cut edges."""

    name: str
    role: Role
    corners: tuple[Corner, ...]
    """Counter-clockwise, seen on the inside face."""


class CreaseKind(enum.StrEnum):
    """How a crease is made."""

    SCORED = "scored"
    HALF_CUT = "half cut"
    """Cut half through on the face that comes to lie outside the fold, as a hinge."""


@dataclass(frozen=True)
class CreaseLine:
    """A score and the fold made on it; the child panel turns about it, the parent stays."""

    parent: str
    child: str
    start: Corner
    stop: Corner
    angle_rad: float = RIGHT_ANGLE
    """Towards the inside face; negative towards the outside face. Half a turn at the most."""
    kind: CreaseKind = CreaseKind.SCORED

    def __post_init__(self) -> None:
        if not 0.0 < abs(self.angle_rad) <= HALF_TURN:
            raise ValueError(f"the fold {self.name} goes from 0 to half a turn either way")

    @property
    def name(self) -> str:
        """The crease in words: what it joins."""
        return f"{self.parent} / {self.child}"

    @property
    def sign(self) -> float:
        """1 for a fold towards the inside face, -1 for one towards the outside face."""
        return 1.0 if self.angle_rad > 0.0 else -1.0


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


@dataclass(frozen=True)
class Lap:
    """A panel that lies over another of the same level and over what that one carries.

    It is lifted by caliper and joint there.
    """

    over: str
    under: str


@dataclass(frozen=True)
class Pattern:
    """All that one part is cut, scored, folded and glued by."""

    part: str
    sheet: Sheet
    panels: tuple[Panel, ...]
    """The first one is the root: it stays where it is while the others fold."""
    creases: tuple[CreaseLine, ...]
    """Parents before children."""
    bonds: tuple[Bond, ...] = ()
    laps: tuple[Lap, ...] = ()
    webs: tuple[CreaseLine, ...] = ()
    """Creases that would close a loop of panels: scored and folded like the others, but nothing
    hangs on them; a bond says where the panels on either side come to lie."""
    on_end: bool = False
    """Whether it stands on the low ends of its panels, the root being the wall at the back."""

    @property
    def lines(self) -> tuple[CreaseLine, ...]:
        """All that is scored."""
        return self.creases + self.webs

    @cached_property
    def joints(self) -> tuple[Joint, ...]:
        """What each bond makes; ValueError where its faces cannot lie on each other."""
        return tuple(self._joint(bond) for bond in self.bonds)

    def bonds_of(self, *kinds: JointKind) -> tuple[Bond, ...]:
        """The bonds that make joints of some kinds, in the pattern's order."""
        return tuple(joint.bond for joint in self.joints if joint.kind in kinds)

    @property
    def corner_joints(self) -> tuple[Bond, ...]:
        """Tabs on the walls that they push out."""
        return self.bonds_of(JointKind.CORNER)

    @property
    def roll_joints(self) -> tuple[Bond, ...]:
        """Flaps that close rolled sides."""
        return self.bonds_of(JointKind.ROLL)

    @property
    def hems(self) -> dict[CreaseLine, Bond]:
        """The creases that are folded over and glued flat, with what holds them so.

        A web of half a turn is held so by the layers that it joins.
        """
        hems = {
            joint.path[0].line: joint.bond
            for joint in self.joints
            if joint.kind is JointKind.HEM and joint.bond.glued
        }
        webs = [web for web in self.webs if abs(web.angle_rad) == HALF_TURN]
        return hems | {web: Bond(web.child, web.parent) for web in webs}

    def path(self, start: str, stop: str) -> tuple[Crossing, ...]:
        """The creases on the way from one panel to another."""
        up, down = self.chain(start), self.chain(stop)
        shared = sum(one is other for one, other in zip(up, down, strict=False))
        return (
            *(Crossing(line, False) for line in reversed(up[shared:])),
            *(Crossing(line, True) for line in down[shared:]),
        )

    def _joint(self, bond: Bond) -> Joint:
        import numpy as np

        path = self.path(bond.onto, bond.panel)
        ends = np.array([self.score(crossing.line, {}) for crossing in path])
        along = ends[:, 1] - ends[:, 0]
        along /= np.hypot(*along.T)[:, None]
        if np.abs(along[:, 0] * along[0, 1] - along[:, 1] * along[0, 0]).max() > SAME_RAD:
            return Joint(bond, JointKind.CORNER, path)
        turned = sum(crossing.line.angle_rad for crossing in path)
        halves = round(turned / HALF_TURN)
        same_way = halves % 2 == 0
        if (bond.face is not bond.side) != same_way or halves == 0:
            raise ValueError(
                f"the {bond.panel} comes to lie otherwise on the {bond.onto} than by its "
                f"{bond.face} face on the {bond.side} face"
            )
        if same_way:
            return Joint(bond, JointKind.ROLL if bond.home else JointKind.TUBE, path)
        return Joint(bond, JointKind.HEM if len(path) == 1 else JointKind.LINING, path)

    def panel(self, name: str) -> Panel:
        """The panel of that name; KeyError if there is none."""
        for panel in self.panels:
            if panel.name == name:
                return panel
        raise KeyError(name)

    def crease_to(self, child: str) -> CreaseLine:
        """The crease that carries a panel; KeyError for the root."""
        for crease in self.creases:
            if crease.child == child:
                return crease
        raise KeyError(child)

    def chain(self, panel: str) -> tuple[CreaseLine, ...]:
        """The creases from the root out to a panel."""
        return tuple(reversed(list(self._inward(panel))))

    def far_panel(self, panels: Collection[str]) -> str:
        """Of the two panels that a crease joins, the one further from the root."""
        return max(panels, key=lambda name: len(self.chain(name)))

    def beyond(self, panel: str) -> tuple[str, ...]:
        """A panel and all that it carries, in the order of the creases."""
        found = [panel]
        for crease in self.creases:
            if crease.parent in found:
                found.append(crease.child)
        return tuple(found)

    def _inward(self, panel: str) -> Iterator[CreaseLine]:
        root = self.panels[0].name
        while panel != root:
            crease = self.crease_to(panel)
            yield crease
            panel = crease.parent

    def outline(self, panel: Panel, shifts: Shifts) -> Points:
        """A panel's corners on the sheet, (n, 2) mm from the sheet's bottom left."""
        import numpy as np

        return np.array([self.sheet.place(corner, shifts) for corner in panel.corners])

    def score(self, crease: CreaseLine, shifts: Shifts) -> Points:
        """A crease's two ends on the sheet, (2, 2) mm from the sheet's bottom left."""
        import numpy as np

        return np.array(
            [self.sheet.place(crease.start, shifts), self.sheet.place(crease.stop, shifts)]
        )


def polygon_area(outline: Points) -> float:
    """Signed area of a polygon (n, 2), positive when counter-clockwise.

    >>> import numpy as np
    >>> polygon_area(np.array([[0, 0], [2, 0], [2, 1], [0, 1]]))
    2.0
    """
    import numpy as np

    x, y = outline[:, 0], outline[:, 1]
    return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def flat_area(pattern: Pattern) -> float:
    """Area of paper left after cutting, mm2."""
    return sum(polygon_area(pattern.outline(panel, {})) for panel in pattern.panels)
