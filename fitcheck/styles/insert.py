"""Inserts: a flat mat on the floor of a base, or a platform on legs, with or without a window.

A window holds what stands in it on the base's floor with a play on all sides; without one the
contents stand on top.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Axis, Corner, Fence, Rule, Sheet
from fitcheck.plain import shown
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.insert_keys import MatFile, PlatformFile
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.styles.part import Recipe, SizeBy
from fitcheck.styles.style import FEW_CALIPERS, Problems, Style
from fitcheck.styles.walls import Drawn, floor, plain_wall, wall_name
from fitcheck.styles.windows import frame_problems, window_in
from fitcheck.units import Unit, show_length

LEG_BACK_MM = 1.0
"""What the ends of a leg are cut back by, so that two do not meet at a corner."""


@dataclass(frozen=True, kw_only=True)
class InsertRecipe(Recipe):
    """An insert ready to be drawn; its floor is its outside."""

    window_mm: tuple[float, float] | None


class Insert(Style[InsertSpec, InsertRecipe]):
    """What a mat and a platform have in common."""

    places = ("insert",)
    sizes: ClassVar[tuple[SizeBy, ...]] = (SizeBy.EASE, SizeBy.CUT)

    @abstractmethod
    def height_of(self, common: Mapping[str, Any], file: Any) -> float:
        """How high its top is."""

    def grown_of(self, common: Mapping[str, Any]) -> float:
        """By how much its outside exceeds it as it is cut."""
        return 0.0

    def spec(self, common: Mapping[str, Any], file: Any) -> InsertSpec:
        """What a table says."""
        own = {**common, "depth_mm": self.height_of(common, file)}
        window = None if file.window is None else (file.window[0], file.window[1])
        return InsertSpec(
            **own,
            window_mm=window,
            hold=file.hold,
            play_mm=file.play or 0.0,
            grown_mm=self.grown_of(common),
        )

    def key_problems(self, part: str, table: Mapping[str, Any]) -> Problems:
        """A window is said by its size or by what it holds, and then with its play."""
        if "window" in table and "hold" in table:
            read = f"read window {shown(table['window'])} and hold {shown(table['hold'])}"
            wrong = "window and hold are given together"
            yield part, wrong, read, "allowed: one of window, hold", "remove one of them"
        elif ("hold" in table) != ("play" in table):
            there, missing = ("hold", "play") if "hold" in table else ("play", "hold")
            yield (
                f"{part}.{there}",
                f"needs {missing} beside it",
                f"read {shown(table[there])}",
                "allowed: hold and play together",
                f"add {missing} = ... or remove {there}",
            )

    def recipe(
        self, spec: InsertSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> InsertRecipe:
        """The recipe of an insert of that outside."""
        return InsertRecipe.of(spec, size_mm, joint_mm, tools, window_mm=spec.window_mm)

    def rim_mm(self, spec: InsertSpec) -> float:
        """What has to be left beside a window."""
        return FEW_CALIPERS * spec.stock.caliper_mm

    def floor_problems(
        self, spec: InsertSpec, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """A window that leaves no frame."""
        if floor is None or spec.window_mm is None:
            return
        frame = self.rim_mm(spec)
        cure = "make it smaller, or the base larger"
        yield from frame_problems(spec.name, spec.window_mm, floor, frame, unit, cure)


class Mat(Insert):
    """A flat card."""

    name = "mat"
    summary = "a flat card on the base's floor, with a window that holds what stands in it"
    file = MatFile

    def height_of(self, common: Mapping[str, Any], file: MatFile) -> float:
        """Its own thickness."""
        caliper: float = common["stock"].caliper_mm
        return caliper

    def draw(self, recipe: InsertRecipe) -> Pattern:
        """One panel."""
        sheet = Sheet(recipe.width_mm, recipe.length_mm, between_walls=True)
        edges = (Rule(Fence.LEFT, 0.0), Rule(Fence.RIGHT, 0.0))
        ends = (Rule(Fence.BOTTOM, 0.0), Rule(Fence.TOP, 0.0))
        corners = tuple(Corner(edges[x], ends[y]) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1)))
        cutouts = window_in(recipe.window_mm, (edges[0], ends[0]), sheet.sides_mm, takes=True)
        panel = Panel("mat", Role.FLOOR, corners, cutouts=cutouts)
        return Pattern(part=recipe.part, sheet=sheet, panels=(panel,), creases=())


class Platform(Insert):
    """A panel on four legs: a tray turned over, its corners open."""

    name = "platform"
    summary = "a panel on four legs, with or without a window that holds what stands in it"
    file = PlatformFile

    def height_of(self, common: Mapping[str, Any], file: PlatformFile) -> float:
        """As it is said, or what its legs come to when their creases are folded."""
        if file.legs is None:
            return file.height or 0.0
        allowance: float = common["stock"].crease_allowance_mm
        return file.legs + allowance

    def grown_of(self, common: Mapping[str, Any]) -> float:
        """At the creases of two legs."""
        allowance: float = common["stock"].crease_allowance_mm
        return 2.0 * allowance

    def key_problems(self, part: str, table: Mapping[str, Any]) -> Problems:
        """It is as high as is said, or as its legs make it."""
        yield from super().key_problems(part, table)
        given = [key for key in ("height", "legs") if key in table]
        if len(given) != 1:
            yield (
                part,
                "height and legs are given together" if given else "its height is missing",
                "allowed: exactly one of height, legs",
                "keep one of them" if given else "add height = ... or legs = ...",
            )

    def rim_mm(self, spec: InsertSpec) -> float:
        """The legs' creases stand outside the window too."""
        return FEW_CALIPERS * spec.stock.caliper_mm + 2.0 * spec.stock.crease_allowance_mm

    def floor_problems(
        self, spec: InsertSpec, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """Legs too low to fold, too."""
        least = FEW_CALIPERS * spec.stock.caliper_mm + spec.stock.crease_allowance_mm
        if spec.depth_mm <= least:
            yield (
                f"{spec.name}.height",
                "makes legs too low to fold",
                f"read {show_length(spec.depth_mm, unit)}",
                f"allowed: above {show_length(least, unit)}",
                "make it higher, or take a mat",
            )
        yield from super().floor_problems(spec, floor, joint_mm, unit)

    def draw(self, recipe: InsertRecipe) -> Pattern:
        """Its top between four scores, the legs out to the sheet's edges, its corners cut away."""
        a = recipe.stock.crease_allowance_mm
        leg = recipe.depth_mm - a
        size = recipe.width_mm - 2.0 * a, recipe.length_mm - 2.0 * a
        canvas = Canvas(Axis.LENGTH)
        rims = Edge(0.0), Edge(0.0, far=True)
        feet = Edge(leg), Edge(leg, far=True)
        drawn = floor(canvas, *feet, *feet)
        for foot, rim in zip(feet, rims, strict=True):
            drawn += plain_wall(canvas, foot, rim, feet)
            drawn += _side_leg(canvas, foot, rim, feet)
        first, *others = drawn.panels
        near = Rule(Fence.LEFT, leg), Rule(Fence.BOTTOM, leg)
        own = window_in(recipe.window_mm, near, size, takes=True)
        top = replace(first, name="top", cutouts=own)
        return Pattern(
            part=recipe.part,
            sheet=Sheet(size[0] + 2 * leg, size[1] + 2 * leg),
            panels=(top, *(replace(one, name=_leg(one.name)) for one in others)),
            creases=tuple(
                replace(one, parent="top", child=_leg(one.child)) for one in drawn.creases
            ),
            turned=True,
        )


def _leg(wall: str) -> str:
    return wall.replace("wall", "leg")


def _side_leg(canvas: Canvas, foot: Edge, rim: Edge, ends: tuple[Edge, Edge]) -> Drawn:
    """A leg on the left or right, its ends cut back so that it meets no other."""
    name = wall_name(canvas, True, foot.far)
    low, high = (end.cut(f"{_leg(name)}'s ends", LEG_BACK_MM, outward=True) for end in ends)
    spots = ((foot, low), (rim, low), (rim, high), (foot, high))
    return Drawn(
        panels=(canvas.panel(name, Role.WALL, *spots),),
        creases=(canvas.crease("floor", name, (foot, low), (foot, high)),),
    )
