"""What a design says about one part, and the recipe that a style draws it from.

Both are families: each style has its own keys, lengths and recipe beyond what every part has.
"""

from __future__ import annotations

import enum
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.units import Unit, show_length

ByLength = Mapping[str, float]
"""Millimetres by the attribute of a recipe."""


class SizeBy(enum.StrEnum):
    """What the two sizes of a part mean."""

    FLOOR = "floor"
    """Score to score."""
    INSIDE = "inside"
    """Between the inside faces of the walls."""
    OPENING = "opening"
    """Between the rolled frame's inner walls."""
    OVERSIZE = "oversize"
    """Score to score, over the base's floor (a lid's)."""
    SAME_SHEET = "same_sheet"
    """Scores so much nearer the edges of a sheet of the base's size (a lid's)."""
    CONTENTS = "contents"
    """What is left free around the contents (written ``slack`` in the file)."""
    CUT = "cut"
    """As it is cut: strips from end to end, a mat from edge to edge, the top of a platform score to
    score."""
    EASE = "ease"
    """By how much a sleeve exceeds its tray, across and up, or a collar falls short of its base,
    score to score."""


@dataclass(frozen=True, kw_only=True)
class PartSpec:
    """What a design says about one part, whatever its style; lengths in mm."""

    name: str
    """What the part is to the others, by the name of its table."""
    style: str
    stock: Stock
    size_by: SizeBy
    size_mm: tuple[float, float]
    """Width and length; what they measure is said by ``size_by``."""
    depth_mm: float
    """The wall as its style measures it."""
    grain: Axis | None = None
    """The direction of the paper's grain; None when not said."""
    decoration_g: float = 0.0
    """What is stuck on it weighs."""

    own_lengths: ClassVar[tuple[OwnLength, ...]] = ()
    """The lengths that only its style has, in the order in which they are told."""
    gaps: ClassVar[tuple[OwnLength, ...]] = ()
    """The lengths that only its style has and that leave something room to go in or to close."""
    ease_ways: ClassVar[tuple[str, str]] = ("across", "up")
    """Which ways its two sizes go where they are its ease."""
    depth_key: ClassVar[str] = "depth"
    """The key of its depth in the file."""
    still: ClassVar[tuple[str, ...]] = ()
    """Attributes of those of its style's lengths that follow no other and are not searched for."""
    own_choices: ClassVar[tuple[str, ...]] = ()
    """The keys of what its style chooses by itself unless the design says it."""

    @property
    def place(self) -> str:
        """The name of its table, which may give several parts."""
        return self.name

    def around(self, plans_mm: Mapping[str, tuple[float, float]]) -> Self:
        """The part with what it takes from the contents settled: their plans, lying flat."""
        return self

    def strangers(self, plans_mm: Mapping[str, tuple[float, float]]) -> Iterator[tuple[str, ...]]:
        """What is wrong with what it takes from the contents."""
        return iter(())

    @property
    def fills_base(self) -> bool:
        """Whether it stands in the base and takes its size from what is left there."""
        return False

    @property
    def own_height(self) -> bool:
        """Whether it stands in the base and may be cut lower there, all else as it is."""
        return False

    @property
    def inside_less_mm(self) -> tuple[float, float]:
        """By how much its inside is smaller than its floor, score to score, before it is folded."""
        less = replace(self, size_by=SizeBy.INSIDE).growth_mm
        return less, less

    def inside_by(self, less_mm: tuple[float, float]) -> Self:
        """The part with what the base it stands in leaves of its floor, as that was folded."""
        return self

    @property
    def bite_mm(self) -> float:
        """How far a wall's inside face stands inside its score line, t - a, mm."""
        return self.stock.bite_mm

    @property
    def inside_depth_mm(self) -> float:
        """From its floor's inside face to its rim, mm."""
        return self.depth_mm - self.bite_mm

    @property
    def follows_base(self) -> bool:
        """Whether its floor is given over the base's."""
        return self.size_by in (SizeBy.OVERSIZE, SizeBy.SAME_SHEET)

    def over(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """Its floor over a base's, score to score, where it follows that."""
        shares = 2.0 if self.size_by is SizeBy.SAME_SHEET else 1.0
        return width_mm + shares * self.size_mm[0], length_mm + shares * self.size_mm[1]

    @property
    def own_depth(self) -> bool:
        """Whether its depth is its own and does not follow the base's."""
        return self.size_by is not SizeBy.SAME_SHEET

    def follows(self, wide: float, long: float, deep: float) -> ByLength:
        """What its recipe's lengths change by with the base's floor and depth."""
        if not self.follows_base:
            return {}
        return by_length(wide, long, 0.0 if self.own_depth else deep)

    def grown_by(self, sizes: tuple[float, float]) -> ByLength:
        """What its recipe's lengths change by with its two sizes."""
        if self.size_by is SizeBy.SAME_SHEET:
            return by_length(2.0 * sizes[0], 2.0 * sizes[1], -sizes[0])
        return by_length(*sizes)

    def sizes_over(self, wide: float, long: float, deep: float) -> tuple[float, float]:
        """Its two sizes where its floor and depth exceed the base's by so much, mm."""
        share = 0.5 if self.size_by is SizeBy.SAME_SHEET else 1.0
        return share * wide, share * long

    def ease_in(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """How much less than a base's inside it takes that stands in one on such a floor, mm."""
        return self.size_mm

    @property
    def one_size(self) -> bool:
        """Whether its two sizes are always the same."""
        return self.size_by is SizeBy.SAME_SHEET

    def beside(self, base: PartSpec) -> Self:
        """The part as deep as a base leaves it, where its depth follows the base's."""
        if self.size_by is SizeBy.SAME_SHEET:
            return replace(self, depth_mm=base.depth_mm - self.size_mm[0])
        return self

    @property
    def growth_mm(self) -> float:
        """By how much its floor, score to score, exceeds a size that is measured between walls."""
        return 0.0

    @property
    def less_than_depth_mm(self) -> float | None:
        """By how much a length that was given and goes with the depth is less; None without one."""
        return None

    def with_depth(self, depth_mm: float) -> Self:
        """The part of another depth, with what was given and goes with it."""
        return replace(self, depth_mm=depth_mm)

    def pinned(self, recipe: Recipe) -> Self:
        """The part with what its style chose by itself for a recipe said."""
        chosen = {
            key: getattr(recipe, key) for key in self.own_choices if getattr(self, key) is None
        }
        return replace(self, **chosen)

    def lengths_mm(self, joint_mm: float) -> dict[str, float]:
        """The lengths of its style by their keys, what is left open settled."""
        return {}

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """What was read of its lengths and what to do, where it cannot be folded."""
        return f"read depth {show_length(self.depth_mm, unit)}; change its lengths"


def by_length(wide: float, long: float, deep: float = 0.0) -> ByLength:
    """Of a floor and a depth."""
    return {"width_mm": wide, "length_mm": long, "depth_mm": deep}


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """One part with every length settled, ready to be drawn by its style; lengths in mm."""

    part: str
    style: str
    stock: Stock
    width_mm: float
    """Floor along the width, score to score."""
    length_mm: float
    """Floor along the length, score to score."""
    depth_mm: float
    joint_mm: float
    grain: Axis | None = None
    """The direction of the grain, where it is given."""
    tools: Tools | None = None
    """The tools it is made with, where it was measured what they always do; else None."""

    @classmethod
    def of(
        cls,
        spec: PartSpec,
        size_mm: tuple[float, float],
        joint_mm: float,
        tools: Tools | None,
        **own: Any,
    ) -> Self:
        """The recipe of a part on a floor of that size, with what only its style has."""
        return cls(
            part=spec.name,
            style=spec.style,
            stock=spec.stock,
            width_mm=size_mm[0],
            length_mm=size_mm[1],
            depth_mm=spec.depth_mm,
            joint_mm=joint_mm,
            grain=spec.grain,
            tools=tools,
            **own,
        )

    inside_words: ClassVar[str] = "inside"
    """What its inside is called."""

    @property
    def inside_by_folding(self) -> bool:
        """Whether only folding tells how large its inside is: what else stands in it than walls."""
        return False

    @property
    def bite_mm(self) -> float:
        """How far a wall's inside face stands inside its score line, t - a, mm."""
        return self.stock.bite_mm

    @property
    def folds(self) -> tuple[bool | None, bool | None]:
        """Whether folds run along the grain: those along the sheet's length, those along its width.

        None, both, where nobody says how the grain runs or nobody measured what it does to a fold.
        """
        if self.grain is None or self.stock.by_grain is None:
            return None, None
        return self.grain is Axis.LENGTH, self.grain is Axis.WIDTH

    @property
    def lap_mm(self) -> float:
        """What a layer of paper takes that is glued onto another one, mm."""
        return self.stock.caliper_mm + self.joint_mm

    @property
    def ample_mm(self) -> float:
        """What a floor may be larger than its inside at the most, mm."""
        return 2.0 * (self.stock.caliper_mm + self.depth_mm)

    @property
    def corner_push_mm(self) -> float:
        """How far glued corners would push a wall out at its rim, t + g - s, mm; 0 without any."""
        return 0.0

    @property
    def corner_layers(self) -> int:
        """How many layers of paper lie between a wall and the room where its corner is glued."""
        return 1

    def glue_words(self) -> str:
        """What was read of the lengths that decide how far glued corners push."""
        return f"joint {self.joint_mm:.2f} mm"

    def resized(self, width_mm: float, length_mm: float) -> Self:
        """The same recipe on another floor."""
        return replace(self, width_mm=width_mm, length_mm=length_mm)
