"""A tray: four walls round a floor, one pair with tabs that are glued inside the other pair."""

from __future__ import annotations

from fitcheck.design.model import Axis
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.recipe import Recipe
from fitcheck.pattern.sheet import Sheet
from fitcheck.pattern.styles.canvas import Canvas, Edge
from fitcheck.pattern.styles.walls import TAB_SHARE, floor, plain_wall, tabbed_wall

LONGEST_TAB_MM = 12.7
NEIGHBOUR_SHARE = 0.45
"""The tabs of both ends have room beside each other on the wall that they are glued to."""


def draw_tray(recipe: Recipe) -> Pattern:
    """Draw a tray; its walls run from the floor's scores to the sheet's edges."""
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
