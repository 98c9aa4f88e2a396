"""The box styles that there are, and where a part of each may stand."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from fitcheck.pattern.pattern import Pattern
from fitcheck.styles.collar import Collar
from fitcheck.styles.dividers import Dividers
from fitcheck.styles.insert import Mat, Platform
from fitcheck.styles.part import Recipe
from fitcheck.styles.shadow_box import ShadowBox
from fitcheck.styles.sleeve import Sleeve
from fitcheck.styles.style import Style
from fitcheck.styles.tray import Tray

AnyStyle = Style[Any, Any]
ENTRY_POINTS = "fitcheck.styles"
"""The group in which another package names its styles; each is an instance of `Style`."""
OWN: tuple[AnyStyle, ...] = (Tray(), ShadowBox(), Sleeve(), Collar(), Dividers(), Mat(), Platform())


@cache
def styles() -> dict[str, AnyStyle]:
    """All styles by their names, those of other packages behind ours; ours keep their names."""
    from importlib.metadata import entry_points

    found = {style.name: style for style in OWN}
    for entry in entry_points(group=ENTRY_POINTS):
        style = entry.load()
        found.setdefault(style.name, style)
    return found


def styles_at(place: str) -> Iterator[AnyStyle]:
    """The styles that may stand at a place; other packages are asked last."""
    yield from (style for style in OWN if place in style.places)
    yield from (s for s in styles().values() if place in s.places and s not in OWN)


def style_of(name: str) -> AnyStyle:
    """The style of that name; other packages are only asked for one that is not ours."""
    for style in OWN:
        if style.name == name:
            return style
    return styles()[name]


def draw(recipe: Recipe) -> Pattern:
    """The pattern of a recipe, by the style that it names."""
    return style_of(recipe.style).draw(recipe)
