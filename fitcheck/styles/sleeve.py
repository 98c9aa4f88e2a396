"""A sleeve: a tube of four panels and a glued flap that a tray slides into as a drawer.

The strip starts with the flap, which is glued inside onto the panel at the other end. Flap and glue
lie under one side, so that side is drawn shorter by their thickness and the tube closes square; the
flap is wider by as much, so that all other scores and the strip's end lie where its sizes are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, Self

from pydantic import Field

from fitcheck.pattern.bonds import seam
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Axis, Corner, Fence, Knife, Rule, Sheet
from fitcheck.stock.tools import Tools
from fitcheck.styles.keys import AxisName, PartFile, Slack
from fitcheck.styles.mates import Along, Mate
from fitcheck.styles.part import ByLength, PartSpec, Recipe, SizeBy, by_length
from fitcheck.styles.style import FEW_CALIPERS, Problems, Style
from fitcheck.styles.walls import SEAM_TAPER_MM, usual_seam_mm
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import Length


class SleeveFile(PartFile):
    """The keys of a sleeve."""

    style: Literal["sleeve"] = Field(description='The style: "sleeve".')
    along: AxisName = Field(
        default=Axis.LENGTH, description="The way the drawer goes: length or width."
    )
    ease: Slack = Field(
        description="How much the tube's sizes, score to score, exceed the tray's floor across and "
        "its depth: a length or a list [across, up]."
    )
    length: Length | None = Field(
        default=None, description="The tube's length; default: the tray's floor along that way."
    )
    seam: Length | None = Field(
        default=None,
        description="The glued flap's width, a length; default: half an inch, or what a narrow "
        "tube has room for; it is cut wider by the paper and the glue that the side on it is "
        "shorter by.",
    )
    notch: Length | None = Field(
        default=None,
        description="The radius of a half-round thumb notch in the top and in the bottom, at one "
        "end, a length; default: none.",
    )


@dataclass(frozen=True, kw_only=True)
class SleeveSpec(PartSpec):
    """What a design says about a sleeve; its sizes are the ease across and up."""

    along: Axis
    tube_mm: float | None
    """Its length; None = the tray's floor."""
    seam_mm: float | None
    notch_mm: float | None = None
    """Radius of its thumb notches."""

    still = ("tube_mm", "seam_mm")

    @property
    def follows_base(self) -> bool:
        """Always."""
        return True

    def over(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """Its bottom round a tray's floor."""
        across, along = (
            (width_mm, length_mm) if self.along is Axis.LENGTH else (length_mm, width_mm)
        )
        wide, long = across + self.size_mm[0], along if self.tube_mm is None else self.tube_mm
        return (wide, long) if self.along is Axis.LENGTH else (long, wide)

    @property
    def own_depth(self) -> bool:
        """Never."""
        return False

    def follows(self, wide: float, long: float, deep: float) -> ByLength:
        """A length of its own stays."""
        if self.tube_mm is not None:
            wide, long = (wide, 0.0) if self.along is Axis.LENGTH else (0.0, long)
        return by_length(wide, long, deep)

    def grown_by(self, sizes: tuple[float, float]) -> ByLength:
        """Across, and up."""
        across, up = sizes
        return by_length(*((across, 0.0) if self.along is Axis.LENGTH else (0.0, across)), up)

    def sizes_over(self, wide: float, long: float, deep: float) -> tuple[float, float]:
        """Across, and up."""
        return (wide if self.along is Axis.LENGTH else long), deep

    def beside(self, base: PartSpec) -> Self:
        """As high as the tray leaves it."""
        return replace(self, depth_mm=base.depth_mm + self.size_mm[1])

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """What was read of its lengths."""
        across, up = (show_length(size, unit) for size in self.size_mm)
        return f"read ease {across} across and {up} up; change its ease, or the tray"


@dataclass(frozen=True, kw_only=True)
class SleeveRecipe(Recipe):
    """A sleeve ready to be drawn: its bottom is its floor, its sides are as high as its depth."""

    along: Axis
    seam_mm: float
    notch_mm: float | None = None

    @property
    def short_side_mm(self) -> float:
        """The side that stands on the flap."""
        return self.depth_mm - self.lap_mm

    @property
    def flap_mm(self) -> float:
        """The flap, wider by what that side is shorter."""
        return self.seam_mm + self.lap_mm


def strip_of_two_mm(recipe: SleeveRecipe) -> tuple[float, float]:
    """The width and the length, mm, of each of two strips that make one: a flap, a side, a face."""
    if recipe.along is Axis.LENGTH:
        return recipe.seam_mm + recipe.depth_mm + recipe.width_mm, recipe.length_mm
    return recipe.width_mm, recipe.seam_mm + recipe.depth_mm + recipe.length_mm


class Sleeve(Style[SleeveSpec, SleeveRecipe]):
    """A four-sided tube."""

    name = "sleeve"
    summary = "a glued tube round a tray that slides in it as a drawer"
    places = ("sleeve",)
    file = SleeveFile
    sizes = (SizeBy.EASE,)

    def spec(self, common: Mapping[str, Any], file: SleeveFile) -> SleeveSpec:
        """What a table says."""
        return SleeveSpec(
            **common,
            along=file.along,
            tube_mm=file.length,
            seam_mm=file.seam,
            notch_mm=file.notch,
        )

    def recipe(
        self, spec: SleeveSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> SleeveRecipe:
        """The recipe of a sleeve with a bottom of that size."""
        across = size_mm[0] if spec.along is Axis.LENGTH else size_mm[1]
        seam = usual_seam_mm(across) if spec.seam_mm is None else spec.seam_mm
        own = {"along": spec.along, "seam_mm": seam, "notch_mm": spec.notch_mm}
        return SleeveRecipe.of(spec, size_mm, joint_mm, tools, **own)

    def draw(self, recipe: SleeveRecipe) -> Pattern:
        """From the left or bottom fence: flap, short side, top, side, bottom."""
        return _drawn(recipe)

    def mates(self, spec: SleeveSpec) -> tuple[Mate, ...]:
        """The tray is its drawer."""
        return (Along("base", spec.name, spec.along),)

    def floor_problems(
        self, spec: SleeveSpec, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """A tube too low to fold, a flap wider than its bottom."""
        least = (FEW_CALIPERS + 1) * spec.stock.caliper_mm + joint_mm
        if spec.depth_mm <= least:
            yield (
                f"{spec.name}.ease",
                "makes the tube too low to fold",
                f"read sides of {show_length(spec.depth_mm, unit)}",
                f"allowed: above {show_length(least, unit)}",
                "make the tray deeper or the ease larger",
            )
        if floor is None:
            return
        across, tube = floor if spec.along is Axis.LENGTH else floor[::-1]
        seam = usual_seam_mm(across) if spec.seam_mm is None else spec.seam_mm
        # beside the notch in the bottom there is the flap under one side
        most = min(0.5 * across - seam, 0.5 * tube) - FEW_CALIPERS * spec.stock.caliper_mm
        if spec.notch_mm is not None and spec.notch_mm > most:
            yield (
                f"{spec.name}.notch",
                "reaches into the seam or past the middle",
                f"read {show_length(spec.notch_mm, unit)}",
                f"allowed: up to {show_length(max(0.0, most), unit)}",
                "make it smaller, or the seam narrower",
            )
        if spec.seam_mm is not None and spec.seam_mm >= across:
            yield (
                f"{spec.name}.seam",
                "is wider than the panel it is glued to",
                f"read {show_length(spec.seam_mm, unit)}",
                f"allowed: below {show_length(across, unit)}",
                "make it smaller",
            )


def _drawn(recipe: SleeveRecipe) -> Pattern:
    along_length = recipe.along is Axis.LENGTH
    across = recipe.width_mm if along_length else recipe.length_mm
    tube = recipe.length_mm if along_length else recipe.width_mm
    lengths = (recipe.flap_mm, recipe.short_side_mm, across, recipe.depth_mm, across)
    near, far = (Fence.LEFT, Fence.RIGHT) if along_length else (Fence.BOTTOM, Fence.TOP)
    low, high = (Fence.BOTTOM, Fence.TOP) if along_length else (Fence.LEFT, Fence.RIGHT)
    places = [0.0]
    for length in lengths:
        places.append(places[-1] + length)
    rules = [*(Rule(near, place) for place in places[:-1]), Rule(far, 0.0)]
    rules[1] = Rule(near, recipe.flap_mm, recipe.lap_mm)
    ends = Rule(low, 0.0), Rule(high, 0.0)

    def corner(rule: Rule, end: int, inward: float = 0.0) -> Corner:
        """A corner on a rule across the strip, at either end of the tube."""
        off = -inward if end else inward
        knife = Knife(f"flap's {('near', 'far')[end]} end") if inward else None
        grow = 0.0 if knife is None else (1.0 if end else -1.0)
        if along_length:
            return Corner(rule, ends[end], 0.0, off, None, knife, 0.0, grow)
        return Corner(ends[end], rule, off, 0.0, knife, None, grow, 0.0)

    def notch(name: str, rule: Rule, width: float) -> Cutout:
        """A half round in the middle of a panel's far end, cut by hand from its first score."""
        radius, knife = recipe.notch_mm or 0.0, Knife(f"{name}'s thumb notch")
        middles = [0.5 * width - radius, 0.5 * width + radius]
        spots = [
            Corner(rule, ends[1], off, 0.0, knife, None, 1.0, 0.0)
            if along_length
            else Corner(ends[1], rule, 0.0, off, None, knife, 0.0, 1.0)
            for off in middles
        ]
        return Cutout("thumb notch", CutoutKind.NOTCH, tuple(spots), (1.0,))

    names = ("flap", "short side", "top", "side", "bottom")
    roles = (Role.FLAP, Role.WALL, Role.TOP, Role.WALL, Role.FLOOR)
    panels, creases = [], []
    for k, (name, role) in enumerate(zip(names, roles, strict=True)):
        back = SEAM_TAPER_MM if role is Role.FLAP else 0.0
        spots = [
            corner(rules[k], 0, back),
            corner(rules[k + 1], 0),
            corner(rules[k + 1], 1),
            corner(rules[k], 1, back),
        ]
        panel = Panel(name, role, tuple(spots if along_length else spots[::-1]))
        if recipe.notch_mm is not None and role in (Role.TOP, Role.FLOOR):
            panel = replace(panel, cutouts=(notch(name, rules[k], lengths[k]),))
        panels.append(panel)
        if k:
            creases.append(CreaseLine(name, names[k - 1], corner(rules[k], 0), corner(rules[k], 1)))
    size = (places[-1], tube) if along_length else (tube, places[-1])
    return Pattern(
        part=recipe.part,
        sheet=Sheet(*size),
        panels=tuple(reversed(panels)),
        creases=tuple(reversed(creases)),
        bonds=(seam("flap", "bottom"),),
    )
