"""A style of another package, called through one guard that tells whose fault a fault is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fitcheck.pattern.counted import HAIR_MM
from fitcheck.pattern.drawn_sizes import floor_mm, wall_mm
from fitcheck.pattern.laid_out import fault_of
from fitcheck.pattern.pattern import Pattern
from fitcheck.plain import shown
from fitcheck.stock.tools import Tools
from fitcheck.styles.mates import Mate
from fitcheck.styles.part import PartSpec, Recipe
from fitcheck.styles.style import Problems, Style
from fitcheck.units import Unit
from fitcheck.workspace.outside import Outside

NAMED = (
    "name",
    "summary",
    "places",
    "file",
    "sizes",
    "sheet_is_walls",
    "closes_itself",
    "draws_floor",
    "draws_depth",
)
"""What a style names beside its code."""


class Guarded(Style[Any, Any]):
    """The style with everything that it gives looked at; beside that it is what it was."""

    def __init__(self, own: Style[Any, Any], who: str) -> None:
        self._own, self._outside = own, Outside(who)
        for key in NAMED:
            setattr(self, key, getattr(own, key))

    def spec(self, common: Mapping[str, Any], file: Any) -> PartSpec:
        """What a table says."""
        doing = f"read the table of the {common['name']}"
        spec = self._outside.made(doing, lambda: self._own.spec(common, file), PartSpec)
        self._outside.measured(doing, spec)
        settled = self._outside.call(doing, lambda: dict(spec.lengths_mm(0.0)))
        for one in spec.own_lengths:
            if not hasattr(spec, one.attribute) or one.key not in settled:
                self._outside.fails(
                    doing,
                    f"read no {one.attribute}, or lengths_mm without {one.key}; allowed: both for "
                    "each of own_lengths",
                )
        return spec

    def recipe(
        self, spec: Any, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> Recipe:
        """The recipe of a part on a floor of that size."""
        doing = f"make a recipe of the {spec.name}"
        recipe = self._outside.made(
            doing, lambda: self._own.recipe(spec, size_mm, joint_mm, tools), Recipe
        )
        self._outside.measured(doing, recipe)
        return recipe

    def draw(self, recipe: Any) -> Pattern:
        """The pattern of a recipe, each panel and crease of it where it can be folded."""
        doing = f"draw the {recipe.part}"
        pattern = self._outside.made(doing, lambda: self._own.draw(recipe), Pattern)
        if pattern.part != recipe.part:
            self._outside.fails(
                doing, f"read the part {shown(pattern.part)}; allowed: that of its recipe"
            )
        wrong = self._outside.call(doing, lambda: fault_of(pattern) or self._other(pattern, recipe))
        if wrong:
            self._outside.fails(doing, wrong)
        return pattern

    def _other(self, pattern: Pattern, recipe: Recipe) -> str:
        """How the floor or the walls are drawn otherwise than the recipe says; empty where not."""
        width, length = floor_mm(pattern) or (recipe.width_mm, recipe.length_mm)
        off = max(abs(width - recipe.width_mm), abs(length - recipe.length_mm))
        if self._own.draws_floor and off > HAIR_MM:
            return (
                f"read a floor of {width:g} x {length:g} mm, score to score; allowed: that of its "
                f"recipe, {recipe.width_mm:g} x {recipe.length_mm:g} mm, unless draws_floor is "
                "False"
            )
        depth = wall_mm(pattern) or recipe.depth_mm
        if self._own.draws_depth and abs(depth - recipe.depth_mm) > HAIR_MM:
            return (
                f"read a highest wall of {depth:g} mm; allowed: the depth of its recipe, "
                f"{recipe.depth_mm:g} mm, unless draws_depth is False"
            )
        return ""

    def key_problems(self, part: str, table: Mapping[str, Any]) -> Problems:
        """What a table says too often or too little for its style."""
        return self._outside.told(
            f"say what is wrong with the keys of the {part}",
            lambda: self._own.key_problems(part, table),
        )

    def split(self, spec: Any) -> tuple[Any, ...]:
        """The parts that one table gives."""
        return self._outside.made_all(
            f"split the {spec.name}", lambda: self._own.split(spec), PartSpec
        )

    def mates(self, spec: Any) -> tuple[Mate, ...]:
        """How a part of this style goes with the others."""
        return self._outside.made_all(
            f"say how the {spec.name} goes with other parts", lambda: self._own.mates(spec), Mate
        )

    def problems(
        self, spec: Any, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """What cannot be folded from a part's sizes."""
        return self._outside.told(
            f"say what cannot be folded of the {spec.name}",
            lambda: self._own.problems(spec, floor, joint_mm, unit),
        )
