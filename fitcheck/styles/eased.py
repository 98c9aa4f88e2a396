"""A part that stands in a base and is smaller than that by its ease."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Self

from fitcheck.styles.part import ByLength, PartSpec, by_length
from fitcheck.units import Unit, show_length


@dataclass(frozen=True, kw_only=True)
class EasedSpec(PartSpec):
    """A part that stands in a base; its sizes are its ease there, by which it is smaller."""

    base_less_mm: tuple[float, float] = (0.0, 0.0)
    """By how much the base's inside is smaller than its floor, along the width and the length;
    0 where its ease is counted from the base's floor, score to score."""

    ease_ways = ("along the width", "along the length")

    @property
    def follows_base(self) -> bool:
        """Always."""
        return True

    def over(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """What the base leaves it."""
        wide, long = self.inside_on(width_mm, length_mm)
        return wide - self.size_mm[0], long - self.size_mm[1]

    def inside_on(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """The inside of a base on such a floor, mm."""
        return width_mm - self.base_less_mm[0], length_mm - self.base_less_mm[1]

    def inside_by(self, less_mm: tuple[float, float]) -> Self:
        """Its ease is counted from that."""
        return replace(self, base_less_mm=less_mm)

    def ease_in(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """What its outside leaves of the inside."""
        own, inside = self.over(width_mm, length_mm), self.inside_on(width_mm, length_mm)
        return inside[0] - own[0], inside[1] - own[1]

    def grown_by(self, sizes: tuple[float, float]) -> ByLength:
        """It shrinks by what it has more ease."""
        return by_length(-sizes[0], -sizes[1])

    def sizes_over(self, wide: float, long: float, deep: float) -> tuple[float, float]:
        """Its ease, by how much it exceeds the base."""
        return -wide, -long

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """What was read of its lengths."""
        width, length = (show_length(size, unit) for size in self.size_mm)
        return f"read ease {width} along the width and {length} along the length; change its ease"
