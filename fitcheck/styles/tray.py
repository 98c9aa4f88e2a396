"""A tray: four walls round a floor, one pair with tabs that are glued inside the other pair.

Its corners are cut out but for the tabs, or left whole: then each is a square web that is folded
along its diagonal, turned in behind the wall of the second pair and glued there, three layers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from pydantic import Field

from fitcheck.pattern.bonds import Bond, Face
from fitcheck.pattern.creases import HALF_TURN
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.sheet import Axis, Fence, Rule, Sheet
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.keys import Sides
from fitcheck.styles.style import FEW_CALIPERS, Problems
from fitcheck.styles.walled import Walled, WalledFile, WalledRecipe, WalledSpec
from fitcheck.styles.walls import (
    Drawn,
    floor,
    plain_wall,
    tabbed_wall,
    usual_tab_mm,
    wall_name,
)
from fitcheck.styles.windows import frame_problems, window_in
from fitcheck.units import Unit, show_length

FRAME_MM = 5.0
"""Round a window, for the clear sheet to be glued to: common practice, no source."""
LAYERS = 2
"""Of a folded corner, glued inside a wall."""


class TrayFile(WalledFile):
    """The keys of a tray."""

    style: Literal["tray"] = Field(description='The style: "tray".')
    corner: Literal["cut", "folded"] = Field(
        default="cut",
        description="How a corner is made: cut out but for a tab, the default, or folded, where "
        "nothing is cut and a square is folded along its diagonal and turned in.",
    )
    window: Sides | None = Field(
        default=None,
        description="Of a lid: a window in the middle of its floor, a list [width, length]; "
        "default: none. A clear sheet is glued behind it, whose thickness is not counted.",
    )


@dataclass(frozen=True, kw_only=True)
class FoldedSpec(WalledSpec):
    """A tray with folded corners."""

    def push_mm(self, joint_mm: float) -> float:
        """Two layers of a corner and their glue."""
        return LAYERS * (self.stock.caliper_mm + joint_mm) - self.tab_setback_mm

    push_words = "two calipers with two joints"
    push_cure = "make it deeper"


@dataclass(frozen=True, kw_only=True)
class FoldedRecipe(WalledRecipe):
    """A tray with folded corners, ready to be drawn."""

    @property
    def corner_layers(self) -> int:
        """Both triangles of a corner."""
        return LAYERS

    @property
    def corner_push_mm(self) -> float:
        """Both layers, and their glue."""
        return LAYERS * (self.stock.caliper_mm + self.joint_mm)

    def glue_words(self) -> str:
        """The layers."""
        return f"corner = 'folded' and joint {self.joint_mm:.2f} mm"


class Tray(Walled[WalledSpec, WalledRecipe]):
    """Four walls round a floor."""

    name = "tray"
    summary = "four walls round a floor, glued at the corners"
    file = TrayFile
    sheet_is_walls = True
    tabs_on_longer_side = True

    def spec(self, common: Mapping[str, Any], file: TrayFile) -> WalledSpec:
        """What a table says."""
        kind = FoldedSpec if file.corner == "folded" else WalledSpec
        window = None if file.window is None else (file.window[0], file.window[1])
        return kind(**common, tabs=file.tabs, tab_setback_mm=file.tab_setback, window_mm=window)

    def recipe(
        self, spec: WalledSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> WalledRecipe:
        """The recipe of a tray on a floor of that size."""
        kind = FoldedRecipe if isinstance(spec, FoldedSpec) else WalledRecipe
        return kind.of(
            spec,
            size_mm,
            joint_mm,
            tools,
            tabs=spec.tabs or self.default_tabs(*size_mm),
            tab_setback_mm=spec.tab_setback_mm,
            window_mm=spec.window_mm,
        )

    def draw(self, recipe: WalledRecipe) -> Pattern:
        """Its walls run from the floor's scores to the sheet's edges."""
        drawn = _uncut(recipe) if isinstance(recipe, FoldedRecipe) else _drawn(recipe)
        if recipe.window_mm is None:
            return drawn
        first, *others = drawn.panels
        near = Rule(Fence.LEFT, recipe.depth_mm), Rule(Fence.BOTTOM, recipe.depth_mm)
        size = recipe.width_mm, recipe.length_mm
        cutouts = window_in(recipe.window_mm, near, size, takes=False)
        return replace(drawn, panels=(replace(first, cutouts=cutouts), *others))

    def floor_problems(
        self, spec: WalledSpec, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """Corners that have no room beside each other and windows that have no frame, too."""
        yield from super().floor_problems(spec, floor, joint_mm, unit)
        if spec.window_mm is not None:
            yield from _window_problems(spec, spec.window_mm, floor, unit)
        if not isinstance(spec, FoldedSpec):
            return
        if spec.tab_setback_mm:
            yield (
                f"{spec.name}.tab_setback",
                "belongs to cut corners: a folded one has no tabs to set back",
                f"read {show_length(spec.tab_setback_mm, unit)} with corner = 'folded'",
                "allowed: 0",
                "leave it out, or write corner = 'cut'",
            )
        if floor is None:
            return
        beside = floor[0 if (spec.tabs or self.default_tabs(*floor)) is Axis.LENGTH else 1]
        most = 0.5 * (beside - FEW_CALIPERS * spec.stock.caliper_mm)
        if spec.depth_mm > most:
            yield (
                f"{spec.name}.depth",
                "makes the folded corners larger than the wall behind which both lie",
                f"read {show_length(spec.depth_mm, unit)}",
                f"allowed: up to {show_length(most, unit)} on walls of {show_length(beside, unit)}",
                "make it lower, turn the corners in behind the other walls with tabs, or cut them",
            )


def _window_problems(
    spec: WalledSpec,
    window_mm: tuple[float, float],
    floor: tuple[float, float] | None,
    unit: Unit,
) -> Problems:
    """A window in another part than a lid, or one that leaves too little round it."""
    if spec.name != "lid":
        yield (
            f"{spec.name}.window",
            "belongs to a lid",
            f"read {' x '.join(show_length(side, unit) for side in window_mm)}",
            "allowed: no window in another tray",
            "leave it out, or write it into [lid]",
        )
    elif floor is not None:
        cure = "make it smaller, or the lid larger"
        yield from frame_problems(spec.name, window_mm, floor, FRAME_MM, unit, cure)


def _uncut(recipe: FoldedRecipe) -> Pattern:
    """From an uncut rectangle: a square at each corner, scored along its diagonal."""
    canvas, depth = Canvas(recipe.tabs), recipe.depth_mm
    feet = Edge(depth), Edge(depth, far=True)
    drawn = floor(canvas, *feet, *feet)
    for foot in feet:
        wall, rim = wall_name(canvas, True, foot.far), Edge(0.0, foot.far)
        low, high = feet
        drawn += Drawn(
            panels=(
                canvas.panel(wall, Role.WALL, (foot, low), (rim, low), (rim, high), (foot, high)),
            ),
            creases=(canvas.crease("floor", wall, (foot, low), (foot, high)),),
        )
    for foot in feet:
        drawn += plain_wall(canvas, foot, Edge(0.0, foot.far), feet)
    for first in feet:
        for second in feet:
            drawn += _web(canvas, first, second)
    return Pattern(
        part=recipe.part,
        sheet=Sheet(recipe.width_mm + 2 * depth, recipe.length_mm + 2 * depth),
        panels=drawn.panels,
        creases=drawn.creases,
        bonds=drawn.bonds,
        webs=drawn.webs,
    )


def _web(canvas: Canvas, first: Edge, second: Edge) -> Drawn:
    """The square between a wall of either pair: one triangle on each, the diagonal between them.

    That of the second pair is turned in onto its own wall, that of the first one lies on it.
    """
    carrier, wall = wall_name(canvas, True, first.far), wall_name(canvas, False, second.far)
    under = f"{wall}'s corner, {canvas.side_name(True, first.far)}"
    over = f"{carrier}'s corner, {canvas.side_name(False, second.far)}"
    foot, tip = (first, second), (Edge(0.0, first.far), Edge(0.0, second.far))
    beside, above = (first, tip[1]), (tip[0], second)
    return Drawn(
        panels=(
            canvas.panel(under, Role.TAB, foot, beside, tip),
            canvas.panel(over, Role.TAB, foot, above, tip),
        ),
        creases=(
            canvas.crease(wall, under, foot, beside, HALF_TURN),
            canvas.crease(carrier, over, foot, above),
        ),
        bonds=(
            Bond(under, wall, Face.INSIDE, Face.INSIDE),
            Bond(over, wall, between=LAYERS - 1),
        ),
        webs=(canvas.crease(under, over, foot, tip, -HALF_TURN),),
    )


def _drawn(recipe: WalledRecipe) -> Pattern:
    canvas = Canvas(recipe.tabs)
    depth, setback = recipe.depth_mm, recipe.tab_setback_mm
    rims = Edge(0.0), Edge(0.0, far=True)
    feet = Edge(depth), Edge(depth, far=True)
    tab_ends = Edge(depth + setback), Edge(depth + setback, far=True)
    beside = recipe.width_mm if recipe.tabs is Axis.LENGTH else recipe.length_mm
    tab = usual_tab_mm(depth + setback, beside)

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
