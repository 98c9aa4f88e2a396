"""A double-walled tray: each wall is folded down inside itself, its inner wall on the outer one.

The pair that carries the tabs is folded down first and runs from tab to tab. The other pair comes
down over the tabs, between the first pair's inner walls, and so hides the glued corners.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, ValidationInfo

from fitcheck.pattern.bonds import lining
from fitcheck.pattern.pattern import HALF_TURN, Pattern, Role
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.keys import any_length, length_schema
from fitcheck.styles.part import OwnLength, SizeBy
from fitcheck.styles.style import FEW_CALIPERS, Problems
from fitcheck.styles.walled import Walled, WalledFile, WalledRecipe, WalledSpec
from fitcheck.styles.walls import (
    LONGEST_TAB_MM,
    NEIGHBOUR_SHARE,
    TAB_SHARE,
    Drawn,
    floor,
    plain_wall,
    tabbed_wall,
)
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import LARGEST_MM, Length, problem

SHORT_MM = 1.6
"""What a glued inner wall is cut short of the floor by, so that errors of its scores do not make it
lift its rim (about 1/16 in; common practice, no source)."""
END_MM = 0.8
"""What each end of an inner wall is cut clear of what stands beside it, so that errors of scores
and cuts do not press it there (about 1/32 in; common practice, no source)."""
SHORT_SHARE = 0.1
"""Of the outer wall, at the most: a low one is scored as near to the fence."""
SNUG = "snug"
"""What a rim is given as that is one score, folded right over on what lies between."""
TO_THE_FLOOR = "to the floor"
"""What an inner wall is given as that is as high as it can be."""


def _word_or_length(word: str) -> BeforeValidator:
    """Reads a length, or the word that leaves it to the style."""

    def read(value: Any, info: ValidationInfo) -> float | None:
        if value == word:
            return None
        try:
            return any_length(value, info)
        except ValueError as error:
            message = str(getattr(error, "context", {}).get("problem", error))
            allowed = f'a length above 0 mm up to {LARGEST_MM:g} mm, or "{word}"'
            raise problem(message, allowed, f'write a length or "{word}"') from None

    return BeforeValidator(read)


Rim = Annotated[float | None, _word_or_length(SNUG), length_schema()]
InnerWall = Annotated[float | None, _word_or_length(TO_THE_FLOOR), length_schema()]
Lock = Literal["glued", "foot"]


class DoubleWallFile(WalledFile):
    """The keys of a double-walled tray."""

    style: Literal["double-wall"] = Field(description='The style: "double-wall".')
    depth: Length = Field(description="The outer wall, a length score to score.")
    rim: Rim = Field(
        default=None,
        description='A length between the two scores that each wall is folded over at, or "snug", '
        "the default: one score, folded right over on what lies between the two walls.",
    )
    inner_wall: InnerWall = Field(
        default=None,
        description='A length from its score to its cut edge, or "to the floor", the default: '
        "where it is glued it ends about 1/16 in above the floor, else it stands there.",
    )
    lock: Lock = Field(
        default="glued",
        description="What holds the inner walls down: glued, or foot, where they stand on the "
        "floor between the others and are not glued.",
    )


@dataclass(frozen=True, kw_only=True)
class DoubleWallSpec(WalledSpec):
    """A tray whose walls are folded down inside themselves."""

    rim_mm: float | None
    """Score to score; None = one score, folded right over."""
    inner_wall_mm: float | None
    """None = down to the floor."""
    glued: bool
    """Whether the inner walls are glued to the outer ones; else they stand on the floor."""

    own_lengths = (OwnLength("inner_wall", "inner wall", TO_THE_FLOOR),)

    @property
    def bite_mm(self) -> float:
        """How far a wall's inside face stands inside its score line, mm."""
        return self.stock.caliper_mm - self.stock.crease_allowance_mm

    @property
    def growth_mm(self) -> float:
        """Two walls on each side, or what the rim reaches in at the top, which may be more."""
        if self.size_by is not SizeBy.INSIDE:
            return 0.0
        beyond = 0.0 if self.rim_mm is None else self.rim_mm + self.stock.crease_allowance_mm
        return 2.0 * max(beyond, self.bite_mm + self.stock.caliper_mm)

    @property
    def less_than_depth_mm(self) -> float | None:
        """Of an inner wall that was given."""
        return None if self.inner_wall_mm is None else self.depth_mm - self.inner_wall_mm

    def with_depth(self, depth_mm: float) -> Self:
        """An inner wall that was given goes with the depth."""
        inner = self.inner_wall_mm
        if inner is not None:
            inner += depth_mm - self.depth_mm
        return replace(self, depth_mm=depth_mm, inner_wall_mm=inner)

    def highest_mm(self) -> float:
        """The inner wall that just stands on the floor: both are folded alike at the top."""
        return self.depth_mm - self.bite_mm

    def least_rim_mm(self, joint_mm: float) -> float:
        """Between two scores, over the tabs: what both bends take, and what lies between."""
        between = self.stock.caliper_mm + joint_mm + (joint_mm if self.glued else 0.0)
        return 2.0 * max(0.0, self.bite_mm) + between

    def lengths_mm(self, joint_mm: float) -> dict[str, float]:
        """The inner wall, settled."""
        inner = self.inner_wall_mm
        if inner is None:
            short = min(SHORT_MM, SHORT_SHARE * self.depth_mm) if self.glued else 0.0
            inner = self.highest_mm() - short
        return {"inner_wall": inner}

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """Its lengths, and what an inner wall takes."""
        rim, inner = (
            word if mm is None else show_length(mm, unit)
            for word, mm in ((SNUG, self.rim_mm), (TO_THE_FLOOR, self.inner_wall_mm))
        )
        return (
            f"read depth {show_length(self.depth_mm, unit)}, rim {rim}, inner_wall {inner}; an "
            f"inner_wall of {show_length(self.highest_mm(), unit)} stands on the floor; change "
            "these lengths"
        )


@dataclass(frozen=True, kw_only=True)
class DoubleWallRecipe(WalledRecipe):
    """A tray whose walls are folded down inside themselves, ready to be drawn."""

    rim_mm: float | None
    """None = one score, folded right over."""
    inner_wall_mm: float
    glued: bool

    @property
    def reach_mm(self) -> float:
        """How far a folded wall without tabs behind it comes in from its score line, mm."""
        stock = self.stock
        foot = max(0.0, self.bite_mm) + stock.caliper_mm + self.joint_mm
        if self.rim_mm is None:
            return foot
        return max(foot, self.rim_mm + stock.crease_allowance_mm)

    @property
    def ample_mm(self) -> float:
        """Both walls of both sides, and the joints."""
        return super().ample_mm + 2.0 * (self.reach_mm + self.stock.caliper_mm + self.joint_mm)


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
    tab = min(LONGEST_TAB_MM, TAB_SHARE * recipe.depth_mm, NEIGHBOUR_SHARE * beside)

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
