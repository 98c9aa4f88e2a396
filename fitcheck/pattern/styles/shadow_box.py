"""A shadow box: each wall rolls inwards into a hollow frame whose flap is glued onto the floor.

The pair that carries the tabs is rolled first and runs full length; the other pair is rolled
second, mitred over it in the frame, its inner wall and flap spanning the opening only.
"""

from __future__ import annotations

from fitcheck.pattern.bonds import roll
from fitcheck.pattern.pattern import Lap, Pattern, Role
from fitcheck.pattern.recipe import Recipe
from fitcheck.pattern.sheet import Sheet
from fitcheck.pattern.styles.canvas import EASE_MM, Canvas, Edge
from fitcheck.pattern.styles.walls import TAB_SHARE, Drawn, floor, plain_wall, tabbed_wall


def draw_shadow_box(recipe: Recipe) -> Pattern:
    """Draw a rolled frame: from each fence flap, inner wall, frame, outer wall, then floor."""
    canvas = Canvas(recipe.tabs)
    steps = _Steps.of(recipe)
    feet = Edge(steps.foot), Edge(steps.foot, far=True)
    tab_ends = tuple(foot.inward(0.0) for foot in _shifted(feet, recipe.tab_setback_mm))
    relief = max(0.0, recipe.bite_mm) + max(0.0, recipe.tab_setback_mm) + EASE_MM
    tab = min(TAB_SHARE * recipe.depth_mm, recipe.frame_mm - recipe.stock.caliper_mm - EASE_MM)

    drawn = floor(canvas, *feet, *feet)
    for foot in feet:
        rim = Edge(steps.rim, foot.far)
        drawn += tabbed_wall(canvas, foot, rim, (tab_ends[0], tab_ends[1]), tab)
        ends = _ends(canvas, feet, foot.far, relief, first=True)
        drawn += _roll(canvas, steps, foot.far, first=True, outer=ends, inner=ends)
    mitre = recipe.stock.crease_allowance_mm + EASE_MM
    for foot in feet:
        rim = Edge(steps.rim, foot.far)
        drawn += plain_wall(canvas, foot, rim, feet)
        outer = _ends(canvas, feet, foot.far, mitre, first=False)
        inner = outer[0].inward(recipe.frame_mm), outer[1].inward(recipe.frame_mm)
        drawn += _roll(canvas, steps, foot.far, first=False, outer=outer, inner=inner)
    sides = [canvas.side_name(first, far) for first in (True, False) for far in (False, True)]
    return Pattern(
        part=recipe.part,
        sheet=Sheet(recipe.width_mm + 2 * steps.foot, recipe.length_mm + 2 * steps.foot),
        panels=drawn.panels,
        creases=drawn.creases,
        bonds=(*drawn.bonds, *(roll(f"{side} flap", "floor") for side in sides)),
        laps=tuple(
            Lap(over=f"{over} frame", under=f"{under} frame")
            for over in sides[2:]
            for under in sides[:2]
        ),
    )


class _Steps:
    """Distances of the four scores of a rolled side from their fence, mm."""

    def __init__(self, flap: float, inner: float, rim: float, foot: float) -> None:
        self.flap, self.inner, self.rim, self.foot = flap, inner, rim, foot

    @classmethod
    def of(cls, recipe: Recipe) -> _Steps:
        inner = recipe.flap_mm + recipe.inner_wall_mm
        rim = inner + recipe.frame_mm
        return cls(recipe.flap_mm, inner, rim, rim + recipe.depth_mm)


def _shifted(edges: tuple[Edge, Edge], mm: float) -> tuple[Edge, Edge]:
    """The edges as rules of their own, so far further in from their fences."""
    return Edge(edges[0].at_mm + mm), Edge(edges[1].at_mm + mm, far=True)


def _ends(
    canvas: Canvas, feet: tuple[Edge, Edge], far: bool, mm: float, *, first: bool
) -> tuple[Edge, Edge]:
    """Where a knife cuts off both ends of one side's roll, so far inside the neighbours' feet."""
    side = canvas.side_name(first, far)
    near, away = (
        foot.cut(f"{side} frame's {canvas.side_name(not first, foot.far)} end", mm) for foot in feet
    )
    return near, away


def _roll(
    canvas: Canvas,
    steps: _Steps,
    far: bool,
    *,
    first: bool,
    outer: tuple[Edge, Edge],
    inner: tuple[Edge, Edge],
) -> Drawn:
    """Frame, inner wall and flap of one side, beyond the wall that is there already.

    The frame spans the outer ends at the wall and the inner ends at the inner wall.
    """
    side = canvas.side_name(first, far)
    wall, frame, lining, flap = (
        f"{side} {word}" for word in ("wall", "frame", "inner wall", "flap")
    )
    rim, top, turn, tip = (Edge(at, far) for at in (steps.rim, steps.inner, steps.flap, 0.0))

    def spot(across: Edge, along: Edge) -> tuple[Edge, Edge]:
        return (across, along) if first else (along, across)

    def quad(name: str, role: Role, a: Edge, b: Edge, a_ends: tuple[Edge, Edge]) -> Drawn:
        return Drawn(
            panels=(
                canvas.panel(
                    name,
                    role,
                    spot(a, a_ends[0]),
                    spot(b, inner[0]),
                    spot(b, inner[1]),
                    spot(a, a_ends[1]),
                ),
            )
        )

    def crease(parent: str, child: str, at: Edge, ends: tuple[Edge, Edge]) -> Drawn:
        return Drawn(creases=(canvas.crease(parent, child, spot(at, ends[0]), spot(at, ends[1])),))

    return (
        quad(frame, Role.FRAME, rim, top, outer)
        + quad(lining, Role.INNER_WALL, top, turn, inner)
        + quad(flap, Role.FLAP, turn, tip, inner)
        + crease(wall, frame, rim, outer)
        + crease(frame, lining, top, inner)
        + crease(lining, flap, turn, inner)
    )
