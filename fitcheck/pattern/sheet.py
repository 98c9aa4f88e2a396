"""Places on a sheet are measured from its fences, as a hand and a scoring board find them."""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass


class Fence(enum.StrEnum):
    """The sheet edge that is held against the stop."""

    LEFT = "left"
    RIGHT = "right"
    TOP = "top"
    BOTTOM = "bottom"

    @property
    def upright(self) -> bool:
        """True for the fences whose rules run along the sheet's length."""
        return self in (Fence.LEFT, Fence.RIGHT)

    @property
    def far(self) -> bool:
        """True for the fences on the far side of the sheet's zero corner (bottom left)."""
        return self in (Fence.RIGHT, Fence.TOP)


@dataclass(frozen=True, order=True)
class Rule:
    """A straight line parallel to a fence, `at_mm` away from it; at 0 it is the sheet's edge."""

    fence: Fence
    at_mm: float


#: The two cut sizes of a sheet are the far edges seen from the near ones.
WIDTH_EDGE = Rule(Fence.RIGHT, 0.0)
LENGTH_EDGE = Rule(Fence.TOP, 0.0)

Shifts = Mapping[Rule, float]
"""How far each rule was really made beyond its place, mm, measured away from its own fence.

For the two far edges it is how much too large the sheet was cut.
"""


@dataclass(frozen=True)
class Corner:
    """A panel's corner: an upright rule, a level rule, and a cut's own offset from them, mm."""

    x: Rule
    y: Rule
    dx: float = 0.0
    dy: float = 0.0


@dataclass(frozen=True)
class Sheet:
    """The rectangle that one part is cut from, mm."""

    width_mm: float
    length_mm: float

    def position(self, rule: Rule, shifts: Shifts) -> float:
        """Distance of a rule from the sheet's left or bottom edge, mm, with its error included."""
        size, edge = (
            (self.width_mm, WIDTH_EDGE) if rule.fence.upright else (self.length_mm, LENGTH_EDGE)
        )
        if not rule.fence.far:
            return rule.at_mm + shifts.get(rule, 0.0)
        far_edge = size + shifts.get(edge, 0.0)
        return far_edge if rule == edge else far_edge - rule.at_mm - shifts.get(rule, 0.0)

    def place(self, corner: Corner, shifts: Shifts) -> tuple[float, float]:
        """Where a corner lies, mm from the sheet's bottom left."""
        return (
            self.position(corner.x, shifts) + corner.dx,
            self.position(corner.y, shifts) + corner.dy,
        )
