"""A recipe holds all the numbers that a style draws a pattern from, every length settled."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitcheck.design.model import Axis, PartSpec
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools


@dataclass(frozen=True)
class Recipe:
    """One part, ready to be drawn; lengths in mm."""

    part: str
    style: str
    stock: Stock
    width_mm: float
    """Floor along the width, score to score."""
    length_mm: float
    """Floor along the length, score to score."""
    depth_mm: float
    joint_mm: float
    tabs: Axis
    tab_setback_mm: float
    frame_mm: float = 0.0
    inner_wall_mm: float = 0.0
    flap_mm: float = 0.0
    grain: Axis | None = None
    """The direction of the grain, where it is given."""
    tools: Tools | None = None
    """The tools it is made with, where it was measured what they always do; else None."""

    @property
    def bite_mm(self) -> float:
        """How far a wall's inside face stands inside its score line, t - a, mm."""
        return self.stock.caliper_mm - self.stock.crease_allowance_mm

    @property
    def folds(self) -> tuple[bool | None, bool | None]:
        """Whether folds run along the grain: those along the sheet's length, those along its width.

        None, both, where nobody says how the grain runs or nobody measured what it does to a fold.
        """
        if self.grain is None or self.stock.by_grain is None:
            return None, None
        return self.grain is Axis.LENGTH, self.grain is Axis.WIDTH

    def resized(self, width_mm: float, length_mm: float) -> Recipe:
        """The same recipe on another floor."""
        return replace(self, width_mm=width_mm, length_mm=length_mm)


def recipe_for(
    spec: PartSpec,
    width_mm: float,
    length_mm: float,
    joint_mm: float,
    default_tabs: Axis,
    tools: Tools | None = None,
) -> Recipe:
    """The recipe of a part on a floor of that size.

    A frame is level when its inner wall is shorter than the outer by caliper and joint, because
    its flap lies glued on the floor.
    """
    inner = spec.inner_wall_mm
    if inner is None:
        inner = spec.depth_mm - spec.stock.caliper_mm - joint_mm
    return Recipe(
        part=spec.name,
        style=spec.style,
        stock=spec.stock,
        width_mm=width_mm,
        length_mm=length_mm,
        depth_mm=spec.depth_mm,
        joint_mm=joint_mm,
        tabs=spec.tabs or default_tabs,
        tab_setback_mm=spec.tab_setback_mm,
        frame_mm=spec.frame_mm or 0.0,
        inner_wall_mm=inner,
        flap_mm=spec.flap_mm or 0.0,
        grain=spec.grain,
        tools=tools,
    )
