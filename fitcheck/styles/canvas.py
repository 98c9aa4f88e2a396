"""A canvas lets a style draw one quarter turn only: walls that carry tabs first, neighbours second.

Along axis `p` lie the walls that carry tabs, along `q` their neighbours. Near and far ends are
measured from opposite fences, as a maker turns the sheet round rather than measure across it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitcheck.pattern.creases import RIGHT_ANGLE, CreaseLine
from fitcheck.pattern.pattern import Panel, Role
from fitcheck.pattern.sheet import Axis, Corner, Fence, Knife, Rule

EASE_MM = 0.4
"""Room for a hand-held knife at each end of what it cuts off (about 1/64 in)."""
Spot = tuple[float, float]
"""A place given as (distance from the p fence, distance from the q fence), mm."""


@dataclass(frozen=True)
class Canvas:
    """Turns places measured from the p and q fences into corners on the sheet."""

    tab_walls_along: Axis
    """The walls that carry tabs run along this axis."""

    def spot(self, p: Edge, q: Edge) -> Corner:
        """The corner at two edges."""
        if self.tab_walls_along is Axis.LENGTH:
            return _corner(p, q)
        return _corner(q, p)

    def panel(self, name: str, role: Role, *spots: tuple[Edge, Edge]) -> Panel:
        """A panel through the given spots, put counter-clockwise."""
        corners = tuple(self.spot(p, q) for p, q in spots)
        turn = _turn(spots)
        if self.tab_walls_along is Axis.WIDTH:
            turn = -turn
        return Panel(name, role, corners if turn > 0 else corners[::-1])

    def crease(
        self,
        parent: str,
        child: str,
        start: tuple[Edge, Edge],
        stop: tuple[Edge, Edge],
        angle_rad: float = RIGHT_ANGLE,
    ) -> CreaseLine:
        """A crease between two spots."""
        return CreaseLine(parent, child, self.spot(*start), self.spot(*stop), angle_rad)

    def side_name(self, first: bool, far: bool) -> str:
        """The side of the part that a wall stands on, in words."""
        across_width = (self.tab_walls_along is Axis.LENGTH) == first
        if across_width:
            return "right" if far else "left"
        return "back" if far else "front"


@dataclass(frozen=True)
class Edge:
    """A line across the canvas: so far from the near or the far fence, plus a cut's own offset."""

    at_mm: float
    far: bool = False
    inward_mm: float = 0.0
    """Offset towards the middle of the sheet, mm; it belongs to the cut, not to the rule."""
    knife: Knife | None = None
    """The cut that it belongs to, where a knife makes it by itself."""
    outward: bool = True
    """Whether what the knife ends grows away from the middle of the sheet."""
    across: bool = False
    """Whether it is measured from the fence of the other side, across the middle of the sheet."""
    hair_mm: float = 0.0
    """How much of its distance a layer of paper and its glue take."""

    @property
    def from_far(self) -> bool:
        """Whether it is measured from the far fence."""
        return self.far != self.across

    def rule(self, upright: bool) -> Rule:
        """The rule on the sheet."""
        if upright:
            fence = Fence.RIGHT if self.from_far else Fence.LEFT
        else:
            fence = Fence.TOP if self.from_far else Fence.BOTTOM
        return Rule(fence, self.at_mm, self.hair_mm)

    @property
    def offset(self) -> float:
        """The offset along the sheet's own axis, mm."""
        return -self.inward_mm if self.far else self.inward_mm

    @property
    def grow(self) -> float:
        """The way along the sheet's own axis in which it grows with its knife, 1 or -1."""
        if self.knife is None:
            return 0.0
        return 1.0 if self.far == self.outward else -1.0

    def inward(self, mm: float) -> Edge:
        """The same rule, the cut moved further towards the middle."""
        return replace(self, inward_mm=self.inward_mm + mm)

    def cut(self, knife: str, mm: float, *, outward: bool = True) -> Edge:
        """The same rule, a knife's cut so far towards the middle of it."""
        return replace(self, inward_mm=self.inward_mm + mm, knife=Knife(knife), outward=outward)


def _corner(x: Edge, y: Edge) -> Corner:
    """The corner at an upright and a level edge."""
    return Corner(x.rule(True), y.rule(False), x.offset, y.offset, x.knife, y.knife, x.grow, y.grow)


def _turn(spots: tuple[tuple[Edge, Edge], ...]) -> float:
    """Positive when the spots go counter-clockwise with p to the right and q upwards."""
    huge = 1.0e6  # any sheet is smaller, so far edges sort beyond near ones
    points = [
        tuple((huge - e.at_mm if e.from_far else e.at_mm) + e.offset for e in spot)
        for spot in spots
    ]
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairs)
