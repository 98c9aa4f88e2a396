"""Parts whose walls are folded down inside themselves: their keys, lengths and what they settle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from fitcheck.styles.keys import length_or, length_schema
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import SizeBy
from fitcheck.styles.walled import InnerWallSpec, WalledFile, WalledRecipe
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import Length

SHORT_MM = 1.6
"""What a glued inner wall is cut short of the floor by, so that errors of its scores do not make it
lift its rim (about 1/16 in; common practice, no source)."""
END_MM = 0.8
"""What each end of an inner wall is cut clear of what stands beside it, so that errors of scores
and cuts do not press it there (about 1/32 in; common practice, no source)."""
SHORT_SHARE = 0.1
"""Of the outer wall, at the most: a low one is scored as near to the fence."""
SNUG = "snug"
"""What a rim is given as that is one score, folded right over on what lies between."""
TO_THE_FLOOR = "to the floor"
"""What an inner wall is given as that is as high as it can be."""


Rim = Annotated[float | None, length_or(SNUG), length_schema()]
InnerWall = Annotated[float | None, length_or(TO_THE_FLOOR), length_schema()]
Lock = Literal["glued", "foot"]


class DoubleWallFile(WalledFile):
    """The keys of a double-walled tray."""

    style: Literal["double-wall"] = Field(description='The style: "double-wall".')
    depth: Length = Field(description="The outer wall, a length score to score.")
    rim: Rim = Field(
        default=None,
        description='A length between the two scores that each wall is folded over at, or "snug", '
        "the default: one score, folded right over on what lies between the two walls.",
    )
    inner_wall: InnerWall = Field(
        default=None,
        description='A length from its score to its cut edge, or "to the floor", the default: '
        "where it is glued it ends about 1/16 in above the floor, else it stands there.",
    )
    lock: Lock = Field(
        default="glued",
        description="What holds the inner walls down: glued, or foot, where they stand on the "
        "floor between the others and are not glued.",
    )


@dataclass(frozen=True, kw_only=True)
class DoubleWallSpec(InnerWallSpec):
    """A tray whose walls are folded down inside themselves."""

    rim_mm: float | None
    """Score to score; None = one score, folded right over."""
    glued: bool
    """Whether the inner walls are glued to the outer ones; else they stand on the floor."""

    own_lengths = (OwnLength("inner_wall", "inner wall", TO_THE_FLOOR),)
    still = ("rim_mm",)

    @property
    def growth_mm(self) -> float:
        """Two walls on each side, or what the rim reaches in at the top, which may be more."""
        if self.size_by is not SizeBy.INSIDE:
            return 0.0
        beyond = 0.0 if self.rim_mm is None else self.rim_mm + self.stock.crease_allowance_mm
        return 2.0 * max(beyond, self.bite_mm + self.stock.caliper_mm)

    def highest_mm(self) -> float:
        """The inner wall that just stands on the floor: both are folded alike at the top."""
        return self.depth_mm - self.bite_mm

    def least_rim_mm(self, joint_mm: float) -> float:
        """Between two scores, over the tabs: what both bends take, and what lies between."""
        between = self.stock.caliper_mm + joint_mm + (joint_mm if self.glued else 0.0)
        return 2.0 * max(0.0, self.bite_mm) + between

    def lengths_mm(self, joint_mm: float) -> dict[str, float]:
        """The inner wall, settled."""
        inner = self.inner_wall_mm
        if inner is None:
            short = min(SHORT_MM, SHORT_SHARE * self.depth_mm) if self.glued else 0.0
            inner = self.highest_mm() - short
        return {"inner_wall": inner}

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """Its lengths, and what an inner wall takes."""
        rim, inner = (
            word if mm is None else show_length(mm, unit)
            for word, mm in ((SNUG, self.rim_mm), (TO_THE_FLOOR, self.inner_wall_mm))
        )
        return (
            f"read depth {show_length(self.depth_mm, unit)}, rim {rim}, inner_wall {inner}; an "
            f"inner_wall of {show_length(self.highest_mm(), unit)} stands on the floor; change "
            "these lengths"
        )


@dataclass(frozen=True, kw_only=True)
class DoubleWallRecipe(WalledRecipe):
    """A tray whose walls are folded down inside themselves, ready to be drawn."""

    rim_mm: float | None
    """None = one score, folded right over."""
    inner_wall_mm: float
    glued: bool

    inside_by_folding = True

    @property
    def reach_mm(self) -> float:
        """How far a folded wall without tabs behind it comes in from its score line, mm."""
        stock = self.stock
        foot = max(0.0, self.bite_mm) + stock.caliper_mm + self.joint_mm
        if self.rim_mm is None:
            return foot
        return max(foot, self.rim_mm + stock.crease_allowance_mm)

    @property
    def ample_mm(self) -> float:
        """Both walls of both sides, and the joints."""
        return super().ample_mm + 2.0 * (self.reach_mm + self.stock.caliper_mm + self.joint_mm)
