"""The box styles that there are; a style is nothing but a way to draw a pattern from a recipe."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fitcheck.design.model import Axis
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.recipe import Recipe
from fitcheck.pattern.styles.shadow_box import draw_shadow_box
from fitcheck.pattern.styles.tray import draw_tray


@dataclass(frozen=True)
class Style:
    """A box style."""

    name: str
    summary: str
    tabs_on_longer_side: bool
    """Which pair of walls carries the tabs when the design does not say."""
    draw: Callable[[Recipe], Pattern]

    def default_tabs(self, width_mm: float, length_mm: float) -> Axis:
        """The axis along which the tab-carrying walls run, unless the design says another."""
        longer = Axis.LENGTH if length_mm >= width_mm else Axis.WIDTH
        shorter = Axis.WIDTH if longer is Axis.LENGTH else Axis.LENGTH
        return longer if self.tabs_on_longer_side else shorter


STYLES: dict[str, Style] = {
    style.name: style
    for style in (
        Style("tray", "four walls round a floor, glued at the corners", True, draw_tray),
        Style(
            "shadow-box",
            "walls rolled inwards into a hollow frame round an opening",
            False,
            draw_shadow_box,
        ),
    )
}


def draw(recipe: Recipe) -> Pattern:
    """The pattern of a recipe, by the style that it names."""
    return STYLES[recipe.style].draw(recipe)
