"""Parts whose walls are rolled into a frame: their lengths and what they settle by themselves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fitcheck.styles.keys import length_or, length_schema
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import SizeBy
from fitcheck.styles.walled import InnerWallSpec, WalledRecipe
from fitcheck.units import Unit, show_length

LEVEL = "level"
"""What an inner wall is given as that lays its frame level."""
InnerWall = Annotated[float | None, length_or(LEVEL), length_schema()]


@dataclass(frozen=True, kw_only=True)
class RolledSpec(InnerWallSpec):
    """A part whose walls are rolled into a frame."""

    frame_mm: float
    """Score to score."""
    flap_mm: float
    """Score to cut edge."""

    own_lengths = (
        OwnLength("frame", "frame"),
        OwnLength("inner_wall", "inner wall", LEVEL),
        OwnLength("flap", "flap"),
    )

    @property
    def growth_mm(self) -> float:
        """The frames stand round the opening."""
        if self.size_by in (SizeBy.INSIDE, SizeBy.OPENING):
            return 2 * self.frame_mm + 2 * self.stock.crease_allowance_mm
        return 0.0

    @property
    def inside_depth_mm(self) -> float:
        """Up to the frame's top, over two creases."""
        return self.depth_mm + 2 * self.stock.crease_allowance_mm - self.stock.caliper_mm

    def level_mm(self, joint_mm: float) -> float:
        """The inner wall that lays the frame level: its flap lies glued on the floor."""
        return self.depth_mm - self.stock.caliper_mm - joint_mm

    def lengths_mm(self, joint_mm: float) -> dict[str, float]:
        """Frame, inner wall and flap."""
        inner = self.level_mm(joint_mm) if self.inner_wall_mm is None else self.inner_wall_mm
        return {"frame": self.frame_mm, "inner_wall": inner, "flap": self.flap_mm}

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """Its rolled lengths, and what a frame takes."""
        inner = LEVEL if self.inner_wall_mm is None else show_length(self.inner_wall_mm, unit)
        return (
            f"read depth {show_length(self.depth_mm, unit)}, "
            f"frame {show_length(self.frame_mm, unit)}, inner_wall {inner}, "
            f"flap {show_length(self.flap_mm, unit)}; a frame lies level with an inner_wall of "
            f"{show_length(self.level_mm(joint_mm), unit)}, and a flap up to about its width goes "
            "under it; change these lengths"
        )


@dataclass(frozen=True, kw_only=True)
class RolledRecipe(WalledRecipe):
    """A part whose walls are rolled into a frame, ready to be drawn."""

    frame_mm: float
    inner_wall_mm: float
    flap_mm: float

    inside_words = "opening"
    inside_by_folding = True

    @property
    def ample_mm(self) -> float:
        """The frames, too."""
        return 2.0 * (self.frame_mm + self.stock.caliper_mm + self.depth_mm)
