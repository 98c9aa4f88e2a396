"""A box style: the keys that it is written with, the recipe they become, the pattern it draws.

A style has no geometry of its own: it places panels, creases and bonds on a sheet.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, Generic, TypeVar

from fitcheck.pattern.pattern import Pattern
from fitcheck.stock.tools import Tools
from fitcheck.styles.keys import PartFile
from fitcheck.styles.mates import Mate
from fitcheck.styles.part import PartSpec, Recipe, SizeBy
from fitcheck.units import Unit, show_length

FEW_CALIPERS = 3
"""A wall or a floor that is not larger than this many calipers cannot be folded."""

S = TypeVar("S", bound=PartSpec)
R = TypeVar("R", bound=Recipe)
Problem = tuple[str, ...]
"""The key and the words of what is wrong, ready for ``workspace.explain.line``."""
Problems = Iterator[Problem]


class Style(ABC, Generic[S, R]):
    """One way to cut and fold a part.

    Every style names its `name`, its `summary`, the `places` where it may stand, the model `file`
    of its table and the `sizes` that can be given, and says what `spec`, `recipe` and `draw` do.
    """

    name: ClassVar[str]
    """As a design file writes it; another package's entry point has the same."""
    summary: ClassVar[str]
    """What it is, in a few words."""
    places: ClassVar[tuple[str, ...]]
    """Where a part of this style may stand, by the names of tables."""
    file: ClassVar[type[PartFile]]
    """The keys of its table, strict."""
    sizes: ClassVar[tuple[SizeBy, ...]]
    """The ways to give its size that it has everywhere."""
    sheet_is_walls: ClassVar[bool] = False
    """Whether its sheet is a floor and walls alone, so that a lid can be cut from the same size."""

    closes_itself: ClassVar[bool] = False
    """Whether a part of it brings its own lid, so that nothing else goes over it."""

    draws_floor: ClassVar[bool] = True
    """Whether its root, where that is a floor, is drawn as its recipe has it, score to score."""
    draws_depth: ClassVar[bool] = True
    """Whether the highest wall round such a floor is drawn as deep as its recipe."""

    @abstractmethod
    def spec(self, common: Mapping[str, Any], file: Any) -> S:
        """What a table says: `common` is what every part has, `file` the table by its model."""

    @abstractmethod
    def recipe(
        self, spec: S, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> R:
        """The recipe of a part on a floor of that size."""

    @abstractmethod
    def draw(self, recipe: R) -> Pattern:
        """The pattern of a recipe."""

    def key_problems(self, part: str, table: Mapping[str, Any]) -> Problems:
        """What a table says too often or too little for its style; values are not looked at."""
        return iter(())

    def split(self, spec: S) -> tuple[S, ...]:
        """The parts that one table gives, each cut from a sheet of its own."""
        return (spec,)

    def mates(self, spec: S) -> tuple[Mate, ...]:
        """How a part of this style goes with the others, and its own flaps with itself."""
        return ()

    def problems(
        self, spec: S, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """What cannot be folded from a part's sizes; its floor is None where contents decide it."""
        stock = spec.stock
        few = FEW_CALIPERS * stock.caliper_mm
        if floor is not None and min(floor) <= few:
            yield (
                f"{spec.name}.{spec.size_by}",
                "makes a floor too small to fold",
                f"read a smaller side of {show_length(min(floor), unit)}",
                f"allowed: above {FEW_CALIPERS} calipers of {stock.name}, {show_length(few, unit)}",
                "make it larger",
            )
            floor = None
        yield from self.floor_problems(spec, floor, joint_mm, unit)

    def floor_problems(
        self, spec: S, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """What cannot be folded on a floor that is large enough to fold."""
        return iter(())
