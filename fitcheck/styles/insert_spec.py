"""What a design says about an insert: how it fills its base, and the window that is cut in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Self

from fitcheck.plain import shown
from fitcheck.styles.eased import EasedSpec
from fitcheck.styles.part import ByLength, PartSpec, SizeBy, by_length
from fitcheck.styles.style import Problems
from fitcheck.units import Unit, show_length


@dataclass(frozen=True, kw_only=True)
class InsertSpec(EasedSpec):
    """What a design says about an insert; its depth is its height above the floor."""

    window_mm: tuple[float, float] | None
    hold: str | None = None
    """The item that its window is cut for."""
    play_mm: float = 0.0
    """How much larger the window is."""
    grown_mm: float = 0.0
    """By how much its outside exceeds it as it is cut, along either side: what its creases grow."""

    @property
    def window_or_play_mm(self) -> tuple[float, float]:
        """What says how large its window is: its size, or the play of what it holds, twice."""
        if self.hold is not None or self.window_mm is None:
            return self.play_mm, self.play_mm
        return self.window_mm

    def with_window(self, more_mm: tuple[float, float]) -> Self:
        """With a window so much larger; that of what it holds by the lesser on all sides."""
        if self.window_mm is None:
            return self
        wide, long = more_mm if self.hold is None else (min(more_mm), min(more_mm))
        window = self.window_mm[0] + wide, self.window_mm[1] + long
        play = self.play_mm if self.hold is None else self.play_mm + wide
        return replace(self, play_mm=play, window_mm=window)

    def over(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """What the base leaves it, or what it is cut as."""
        if self.size_by is not SizeBy.CUT:
            return super().over(width_mm, length_mm)
        return self.size_mm[0] + self.grown_mm, self.size_mm[1] + self.grown_mm

    def follows(self, wide: float, long: float, deep: float) -> ByLength:
        """What is cut to size stays so."""
        return {} if self.size_by is SizeBy.CUT else super().follows(wide, long, deep)

    def grown_by(self, sizes: tuple[float, float]) -> ByLength:
        """It grows with its sizes, or shrinks by what it has more ease."""
        return by_length(*sizes) if self.size_by is SizeBy.CUT else super().grown_by(sizes)

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """What was read of its lengths."""
        if self.size_by is not SizeBy.CUT:
            return super().read_words(joint_mm, unit)
        width, length = (show_length(size, unit) for size in self.size_mm)
        return f"read cut {width} along the width and {length} along the length; change it"

    def around(self, plans_mm: Mapping[str, tuple[float, float]]) -> Self:
        """With a window for what it holds."""
        if self.hold is None or self.hold not in plans_mm:
            return self
        width, length = plans_mm[self.hold]
        return replace(self, window_mm=(width + self.play_mm, length + self.play_mm))

    def strangers(self, plans_mm: Mapping[str, tuple[float, float]]) -> Problems:
        """What it should hold and nobody puts in."""
        if self.hold is not None and self.hold not in plans_mm:
            yield (
                f"{self.name}.hold",
                "holds what is not put in",
                f"read {shown(self.hold)}",
                f"allowed: {', '.join(plans_mm) or 'an item of a [[content]]'}",
                "correct it or add a [[content]]",
            )

    @property
    def fills_base(self) -> bool:
        """Always."""
        return True

    def beside(self, base: PartSpec) -> Self:
        """In the base's inside."""
        return self.inside_by(base.inside_less_mm)
