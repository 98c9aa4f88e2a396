"""A tray: four walls round a floor, one pair with tabs that are glued inside the other pair."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import Field

from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.walled import Walled, WalledFile, WalledRecipe, WalledSpec
from fitcheck.styles.walls import (
    LONGEST_TAB_MM,
    NEIGHBOUR_SHARE,
    TAB_SHARE,
    floor,
    plain_wall,
    tabbed_wall,
)


class TrayFile(WalledFile):
    """The keys of a tray."""

    style: Literal["tray"] = Field(description='The style: "tray".')


class Tray(Walled[WalledSpec, WalledRecipe]):
    """Four walls round a floor."""

    name = "tray"
    summary = "four walls round a floor, glued at the corners"
    file = TrayFile
    sheet_is_walls = True
    tabs_on_longer_side = True

    def spec(self, common: Mapping[str, Any], file: TrayFile) -> WalledSpec:
        """What a table says."""
        return WalledSpec(**common, tabs=file.tabs, tab_setback_mm=file.tab_setback)

    def recipe(
        self, spec: WalledSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> WalledRecipe:
        """The recipe of a tray on a floor of that size."""
        return WalledRecipe.of(
            spec,
            size_mm,
            joint_mm,
            tools,
            tabs=spec.tabs or self.default_tabs(*size_mm),
            tab_setback_mm=spec.tab_setback_mm,
        )

    def draw(self, recipe: WalledRecipe) -> Pattern:
        """Its walls run from the floor's scores to the sheet's edges."""
        return _drawn(recipe)


def _drawn(recipe: WalledRecipe) -> Pattern:
    canvas = Canvas(recipe.tabs)
    depth, setback = recipe.depth_mm, recipe.tab_setback_mm
    rims = Edge(0.0), Edge(0.0, far=True)
    feet = Edge(depth), Edge(depth, far=True)
    tab_ends = Edge(depth + setback), Edge(depth + setback, far=True)
    beside = recipe.width_mm if recipe.tabs is Axis.LENGTH else recipe.length_mm
    tab = min(LONGEST_TAB_MM, TAB_SHARE * depth, NEIGHBOUR_SHARE * beside)

    drawn = floor(canvas, *feet, *feet)
    for foot, rim in zip(feet, rims, strict=True):
        drawn += tabbed_wall(canvas, foot, rim, tab_ends, tab)
    for foot, rim in zip(feet, rims, strict=True):
        drawn += plain_wall(canvas, foot, rim, feet)
    return Pattern(
        part=recipe.part,
        sheet=Sheet(recipe.width_mm + 2 * depth, recipe.length_mm + 2 * depth),
        panels=drawn.panels,
        creases=drawn.creases,
        bonds=drawn.bonds,
    )
