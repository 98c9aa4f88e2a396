"""A shadow box: each wall rolls inwards into a hollow frame whose flap is glued onto the floor.

The pair that carries the tabs is rolled first and runs full length; the other pair is rolled
second, mitred over it in the frame, its inner wall and flap spanning the opening only.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import Field

from fitcheck.pattern.bonds import roll
from fitcheck.pattern.pattern import Lap, Pattern, Role
from fitcheck.pattern.sheet import Sheet
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import EASE_MM, Canvas, Edge
from fitcheck.styles.keys import Sides
from fitcheck.styles.part import SizeBy
from fitcheck.styles.rolled import InnerWall, RolledRecipe, RolledSpec
from fitcheck.styles.style import Problems
from fitcheck.styles.walled import Walled, WalledFile
from fitcheck.styles.walls import Drawn, floor, plain_wall, tabbed_wall
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import Length


class ShadowBoxFile(WalledFile):
    """The keys of a shadow box."""

    style: Literal["shadow-box"] = Field(description='The style: "shadow-box".')
    inside: Sides | None = Field(
        default=None,
        description="A list [width, length] between the inner walls, the same as opening.",
    )
    opening: Sides | None = Field(
        default=None, description="A list [width, length] between the inner walls."
    )
    depth: Length = Field(description="The outer wall, a length score to score.")
    frame: Length = Field(description="The frame's width, a length score to score.")
    inner_wall: InnerWall = Field(
        default=None,
        description='A length, or "level" (depth less one caliper and one joint), the default.',
    )
    flap: Length = Field(description="The flap glued on the floor, a length.")


class ShadowBox(Walled[RolledSpec, RolledRecipe]):
    """Walls rolled into a frame."""

    name = "shadow-box"
    summary = "walls rolled inwards into a hollow frame round an opening"
    file = ShadowBoxFile
    sizes = (SizeBy.FLOOR, SizeBy.INSIDE, SizeBy.OPENING)
    tabs_on_longer_side = False

    def spec(self, common: Mapping[str, Any], file: ShadowBoxFile) -> RolledSpec:
        """What a table says."""
        return RolledSpec(
            **common,
            tabs=file.tabs,
            tab_setback_mm=file.tab_setback,
            frame_mm=file.frame,
            inner_wall_mm=file.inner_wall,
            flap_mm=file.flap,
        )

    def recipe(
        self, spec: RolledSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> RolledRecipe:
        """The recipe of a shadow box on a floor of that size."""
        own = spec.lengths_mm(joint_mm)
        return RolledRecipe.of(
            spec,
            size_mm,
            joint_mm,
            tools,
            tabs=spec.tabs or self.default_tabs(*size_mm),
            tab_setback_mm=spec.tab_setback_mm,
            frame_mm=own["frame"],
            inner_wall_mm=own["inner_wall"],
            flap_mm=own["flap"],
        )

    def draw(self, recipe: RolledRecipe) -> Pattern:
        """From each fence flap, inner wall, frame, outer wall, then floor."""
        return _drawn(recipe)

    def least_beyond_mm(self, joint_mm: float) -> float:
        """Its flap lies glued on the floor inside the wall."""
        return joint_mm

    def floor_problems(
        self, spec: RolledSpec, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """A frame that leaves no opening, too."""
        yield from super().floor_problems(spec, floor, joint_mm, unit)
        growth = spec.stock.crease_allowance_mm
        if floor is not None and 2 * spec.frame_mm + 2 * growth >= min(floor):
            yield (
                f"{spec.name}.frame",
                "leaves no opening: the frame is wider than half the floor",
                f"read {show_length(spec.frame_mm, unit)}",
                f"allowed: below {show_length(min(floor) / 2 - growth, unit)} "
                f"on a floor of {show_length(min(floor), unit)}",
                "make the frame narrower or the floor larger",
            )


def _drawn(recipe: RolledRecipe) -> Pattern:
    canvas = Canvas(recipe.tabs)
    steps = _Steps.of(recipe)
    feet = Edge(steps.foot), Edge(steps.foot, far=True)
    tab_ends = tuple(foot.inward(0.0) for foot in _shifted(feet, recipe.tab_setback_mm))
    relief = max(0.0, recipe.bite_mm) + max(0.0, recipe.tab_setback_mm) + EASE_MM
    tab = min(recipe.depth_mm, recipe.frame_mm - recipe.stock.caliper_mm - EASE_MM)

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
    def of(cls, recipe: RolledRecipe) -> _Steps:
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
