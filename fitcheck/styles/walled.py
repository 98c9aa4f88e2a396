"""Parts of four walls round a floor, glued at the corners: what their styles have in common."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Self, TypeVar

from pydantic import Field

from fitcheck.pattern.sheet import Axis
from fitcheck.styles.keys import MOST_SETBACK_MM, AxisName, PartFile, Setback, Sides
from fitcheck.styles.part import PartSpec, Recipe, SizeBy
from fitcheck.styles.style import FEW_CALIPERS, Problems, Style
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import Length


class WalledFile(PartFile):
    """The keys of a part with walls round its floor."""

    floor: Sides | None = Field(default=None, description="A list [width, length], score to score.")
    inside: Sides | None = Field(
        default=None, description="A list [width, length] between the inside faces of the walls."
    )
    depth: Length = Field(description="The wall, a length from its score to its cut edge.")
    tabs: AxisName | None = Field(
        default=None,
        description="The two walls that carry the tabs: those along the width or the length; "
        "default: the longer side of a tray, the shorter of a shadow box.",
    )
    tab_setback: Setback = Field(
        default=0.0,
        description="How far a tab's score is moved inward, a length from 0 to "
        f"{MOST_SETBACK_MM:g} mm.",
    )


@dataclass(frozen=True, kw_only=True)
class WalledSpec(PartSpec):
    """A part with walls round its floor."""

    tabs: Axis | None = None
    """Along which side the walls run that carry the tabs; None = the style's default."""
    tab_setback_mm: float = 0.0
    """How far a tab's score is moved inward from the neighbour's score line."""
    window_mm: tuple[float, float] | None = None
    """A window in the middle of its floor."""

    own_choices: ClassVar[tuple[str, ...]] = ("tabs",)

    @property
    def growth_mm(self) -> float:
        """Walls stand in by t - a on each side."""
        if self.size_by is SizeBy.INSIDE:
            return 2 * self.bite_mm
        return 0.0

    def push_mm(self, joint_mm: float) -> float:
        """How far its glued corners push a wall out at its rim, t + g - s, mm; signed."""
        return self.stock.caliper_mm + joint_mm - self.tab_setback_mm

    push_words: ClassVar[str] = "the difference between a caliper with the joint and tab_setback"
    """What that is."""
    push_cure: ClassVar[str] = "make it deeper, or bring tab_setback nearer to the joint"


@dataclass(frozen=True, kw_only=True)
class InnerWallSpec(WalledSpec):
    """A part whose walls come down again inside, with an inner wall of its own height."""

    inner_wall_mm: float | None
    """None = as its style settles it."""

    @property
    def less_than_depth_mm(self) -> float | None:
        """Of an inner wall that was given."""
        return None if self.inner_wall_mm is None else self.depth_mm - self.inner_wall_mm

    def with_depth(self, depth_mm: float) -> Self:
        """An inner wall that was given goes with the depth."""
        inner = self.inner_wall_mm
        if inner is not None:
            inner += depth_mm - self.depth_mm
        return replace(self, depth_mm=depth_mm, inner_wall_mm=inner)


@dataclass(frozen=True, kw_only=True)
class WalledRecipe(Recipe):
    """A part with walls round its floor, ready to be drawn."""

    tabs: Axis
    tab_setback_mm: float = 0.0
    window_mm: tuple[float, float] | None = None

    @property
    def corner_push_mm(self) -> float:
        """Tabs push the walls out that are glued over them by t + g - s."""
        return self.stock.caliper_mm + self.joint_mm - self.tab_setback_mm

    @property
    def inside_by_folding(self) -> bool:
        """Tabs that are set back stand in it."""
        return self.tab_setback_mm != 0.0

    def glue_words(self) -> str:
        """The setback, too."""
        return f"tab_setback {self.tab_setback_mm:.2f} mm and joint {self.joint_mm:.2f} mm"


W = TypeVar("W", bound=WalledSpec)
V = TypeVar("V", bound=WalledRecipe)


class Walled(Style[W, V]):
    """What a style with walls round a floor needs beside its drawing."""

    places: ClassVar[tuple[str, ...]] = ("base", "lid")
    sizes: ClassVar[tuple[SizeBy, ...]] = (SizeBy.FLOOR, SizeBy.INSIDE)
    tabs_on_longer_side: ClassVar[bool]
    """Which pair of walls carries the tabs when the design does not say."""

    def default_tabs(self, width_mm: float, length_mm: float) -> Axis:
        """The axis along which the tab-carrying walls run, unless the design says another."""
        longer = Axis.LENGTH if length_mm >= width_mm else Axis.WIDTH
        shorter = Axis.WIDTH if longer is Axis.LENGTH else Axis.LENGTH
        return longer if self.tabs_on_longer_side else shorter

    def floor_problems(
        self, spec: W, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """A setback that leaves nothing of a wall, corners that would tear it off."""
        few = FEW_CALIPERS * spec.stock.caliper_mm
        eaten = floor is not None and 2 * spec.tab_setback_mm >= min(floor)
        if floor is not None and eaten:
            yield (
                f"{spec.name}.tab_setback",
                "leaves nothing of the wall",
                f"read {show_length(spec.tab_setback_mm, unit)}",
                f"allowed: below half the smaller floor side, {show_length(min(floor) / 2, unit)}",
                "make it smaller",
            )
        least = few + self.least_beyond_mm(joint_mm)
        if spec.depth_mm <= least:
            yield (
                f"{spec.name}.depth",
                "is too low a wall to fold",
                f"read {show_length(spec.depth_mm, unit)}",
                f"allowed: above {FEW_CALIPERS} calipers of {spec.stock.name}"
                + (" and the joint" if least > few else "")
                + f", {show_length(least, unit)}",
                "make it deeper",
            )
        elif not eaten:
            yield from _corner_problems(spec, joint_mm, unit)

    def least_beyond_mm(self, joint_mm: float) -> float:
        """What a wall has to be higher than its few calipers."""
        return 0.0


def _corner_problems(spec: WalledSpec, joint_mm: float, unit: Unit) -> Problems:
    """Tabs that push the wall glued over them further than it is high would have to tear it off."""
    push = spec.stock.corner_give * spec.push_mm(joint_mm)
    if abs(push) >= spec.depth_mm:
        way = "out" if push > 0.0 else "in"
        yield (
            f"{spec.name}.depth",
            f"is lower than its glued corners push its walls {way}",
            f"read {show_length(spec.depth_mm, unit)}",
            f"allowed: above {spec.push_words}, {show_length(abs(push), unit)}",
            spec.push_cure,
        )
