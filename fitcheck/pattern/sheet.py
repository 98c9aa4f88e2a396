"""Places on a sheet are measured from its fences, as a hand and a scoring board find them."""

from __future__ import annotations

import enum
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field


class Axis(enum.StrEnum):
    """A direction of a sheet, and of the floor that it folds into."""

    WIDTH = "width"
    LENGTH = "length"


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
    hair_mm: float = field(default=0.0, compare=False)
    """How much of its distance a layer of paper and its glue take: a hand finds its place without
    them, in a groove where there is one, and scores it a hair further out."""


#: The two cut sizes of a sheet are the far edges seen from the near ones.
WIDTH_EDGE = Rule(Fence.RIGHT, 0.0)
LENGTH_EDGE = Rule(Fence.TOP, 0.0)


@dataclass(frozen=True, order=True)
class Knife:
    """One cut inside the sheet, made with a knife; by what it gives its end, in words."""

    name: str
    fits_mm: float | None = None
    """Where another part goes into what it makes, so that its errors always count: its size."""
    takes: bool = False
    """Whether contents go into what it makes, so that a hand makes it no smaller."""

    @property
    def fits(self) -> bool:
        """Whether another part goes into what it makes."""
        return self.fits_mm is not None


Line = Rule | Knife
"""What is scored or cut by itself, with an error of its own."""
Shifts = Mapping[Line, float]
"""How far each rule was really made beyond its place, mm, measured away from its own fence.

For the two far edges it is how much too large the sheet was cut, for a knife's cut how much too
far out it lies, so that what it ends is that much larger.
"""


@dataclass(frozen=True)
class Corner:
    """A panel's corner: an upright rule, a level rule, and a cut's own offset from them, mm."""

    x: Rule
    y: Rule
    dx: float = 0.0
    dy: float = 0.0
    cut_x: Knife | None = None
    """The knife's cut that the offset along x belongs to; None where a rule alone places it."""
    cut_y: Knife | None = None
    grow_x: float = 0.0
    """The way along x in which the panel grows with that cut, 1 or -1; a half of it where the cut
    is one size between two corners, half on each side."""
    grow_y: float = 0.0


@dataclass(frozen=True)
class Sheet:
    """The rectangle that one part is cut from, mm."""

    width_mm: float
    length_mm: float
    between_walls: bool = False
    """Whether it stands between walls as it is cut, so that a hand makes it no larger."""
    holds_lid_up: bool = False
    """Whether its sides hold the height of a wall that a lid hangs on, so that a hand makes it no
    smaller: a caliper was rounded away, and that is the room that is left under the lid."""

    @property
    def sides_mm(self) -> tuple[float, float]:
        """Its width and its length."""
        return self.width_mm, self.length_mm

    @property
    def to(self) -> Callable[[float], int]:
        """Which whole number of steps a hand makes of its sides."""
        if self.between_walls:
            return math.floor
        return math.ceil if self.holds_lid_up else round

    def position(self, rule: Rule, shifts: Shifts) -> float:
        """Distance of a rule from the sheet's left or bottom edge, mm, with its error included."""
        size, edge = (
            (self.width_mm, WIDTH_EDGE) if rule.fence.upright else (self.length_mm, LENGTH_EDGE)
        )
        if not rule.fence.far:
            return rule.at_mm + shifts.get(rule, 0.0)
        far_edge = size + shifts.get(edge, 0.0)
        return far_edge if rule == edge else far_edge - rule.at_mm - shifts.get(rule, 0.0)

    def spot(self, fence: Fence, at_mm: float, along_mm: float) -> tuple[float, float]:
        """A place so far from a fence and so far along it, mm from the sheet's bottom left."""
        if fence.upright:
            return (self.width_mm - at_mm if fence.far else at_mm, along_mm)
        return (along_mm, self.length_mm - at_mm if fence.far else at_mm)

    def place(self, corner: Corner, shifts: Shifts) -> tuple[float, float]:
        """Where a corner lies, mm from the sheet's bottom left."""
        x = self.position(corner.x, shifts) + corner.dx
        y = self.position(corner.y, shifts) + corner.dy
        if corner.cut_x is not None and corner.cut_x in shifts:
            x += corner.grow_x * shifts[corner.cut_x]
        if corner.cut_y is not None and corner.cut_y in shifts:
            y += corner.grow_y * shifts[corner.cut_y]
        return x, y


_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def ordinal(number: int) -> str:
    """How scores are counted from an edge: the first, the second.

    >>> ordinal(1), ordinal(12)
    ('first', '12th')
    """
    return _ORDINALS[number - 1] if number <= len(_ORDINALS) else f"{number}th"
