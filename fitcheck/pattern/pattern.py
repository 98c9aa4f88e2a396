"""A pattern is the tree of panels of one part, with the creases, joints and laps that fold it."""

from __future__ import annotations

import enum
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from fitcheck.pattern.sheet import Corner, Sheet, Shifts
from fitcheck.polygons import polygon_area

Points: TypeAlias = NDArray[np.float64]

RIGHT_ANGLE = np.pi / 2


class Role(enum.StrEnum):
    """What a panel is for."""

    FLOOR = "floor"
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


@dataclass(frozen=True)
class CreaseLine:
    """A score and the fold made on it; the child panel turns about it, the parent stays."""

    parent: str
    child: str
    start: Corner
    stop: Corner
    angle_rad: float = RIGHT_ANGLE

    @property
    def name(self) -> str:
        """The crease in words: what it joins."""
        return f"{self.parent} / {self.child}"


@dataclass(frozen=True)
class CornerJoint:
    """A tab glued by its outside face to the inside of the neighbouring wall."""

    tab: str
    wall: str


@dataclass(frozen=True)
class RollJoint:
    """A flap glued by its outside face to the inside face of another panel; it closes a tube."""

    flap: str
    onto: str


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
    corner_joints: tuple[CornerJoint, ...] = ()
    roll_joints: tuple[RollJoint, ...] = ()
    laps: tuple[Lap, ...] = ()

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
        return np.array([self.sheet.place(corner, shifts) for corner in panel.corners])

    def score(self, crease: CreaseLine, shifts: Shifts) -> Points:
        """A crease's two ends on the sheet, (2, 2) mm from the sheet's bottom left."""
        return np.array(
            [self.sheet.place(crease.start, shifts), self.sheet.place(crease.stop, shifts)]
        )


def flat_area(pattern: Pattern) -> float:
    """Area of paper left after cutting, mm2."""
    return sum(polygon_area(pattern.outline(panel, {})) for panel in pattern.panels)
