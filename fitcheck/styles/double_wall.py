"""A double-walled tray: each wall is folded down inside itself, its inner wall on the outer one.

The pair that carries the tabs is folded down first and runs from tab to tab. The other pair comes
down over the tabs, between the first pair's inner walls, and so hides the glued corners.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fitcheck.pattern.bonds import lining
from fitcheck.pattern.creases import HALF_TURN
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.lined import (
    END_MM,
    SNUG,
    TO_THE_FLOOR,
    DoubleWallFile,
    DoubleWallRecipe,
    DoubleWallSpec,
)
from fitcheck.styles.style import FEW_CALIPERS, Problems
from fitcheck.styles.walled import Walled
from fitcheck.styles.walls import (
    Drawn,
    floor,
    plain_wall,
    tabbed_wall,
    usual_tab_mm,
)
from fitcheck.units import Unit, show_length


class DoubleWall(Walled[DoubleWallSpec, DoubleWallRecipe]):
    """Walls folded down inside themselves."""

    name = "double-wall"
    summary = "a tray with walls folded down inside themselves, glued or standing on the floor"
    file = DoubleWallFile
    tabs_on_longer_side = True

    def spec(self, common: Mapping[str, Any], file: DoubleWallFile) -> DoubleWallSpec:
        """What a table says."""
        return DoubleWallSpec(
            **common,
            tabs=file.tabs,
            tab_setback_mm=file.tab_setback,
            rim_mm=file.rim,
            inner_wall_mm=file.inner_wall,
            glued=file.lock == "glued",
        )

    def recipe(
        self,
        spec: DoubleWallSpec,
        size_mm: tuple[float, float],
        joint_mm: float,
        tools: Tools | None,
    ) -> DoubleWallRecipe:
        """The recipe of a double-walled tray on a floor of that size."""
        return DoubleWallRecipe.of(
            spec,
            size_mm,
            joint_mm,
            tools,
            tabs=spec.tabs or self.default_tabs(*size_mm),
            tab_setback_mm=spec.tab_setback_mm,
            rim_mm=spec.rim_mm,
            inner_wall_mm=spec.lengths_mm(joint_mm)["inner_wall"],
            glued=spec.glued,
        )

    def draw(self, recipe: DoubleWallRecipe) -> Pattern:
        """From each fence inner wall, rim, outer wall, then floor."""
        return _drawn(recipe)

    def floor_problems(
        self,
        spec: DoubleWallSpec,
        floor: tuple[float, float] | None,
        joint_mm: float,
        unit: Unit,
    ) -> Problems:
        """Rims that cannot be folded over, inner walls that do not fit, no room between them."""
        yield from super().floor_problems(spec, floor, joint_mm, unit)
        stock, least = spec.stock, spec.least_rim_mm(joint_mm)
        if spec.rim_mm is None and not spec.glued:
            yield (
                f"{spec.name}.rim",
                "is folded flat, and nothing holds it so",
                f'read "{SNUG}" with lock = "foot"',
                f"allowed: a length from {show_length(least, unit)} on",
                'give a rim, or write lock = "glued"',
            )
        elif spec.rim_mm is not None and spec.rim_mm < least:
            yield (
                f"{spec.name}.rim",
                "is narrower than what lies between its two walls",
                f"read {show_length(spec.rim_mm, unit)}",
                f'allowed: from {show_length(least, unit)} on, or "{SNUG}"',
                "make it wider",
            )
        few, most = FEW_CALIPERS * stock.caliper_mm, spec.depth_mm
        inner = spec.inner_wall_mm
        if inner is not None and not few < inner <= most:
            yield (
                f"{spec.name}.inner_wall",
                "is too low to fold" if inner <= few else "is higher than its outer wall",
                f"read {show_length(inner, unit)}",
                f"allowed: above {FEW_CALIPERS} calipers of {stock.name}, "
                f"{show_length(few, unit)}, up to the depth, {show_length(most, unit)}",
                f'change it, or write "{TO_THE_FLOOR}"',
            )
        room = self._needs_mm(spec, joint_mm)
        if floor is not None and min(floor) <= room:
            yield (
                f"{spec.name}.{spec.size_by}",
                "leaves no room between the inner walls",
                f"read a smaller floor side of {show_length(min(floor), unit)}",
                f"allowed: above {show_length(room, unit)}",
                "make it larger, or the rim narrower",
            )

    def _needs_mm(self, spec: DoubleWallSpec, joint_mm: float) -> float:
        """What both sides of a floor take, and a few calipers between them."""
        sample = self.recipe(spec, (1.0, 1.0), joint_mm, None)
        layers = 2.0 * (spec.stock.caliper_mm + joint_mm) + END_MM
        return 2.0 * (sample.reach_mm + layers) + FEW_CALIPERS * spec.stock.caliper_mm


def _drawn(recipe: DoubleWallRecipe) -> Pattern:
    canvas = Canvas(recipe.tabs)
    rim_mm = recipe.rim_mm or 0.0
    inner, setback = recipe.inner_wall_mm, recipe.tab_setback_mm
    foot_at = inner + rim_mm + recipe.depth_mm
    feet = Edge(foot_at), Edge(foot_at, far=True)
    rims = Edge(inner + rim_mm), Edge(inner + rim_mm, far=True)
    tab_ends = Edge(foot_at + setback), Edge(foot_at + setback, far=True)
    beside = recipe.width_mm if recipe.tabs is Axis.LENGTH else recipe.length_mm
    tab = usual_tab_mm(recipe.depth_mm, beside)

    drawn = floor(canvas, *feet, *feet)
    # the first pair ends at the faces of the tabs, the second one between the first pair's
    behind_tabs = max(0.0, recipe.bite_mm) + setback + END_MM
    between_inner = recipe.reach_mm + END_MM
    for foot, rim in zip(feet, rims, strict=True):
        drawn += tabbed_wall(canvas, foot, rim, tab_ends, tab)
        drawn += _folded_down(canvas, recipe, foot, feet, first=True, clear_mm=behind_tabs)
    for foot, rim in zip(feet, rims, strict=True):
        drawn += plain_wall(canvas, foot, rim, feet)
        drawn += _folded_down(canvas, recipe, foot, feet, first=False, clear_mm=between_inner)
    tabs = [bond for bond in drawn.bonds if drawn.role(bond.panel) is Role.TAB]
    return Pattern(
        part=recipe.part,
        sheet=Sheet(recipe.width_mm + 2 * foot_at, recipe.length_mm + 2 * foot_at),
        panels=drawn.panels,
        creases=drawn.creases,
        bonds=(*tabs, *(bond for bond in drawn.bonds if bond not in tabs)),
    )


def _folded_down(
    canvas: Canvas,
    recipe: DoubleWallRecipe,
    foot: Edge,
    feet: tuple[Edge, Edge],
    *,
    first: bool,
    clear_mm: float,
) -> Drawn:
    """Rim and inner wall of one side, beyond the wall that is there already."""
    far = foot.far
    side = canvas.side_name(first, far)
    wall, rim, inner = (f"{side} {word}" for word in ("wall", "rim", "inner wall"))
    turn, tip = Edge(recipe.inner_wall_mm, far), Edge(0.0, far)
    ends = tuple(
        end.cut(f"{side} inner wall's {canvas.side_name(not first, end.far)} end", clear_mm)
        for end in feet
    )

    def spot(across: Edge, along: Edge) -> tuple[Edge, Edge]:
        return (across, along) if first else (along, across)

    def between(name: str, role: Role, parent: str, low: Edge, high: Edge, angle: float) -> Drawn:
        spots = [spot(low, end) for end in ends] + [spot(high, end) for end in reversed(ends)]
        return Drawn(
            panels=(canvas.panel(name, role, *spots),),
            creases=(canvas.crease(parent, name, spots[0], spots[1], angle),),
        )

    bond = lining(inner, wall, glued=recipe.glued, between=0 if first else 1)
    if recipe.rim_mm is None:
        drawn = between(inner, Role.INNER_WALL, wall, turn, tip, HALF_TURN)
    else:
        top = Edge(recipe.inner_wall_mm + recipe.rim_mm, far)
        drawn = between(rim, Role.FRAME, wall, top, turn, HALF_TURN / 2)
        drawn += between(inner, Role.INNER_WALL, rim, turn, tip, HALF_TURN / 2)
    return drawn + Drawn(bonds=(bond,))
