"""A pattern is the tree of panels of one part, with the creases, joints and laps that fold it."""

from __future__ import annotations

import enum
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

from fitcheck.errors import ModelError
from fitcheck.pattern.bonds import Bond, Face, JointKind
from fitcheck.pattern.boundary import BRIDGE_MM, Boundary, boundary_of, ring_of
from fitcheck.pattern.creases import HALF_TURN, CreaseLine
from fitcheck.pattern.cutouts import Cutout
from fitcheck.pattern.joints import Crossing, Joint, joint_of
from fitcheck.pattern.layers import Layer
from fitcheck.pattern.rows import Row
from fitcheck.pattern.sheet import Corner, Sheet, Shifts
from fitcheck.pattern.tucks import Tuck

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Points: TypeAlias = NDArray[np.float64]

STRAIGHT_MM2 = -1e-9
"""Two edges that turn inwards by no more, as their cross product, run straight on."""


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
    LID = "lid"
    """What is turned over the floor about its own crease, in one piece with the walls."""
    BOTTOM_FLAP = "bottom flap"
    """What is turned in over the floor, held by nothing but its crease; contents stand on it."""
    DUST_FLAP = "dust flap"
    """What is turned in before a lid goes over it, held by nothing but its crease."""


@dataclass(frozen=True)
class Panel:
    """A flat region between creases and cut edges, in one piece.

    It may be concave, its edges may be arcs, and it may have cut-outs: windows inside it, notches
    open at its edge, slits. It lies wholly on one side of the line of each of its creases, and of
    the edge along a crease nothing is cut away (a notch may start where the crease ends). What is
    not allowed raises ModelError when the panel is first laid out, with the cut-out's name.
    """

    name: str
    role: Role
    corners: tuple[Corner, ...]
    """Counter-clockwise, seen on the face that the pattern is drawn as seen on."""
    bulges: tuple[float, ...] = ()
    """Of each corner's edge to the next: 0 straight, 1 a half round, positive where the arc makes
    the panel larger. Empty where all are straight."""
    cutouts: tuple[Cutout, ...] = ()

    @property
    def plain(self) -> bool:
        """Whether its corners say all, without arcs and cut-outs."""
        return not self.bulges and not self.cutouts

    @property
    def every_corner(self) -> tuple[Corner, ...]:
        """Its own corners and those of its cut-outs."""
        return self.corners + tuple(at for cutout in self.cutouts for at in cutout.corners)


@dataclass(frozen=True)
class Lap:
    """A panel that lies, caliper and joint higher, over another one and what that one carries."""

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
    turned: bool = False
    """Whether it stands upside down, its root above."""
    row: Row | None = None
    """Set where it is no box but a strip of a grid."""
    tucks: tuple[Tuck, ...] = ()
    alike: int = 1
    """From how many sheets, all alike, the part is made."""
    layers: tuple[Layer, ...] = ()
    seen: Face = Face.INSIDE
    """The face that it is drawn as seen on; styles draw the inside, and only that is folded."""

    @property
    def copies(self) -> int:
        """How often it is cut for one box."""
        return self.alike if self.row is None else len(self.row.at_mm)

    @property
    def open_tube(self) -> bool:
        """Whether it is glued round, with something over its root and nothing across its ends."""
        return self.on_end or Role.TOP in (panel.role for panel in self.panels)

    @property
    def lines(self) -> tuple[CreaseLine, ...]:
        """All that is scored."""
        return self.creases + self.webs

    @cached_property
    def joints(self) -> tuple[Joint, ...]:
        """What each bond makes; ValueError where its faces cannot lie on each other."""
        return tuple(joint_of(self, bond) for bond in self.bonds)

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

    @cached_property
    def buried(self) -> frozenset[str]:
        """Panels that are glued between a tab and its wall, and their creases, by their names.

        A pushed wall leans about its foot, and so they would reach further in there than the tab
        that covers them. Paper bends there instead: what comes by meets the tab and the walls.
        """
        covered = {bond.panel: bond.onto for bond in self.corner_joints if bond.between}
        layers = {
            bond.panel for bond in self.bonds_of(JointKind.HEM) if bond.onto in covered.values()
        }
        return frozenset(
            layers | {line.name for line in self.lines if {line.parent, line.child} & layers}
        )

    def path(self, start: str, stop: str) -> tuple[Crossing, ...]:
        """The creases on the way from one panel to another."""
        up, down = self.chain(start), self.chain(stop)
        shared = sum(one is other for one, other in zip(up, down, strict=False))
        return (
            *(Crossing(line, False) for line in reversed(up[shared:])),
            *(Crossing(line, True) for line in down[shared:]),
        )

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

    @cached_property
    def hung(self) -> frozenset[str]:
        """The panels that a lid in one piece with the walls turns, itself included."""
        lids = (panel.name for panel in self.panels if panel.role is Role.LID)
        return frozenset(name for lid in lids for name in self.beyond(lid))

    def _inward(self, panel: str) -> Iterator[CreaseLine]:
        root = self.panels[0].name
        while panel != root:
            crease = self.crease_to(panel)
            yield crease
            panel = crease.parent

    @property
    def flat(self) -> bool:
        """Whether it stays as it is cut: nothing of it is folded."""
        return not self.creases

    def outline(self, panel: Panel, shifts: Shifts) -> Points:
        """A panel's corners on the sheet, (n, 2) mm from the sheet's bottom left."""
        import numpy as np

        return np.array([self.sheet.place(corner, shifts) for corner in panel.corners])

    def simple(self, panel: Panel) -> bool:
        """Whether a panel as drawn is convex, without arcs and cut-outs."""
        if not panel.plain:
            return False
        import numpy as np

        edges = np.diff(self.outline(panel, {}), axis=0, append=self.outline(panel, {})[:1])
        onward = np.roll(edges, -1, axis=0)
        turns = edges[:, 0] * onward[:, 1] - edges[:, 1] * onward[:, 0]
        return bool(np.all(turns >= STRAIGHT_MM2))

    def boundary(self, panel: Panel) -> Boundary:
        """What bounds a panel's paper, its cut-outs taken away.

        Raises ModelError where a cut-out, an arc or a score lies as it must not.
        """
        if self.simple(panel):
            return Boundary(ring_of(panel.corners))
        found = boundary_of(self.sheet, panel.name, panel.corners, panel.bulges, panel.cutouts)
        self._check_creases(panel, found)
        return found

    def _check_creases(self, panel: Panel, boundary: Boundary) -> None:
        """Refuse paper beyond a crease's line, and a cut-out that takes away paper along it."""
        import numpy as np
        import shapely

        rings = boundary.polygons(self.sheet)
        edge = shapely.union_all([shapely.LinearRing(ring) for ring in rings]).buffer(BRIDGE_MM)
        for crease in self.lines:
            if panel.name not in (crease.parent, crease.child):
                continue
            start, stop = self.score(crease, {})
            if not edge.covers(shapely.LineString([start, stop])):
                raise ModelError(
                    f"the score {crease.name} does not run along the edge of the {panel.name}: "
                    "end its cut-outs and arcs where the score ends"
                )
            along = (stop - start) / np.linalg.norm(stop - start)
            off = (rings[0] - start) @ np.array([-along[1], along[0]])
            if off.min() < -BRIDGE_MM and off.max() > BRIDGE_MM:
                raise ModelError(
                    f"the {panel.name} has paper on both sides of the line of the score "
                    f"{crease.name}: split the panel there"
                )

    def score(self, crease: CreaseLine, shifts: Shifts) -> Points:
        """A crease's two ends on the sheet, (2, 2) mm from the sheet's bottom left."""
        import numpy as np

        return np.array(
            [self.sheet.place(crease.start, shifts), self.sheet.place(crease.stop, shifts)]
        )


def flat_area(pattern: Pattern) -> float:
    """Area of paper left after cutting, mm2, arcs exact."""
    return sum(pattern.boundary(panel).area(pattern.sheet, {}) for panel in pattern.panels)
