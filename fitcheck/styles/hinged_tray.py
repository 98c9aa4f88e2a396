"""A tray with its lid in one piece: hinged at the back wall's rim, its lip in or over the front.

The tabs are on the front and the back wall, so that these two stand upright and the lid, which
hangs on one of them and closes at the other, lies level. The back wall is one caliper higher than
the others (common practice, no source), so that the lid lies on their rims.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from fitcheck.pattern.creases import CreaseKind
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.keys import (
    LEAST_OVERSIZE_MM,
    MOST_SETBACK_MM,
    PartFile,
    Setback,
    Sides,
    length_schema,
)
from fitcheck.styles.mates import Mate, Turned
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.style import FEW_CALIPERS, Problems
from fitcheck.styles.walled import Walled, WalledRecipe, WalledSpec
from fitcheck.styles.walls import Drawn, floor, plain_wall, tabbed_wall, usual_tab_mm
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import LARGEST_MM, Length, length_reader

EASE_MM = 1.2
"""What a lip has to spare on its way past the wall (about 3/64 in; common practice, no source)."""
LID, LIP = "lid", "lip"
OPEN_RAD = 0.0
"""The lid stands up from the back wall."""


class LipSide(enum.StrEnum):
    """Which side of the front wall the lip goes to."""

    IN = "in"
    OVER = "over"


class Hinge(enum.StrEnum):
    """How the lid's own crease is made."""

    SCORED = "scored"
    HALF_CUT = "half cut"


Clear = Annotated[
    float, BeforeValidator(length_reader(LEAST_OVERSIZE_MM, LARGEST_MM)), length_schema()
]


class HingedTrayFile(PartFile):
    """The keys of a tray with a hinged lid."""

    style: Literal["hinged-tray"] = Field(description='The style: "hinged-tray".')
    floor: Sides | None = Field(default=None, description="A list [width, length], score to score.")
    inside: Sides | None = Field(
        default=None, description="A list [width, length] between the inside faces of the walls."
    )
    depth: Length = Field(
        description="The front and the side walls, a length from score to cut edge; the back wall "
        "is one caliper higher."
    )
    lip: Length = Field(description="How deep the lid's lip is, a length from score to cut edge.")
    front: Annotated[LipSide, Field(strict=False)] = Field(
        default=LipSide.OVER,
        description='Where the lip goes at the front wall: "in" behind it or "over" it.',
    )
    clear: Clear | None = Field(
        default=None,
        description="How much longer the lid is than the floor, score to score, a length from "
        f"{LEAST_OVERSIZE_MM:g} mm on; less than 0 for a lip that goes in; default: what leaves "
        f"the lip {EASE_MM:g} mm to spare on its way.",
    )
    hinge: Annotated[Hinge, Field(strict=False)] = Field(
        default=Hinge.SCORED,
        description='The lid\'s own crease: "scored", or "half cut" on its outside face.',
    )
    tab_setback: Setback = Field(
        default=0.0,
        description="How far a tab's score is moved inward, a length from 0 to "
        f"{MOST_SETBACK_MM:g} mm.",
    )


@dataclass(frozen=True, kw_only=True)
class HingedTraySpec(WalledSpec):
    """A tray with a hinged lid."""

    lip_mm: float
    front: LipSide
    clear_mm: float | None
    """None = what leaves the lip its ease."""
    hinge: Hinge

    own_choices = ()
    gaps = (OwnLength("clear", "clear", negative=True),)
    still = ("lip_mm",)


@dataclass(frozen=True, kw_only=True)
class HingedTrayRecipe(WalledRecipe):
    """A tray with a hinged lid, ready to be drawn."""

    lip_mm: float
    front: LipSide
    clear_mm: float
    hinge: Hinge

    @property
    def back_mm(self) -> float:
        """The back wall, from the floor's score to the lid's."""
        return self.depth_mm + self.stock.caliper_mm

    @property
    def lid_mm(self) -> float:
        """The lid, from its own score to the lip's."""
        return self.length_mm + self.clear_mm

    @property
    def lip_inset_mm(self) -> float:
        """How much narrower a lip that goes in is at each end, to pass the front wall's tabs."""
        return self.stock.caliper_mm + EASE_MM if self.front is LipSide.IN else 0.0


class HingedTray(Walled[HingedTraySpec, HingedTrayRecipe]):
    """A tray whose back wall carries its lid."""

    name = "hinged-tray"
    summary = "a tray with its lid in one piece, hinged at the back, a lip in or over the front"
    places = ("base",)
    file = HingedTrayFile
    closes_itself = True
    tabs_on_longer_side = True

    def spec(self, common: Mapping[str, Any], file: HingedTrayFile) -> HingedTraySpec:
        """What a table says."""
        return HingedTraySpec(
            **common,
            tabs=Axis.WIDTH,
            tab_setback_mm=file.tab_setback,
            lip_mm=file.lip,
            front=file.front,
            clear_mm=file.clear,
            hinge=file.hinge,
        )

    def recipe(
        self,
        spec: HingedTraySpec,
        size_mm: tuple[float, float],
        joint_mm: float,
        tools: Tools | None,
    ) -> HingedTrayRecipe:
        """The recipe on a floor of that size."""
        clear = usual_clear_mm(spec, size_mm[1]) if spec.clear_mm is None else spec.clear_mm
        return HingedTrayRecipe.of(
            spec,
            size_mm,
            joint_mm,
            tools,
            tabs=Axis.WIDTH,
            tab_setback_mm=spec.tab_setback_mm,
            lip_mm=spec.lip_mm,
            front=spec.front,
            clear_mm=clear,
            hinge=spec.hinge,
        )

    def draw(self, recipe: HingedTrayRecipe) -> Pattern:
        """From the bottom fence: front wall, floor, back wall, lid, lip."""
        return _drawn(recipe)

    def mates(self, spec: HingedTraySpec) -> tuple[Mate, ...]:
        """Its lid turns."""
        return (Turned(spec.name, spec.name, LID, OPEN_RAD, spec.front is LipSide.OVER),)

    def floor_problems(
        self,
        spec: HingedTraySpec,
        floor: tuple[float, float] | None,
        joint_mm: float,
        unit: Unit,
    ) -> Problems:
        """A lip that cannot be folded or closed, a lid that nothing is left of."""
        yield from super().floor_problems(spec, floor, joint_mm, unit)
        few = FEW_CALIPERS * spec.stock.caliper_mm
        most = spec.depth_mm - (few if spec.front is LipSide.IN else 0.0)
        if not few < spec.lip_mm <= most:
            yield (
                f"{spec.name}.lip",
                "is too shallow to fold" if spec.lip_mm <= few else "is too deep to close",
                f"read {show_length(spec.lip_mm, unit)}",
                f"allowed: above {FEW_CALIPERS} calipers of {spec.stock.name}, "
                f"{show_length(few, unit)}, up to "
                + ("as much less than " if spec.front is LipSide.IN else "")
                + f"the depth, {show_length(most, unit)}",
                "make it deeper" if spec.lip_mm <= few else "make it shallower",
            )
        if floor is None:
            return
        if spec.clear_mm is None and spec.front is LipSide.IN and 2.0 * spec.lip_mm >= floor[1]:
            yield (
                f"{spec.name}.lip",
                "is too deep to swing into so short a box",
                f"read {show_length(spec.lip_mm, unit)}",
                f"allowed: below half the floor's length, {show_length(0.5 * floor[1], unit)}",
                "make it shallower, or give front = 'over'",
            )
        if spec.clear_mm is not None and floor[1] + spec.clear_mm <= few:
            yield (
                f"{spec.name}.clear",
                "leaves nothing of the lid",
                f"read {show_length(spec.clear_mm, unit)}",
                f"allowed: above {show_length(few - floor[1], unit)}",
                "make it larger",
            )


def usual_clear_mm(spec: HingedTraySpec, length_mm: float) -> float:
    """How much longer the lid is than the floor so that its lip has EASE_MM on its way.

    A lip that goes over has a caliper between its faces and the wall's. One that goes in swings its
    edge out by what the corner is further from the hinge than the lid is long: at its furthest the
    edge is as far as the hinge and itself are apart, and there it has to pass the wall.
    """
    caliper, allowance = spec.stock.caliper_mm, spec.stock.crease_allowance_mm
    if spec.front is LipSide.OVER:
        return caliper + EASE_MM
    reach = length_mm + 2.0 * allowance - caliper - EASE_MM
    tall = spec.lip_mm + allowance
    return math.sqrt(max(reach * reach - tall * tall, 0.0)) - 2.0 * allowance - length_mm


def _drawn(recipe: HingedTrayRecipe) -> Pattern:
    canvas = Canvas(recipe.tabs)
    depth, setback = recipe.depth_mm, recipe.tab_setback_mm
    hung = recipe.lip_mm + recipe.lid_mm
    front, front_rim = Edge(depth), Edge(0.0)
    # from the front edge, so that only the sheet's end is a caliper off the grooves
    back = Edge(depth + recipe.length_mm, far=True, across=True)
    hinge = Edge(hung, far=True)
    sides = Edge(depth), Edge(depth, far=True)
    ends = Edge(depth + setback), Edge(depth + setback, far=True)
    tab = usual_tab_mm(depth + setback, recipe.length_mm)
    drawn = floor(canvas, front, back, *sides)
    drawn += tabbed_wall(canvas, front, front_rim, ends, tab)
    drawn += tabbed_wall(canvas, back, hinge, ends, tab)
    for foot, rim in zip(sides, (Edge(0.0), Edge(0.0, far=True)), strict=True):
        drawn += plain_wall(canvas, foot, rim, (front, back))
    drawn += _lid(canvas, recipe, hinge, ends)
    return Pattern(
        part=recipe.part,
        sheet=Sheet(
            recipe.width_mm + 2 * depth,
            depth + recipe.length_mm + recipe.back_mm + hung,
            holds_lid_up=True,
        ),
        panels=drawn.panels,
        creases=drawn.creases,
        bonds=drawn.bonds,
    )


def _lid(canvas: Canvas, recipe: HingedTrayRecipe, hinge: Edge, ends: tuple[Edge, Edge]) -> Drawn:
    """The lid beyond the back wall's rim, as wide as that wall, and the lip beyond it."""
    fold, tip = Edge(recipe.lip_mm, far=True), Edge(0.0, far=True)
    low, high = ends
    inset = recipe.lip_inset_mm
    lip = [
        end.cut(f"{LIP}'s {canvas.side_name(False, end.far)} end", inset) if inset else end
        for end in ends
    ]
    back = f"{canvas.side_name(True, True)} wall"
    turned = canvas.crease(back, LID, (hinge, low), (hinge, high))
    return Drawn(
        panels=(
            canvas.panel(LID, Role.LID, (hinge, low), (fold, low), (fold, high), (hinge, high)),
            canvas.panel(
                LIP, Role.FLAP, (fold, lip[0]), (tip, lip[0]), (tip, lip[1]), (fold, lip[1])
            ),
        ),
        creases=(
            replace(turned, kind=CreaseKind(recipe.hinge.value)),
            canvas.crease(LID, LIP, (fold, lip[0]), (fold, lip[1])),
        ),
    )
