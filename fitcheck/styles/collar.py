"""A collar: a ring of four walls that stands in a base, so that a lid of the base's size meets it.

The strip starts with a flap that is glued inside the wall at the other end. Flap and glue lie under
the wall beside them, which is drawn shorter by their thickness so that the ring closes square; the
flap is wider by as much. All other scores are measured from the far end, so that they lie in
grooves where the sizes do, as the strip's end does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, Self

from pydantic import Field

from fitcheck.pattern.bonds import seam
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.layers import Layer
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.plain import shown
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.eased import EasedSpec
from fitcheck.styles.keys import PartFile, Slack
from fitcheck.styles.part import PartSpec, Recipe, SizeBy
from fitcheck.styles.style import FEW_CALIPERS, Problems, Style
from fitcheck.styles.walls import SEAM_TAPER_MM, usual_seam_mm
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import Length

FOOT, RIM = Edge(0.0), Edge(0.0, far=True)


class CollarFile(PartFile):
    """The keys of a collar."""

    style: Literal["collar"] = Field(description='The style: "collar".')
    ease: Slack | None = Field(
        default=None,
        description="How much smaller the ring is than the base's floor, both score to score: a "
        "length or a list [width, length].",
    )
    height: Length | None = Field(
        default=None,
        description="How high the ring is, a length from cut edge to cut edge; instead of rise.",
    )
    rise: Length | None = Field(
        default=None,
        description="How much higher the ring is cut than the base is deep, a length; instead of "
        "height.",
    )
    seam: Length | None = Field(
        default=None,
        description="The glued flap's width, a length; default: half an inch, or what a narrow "
        "ring has room for; it is cut wider by the paper and the glue that the wall on it is "
        "shorter by.",
    )


@dataclass(frozen=True, kw_only=True)
class CollarSpec(EasedSpec):
    """What a design says about a collar; its sizes are its ease in the base."""

    rise_mm: float | None
    """How much higher it is cut than the base is deep, where it follows that; else None."""
    seam_mm: float | None
    above_mm: float = 0.0
    """How much higher it is cut than the base beside it is deep."""

    depth_key = "height"
    still = ("seam_mm",)

    @property
    def own_depth(self) -> bool:
        """Whether its height is given."""
        return self.rise_mm is None

    def beside(self, base: PartSpec) -> Self:
        """As high as the base leaves it, where it follows that."""
        height = self.depth_mm if self.rise_mm is None else base.depth_mm + self.rise_mm
        return replace(self, depth_mm=height, above_mm=height - base.depth_mm)

    def with_depth(self, depth_mm: float) -> Self:
        """The ring of another height."""
        by = depth_mm - self.depth_mm
        rise = None if self.rise_mm is None else self.rise_mm + by
        return replace(self, depth_mm=depth_mm, rise_mm=rise, above_mm=self.above_mm + by)


@dataclass(frozen=True, kw_only=True)
class CollarRecipe(Recipe):
    """A collar ready to be drawn: its floor is what it stands round, its depth its height."""

    seam_mm: float
    two_strips: bool = False
    """Whether it is made from two strips, so that a flap lies inside both walls along the width."""

    @property
    def short_side_mm(self) -> float:
        """The wall that stands on the flap."""
        return self.length_mm - self.lap_mm

    @property
    def flap_mm(self) -> float:
        """The flap, wider by what that wall is shorter."""
        return self.seam_mm + self.lap_mm


class Collar(Style[CollarSpec, CollarRecipe]):
    """A ring of four walls."""

    name = "collar"
    summary = "a glued ring that stands in a base, for a lid that meets the base flush"
    places = ("collar",)
    file = CollarFile
    sizes = (SizeBy.EASE,)

    def key_problems(self, part: str, table: Mapping[str, Any]) -> Problems:
        """It is as high as is said, or as follows from the base's depth."""
        given = [key for key in ("height", "rise") if key in table]
        if len(given) == 2:
            read = f"read height {shown(table['height'])} and rise {shown(table['rise'])}"
            wrong = "height and rise are given together"
            yield part, wrong, read, "allowed: exactly one of height, rise", "keep one of them"
        elif not given:
            yield (
                part,
                "its height is missing",
                "allowed: exactly one of height, rise",
                "add rise = ..., which is how much higher than the base's depth it is cut",
            )

    def spec(self, common: Mapping[str, Any], file: CollarFile) -> CollarSpec:
        """What a table says."""
        own = {**common, "depth_mm": file.height or 0.0}
        return CollarSpec(**own, rise_mm=file.rise, seam_mm=file.seam)

    def recipe(
        self, spec: CollarSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> CollarRecipe:
        """The recipe of a collar round a floor of that size."""
        usual = usual_seam_mm(size_mm[0])
        seam = usual if spec.seam_mm is None else spec.seam_mm
        return CollarRecipe.of(spec, size_mm, joint_mm, tools, seam_mm=seam)

    def draw(self, recipe: CollarRecipe) -> Pattern:
        """From the left fence: flap, right, front, left and back wall."""
        return _drawn(recipe)

    def floor_problems(
        self, spec: CollarSpec, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """A ring that ends in the base, a wall too short for its flap, a flap too wide."""
        if spec.above_mm <= 0.0:
            yield (
                f"{spec.name}.height",
                "does not stand above the base's wall, so that no lid goes over it",
                f"read {show_length(spec.depth_mm, unit)}",
                f"allowed: above the base's depth, {show_length(_base_depth(spec), unit)}",
                "make it higher or the base lower",
            )
        if floor is None:
            return
        least = (FEW_CALIPERS + 1) * spec.stock.caliper_mm + joint_mm
        if floor[1] <= least:
            yield (
                f"{spec.name}.ease",
                "makes the ring too short to fold",
                f"read walls of {show_length(floor[1], unit)} along the length",
                f"allowed: above {show_length(least, unit)}",
                "make the base longer or the ease smaller",
            )
        if spec.seam_mm is not None and spec.seam_mm >= floor[0]:
            yield (
                f"{spec.name}.seam",
                "is wider than the wall it is glued to",
                f"read {show_length(spec.seam_mm, unit)}",
                f"allowed: below {show_length(floor[0], unit)}",
                "make it smaller",
            )


def _base_depth(spec: CollarSpec) -> float:
    return spec.depth_mm - spec.above_mm


def _drawn(recipe: CollarRecipe) -> Pattern:
    canvas = Canvas(Axis.LENGTH)
    width, length, flap_mm = recipe.width_mm, recipe.length_mm, recipe.flap_mm
    lines = (
        Edge(0.0),
        Edge(flap_mm, hair_mm=recipe.lap_mm),
        Edge(2 * width + length, far=True),
        Edge(width + length, far=True),
        Edge(width, far=True),
        Edge(0.0, far=True),
    )
    names = ("seam flap", "right side", "front side", "left side", "back side")
    panels, creases = _strip(canvas, names, lines)
    sheet = Sheet(flap_mm + recipe.short_side_mm + 2 * width + length, recipe.depth_mm)
    other = Layer(_other_flap(canvas, recipe), names[2])
    return Pattern(
        part=recipe.part,
        sheet=sheet,
        panels=panels,
        creases=creases,
        bonds=(seam(names[0], names[-1]),),
        on_end=True,
        layers=(other,) if recipe.two_strips else (),
    )


def _other_flap(canvas: Canvas, recipe: CollarRecipe) -> Panel:
    """The other strip's flap, inside the front wall: it begins at the edge of the wall on it."""
    begins = recipe.width_mm + recipe.length_mm
    tip, edge = Edge(begins + recipe.flap_mm, far=True), Edge(begins, far=True)
    return _panel(canvas, "other strip's seam flap", Role.FLAP, tip, edge)


def half_ring(recipe: CollarRecipe) -> Pattern:
    """One of two strips, both alike, that make the ring: a wall each way, the one on a flap.

    With a seam at two opposite edges both walls along the length stand on a flap, and both are
    shorter by what lies under them.
    """
    canvas = Canvas(Axis.LENGTH)
    names = ("seam flap", "wall along the length", "wall along the width")
    lines = (
        Edge(0.0),
        Edge(recipe.flap_mm, hair_mm=recipe.lap_mm),
        Edge(recipe.width_mm, far=True),
        Edge(0.0, far=True),
    )
    width = recipe.flap_mm + recipe.short_side_mm + recipe.width_mm
    panels, creases = _strip(canvas, names, lines)
    return Pattern(
        part=recipe.part,
        sheet=Sheet(width, recipe.depth_mm),
        panels=panels,
        creases=creases,
        on_end=True,
        alike=2,
    )


def _strip(
    canvas: Canvas, names: Sequence[str], lines: Sequence[Edge]
) -> tuple[tuple[Panel, ...], tuple[CreaseLine, ...]]:
    """Panels between lines across a strip, the first a flap, and the creases between them."""
    panels, creases = [], []
    for k, name in enumerate(names):
        near, far = lines[k], lines[k + 1]
        panels.append(_panel(canvas, name, Role.WALL if k else Role.FLAP, near, far))
        if k:
            creases.append(canvas.crease(name, names[k - 1], (near, FOOT), (near, RIM)))
    return tuple(reversed(panels)), tuple(reversed(creases))


def _panel(canvas: Canvas, name: str, role: Role, near: Edge, far: Edge) -> Panel:
    """A panel between two lines across a strip; a flap tapers towards the near one, its tip."""
    ends = FOOT, RIM
    if role is Role.FLAP:
        ends = (
            FOOT.cut("flap's lower end", SEAM_TAPER_MM),
            RIM.cut("flap's upper end", SEAM_TAPER_MM),
        )
    return canvas.panel(name, role, (near, ends[0]), (far, FOOT), (far, RIM), (near, ends[1]))
