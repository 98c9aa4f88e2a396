"""What a recipe costs: how high the box gets, how much paper it takes, how much is set anew."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.check import Check
from fitcheck.fit.sheets import cut_pattern
from fitcheck.folding.pose import Array, Flags
from fitcheck.odds.changes import sized
from fitcheck.odds.grid import Steps
from fitcheck.odds.rewrite import SHORT
from fitcheck.odds.sizes import (
    DEPTH,
    EACH,
    LENGTH,
    LENGTHS,
    STRIP,
    WIDTH,
    Lines,
    on_grid,
    own_heights,
    own_sizes,
)
from fitcheck.pattern.plan import Plan, plan_of, scored_rules
from fitcheck.pattern.sheet import Sheet
from fitcheck.styles.part import SizeBy

SAME_MM = 1e-6
_BOTH = [WIDTH, LENGTH, DEPTH]


@dataclass(frozen=True, eq=False)
class Traits:
    """What many rows of lengths cost beside their odds."""

    changed: Array
    """(c,) how many numbers of the recipe are others than now."""
    moved_mm: Array
    """(c,) by how much all together."""
    height_mm: Array
    """(c,) how much higher than now: the base's walls, or the closed box where it was folded."""
    area_mm2: Array
    """(c,) of the sheets of all parts."""
    scores: Flags
    """(c,) whether every score lies on the grid: in a groove, or on the hand's step without any."""
    sides: Flags
    """(c,) whether every side of a sheet does, too."""
    even: Flags
    """(c,) whether every side of a sheet is a whole number of the hand's steps."""


def traits_of(design: Design, lines: Lines, start: Array, steps: Steps, rows: Array) -> Traits:
    """The traits of rows (c, s) against the design as it is, `start` (s,)."""
    numbers = _numbers(design, rows - start)
    places = lines.places(rows)
    area = sum(wide * long for wide, long in lines.sides(places).values())
    return Traits(
        changed=np.count_nonzero(np.abs(numbers) > SAME_MM, axis=1),
        moved_mm=np.abs(numbers).sum(axis=1),
        height_mm=rows[:, DEPTH] - start[DEPTH],
        area_mm2=np.asarray(area),
        scores=_all(on_grid(places[:, lines.scores], steps.score_mm)),
        sides=_all(on_grid(places[:, lines.edges], steps.score_mm)),
        even=_all(on_grid(places[:, lines.edges], steps.size_mm)),
    )


def _all(flags: Flags) -> Flags:
    found: Flags = np.all(flags, axis=1)
    return found


def _numbers(design: Design, by: Array) -> Array:
    """How far the numbers of a recipe are changed, (c, m), by changes of its lengths (c, s).

    What follows by itself does not count: a lid's size given over the base's, an inner wall that is
    left to be level, the second of two sizes that were alike and stay so.
    """
    parts = [by[:, start : start + EACH].copy() for start in range(0, by.shape[1], EACH)]
    for spec, part in zip(design.parts, parts, strict=True):
        for one in spec.own_lengths:
            if one.attribute in LENGTHS and getattr(spec, one.attribute) is None:
                part[:, LENGTHS.index(one.attribute)] -= part[:, DEPTH]
        if spec.fills_base:
            part[:, : LENGTH + 1] = own_sizes(spec, part, by[:, :EACH])
            part[:, STRIP] = 0.0
            first = spec in sized(design)
            part[:, DEPTH] = own_heights(spec, part, by[:, :EACH]) if first else 0.0
        elif spec.follows_base:
            sizes = [spec.sizes_over(*own) for own in (part - by[:, :EACH])[:, _BOTH].tolist()]
            part[:, : LENGTH + 1] = np.array(sizes).reshape(-1, 2)
            if not spec.own_depth:
                part[:, DEPTH] = 0.0
        if spec.size_by in SHORT and abs(spec.size_mm[0] - spec.size_mm[1]) < SAME_MM:
            alike = np.abs(part[:, WIDTH] - part[:, LENGTH]) < SAME_MM
            part[alike, LENGTH] = 0.0
    return np.concatenate(parts, axis=1)


@dataclass(frozen=True)
class Cost:
    """What a box of these sizes takes."""

    height_mm: float
    """Closed, or of the base where there is no lid."""
    floors_mm: tuple[tuple[str, SizeBy, float, float], ...]
    """Each part with the key of its size, and its floor's width and length, score to score."""
    plans: tuple[tuple[str, Plan], ...]
    """Each part with the plan of its sheet."""
    halves: tuple[tuple[str, Plan], ...]
    """Each ring that is cut as two strips, as no sheet holds it whole, with the plan of one."""
    scores: int
    """How many scores there are, each line that is set on the board once."""
    grooved: int
    """How many of them lie in the board's grooves."""
    sides_grooved: int
    """How many sides of the sheets are a whole number of grooves."""
    sides_even: int
    """How many of them are a whole number of the hand's steps."""

    @property
    def sheets(self) -> tuple[tuple[str, Sheet], ...]:
        """Each part with its sheet."""
        return tuple((name, plan.sheet) for name, plan in self.plans)

    @property
    def throughout(self) -> tuple[bool, bool, bool]:
        """Whether all scores, and all sides, are on the grid; whether all sides are even."""
        sides = 2 * len(self.sheets)
        return (
            self.grooved == self.scores,
            self.sides_grooved == sides,
            self.sides_even == sides,
        )

    @property
    def area_mm2(self) -> float:
        """Of all sheets together."""
        return sum(sheet.width_mm * sheet.length_mm for _, sheet in self.sheets)


def height_of(found: Check) -> float:
    """The height of the closed box, or of a base without a lid, mm."""
    base = found.assembly.base.sizes
    if found.cover not in (None, "lid"):
        return max(part.sizes.height_mm for part in found.assembly.parts)
    return found.lid.closed_height_mm if found.lid else base.height_mm + base.corner_rise_mm


def cost_of(found: Check, steps: Steps) -> Cost:
    """The cost of a box that is folded."""
    assembly, design, tools = found.assembly, found.design, found.design.tools
    plans = tuple((part.recipe.part, plan_of(part.pattern)) for part in assembly.parts)
    halves = (
        (part.recipe.part, cut)
        for part in assembly.parts
        if (cut := cut_pattern(part, design)) is not part.pattern
    )
    scores = np.array([r.at_mm for p in assembly.parts for r in scored_rules(p.pattern)])
    sides = np.array([side for _, own in plans for side in own.sheet.sides_mm])
    return Cost(
        height_mm=height_of(found),
        floors_mm=tuple(
            (spec.name, spec.size_by, part.recipe.width_mm, part.recipe.length_mm)
            for spec, part in zip(design.parts, assembly.parts, strict=True)
        ),
        plans=plans,
        halves=tuple((name, plan_of(half)) for name, half in halves),
        scores=len(scores),
        grooved=int(on_grid(scores, tools.grid_mm).sum()),
        sides_grooved=int(on_grid(sides, tools.grid_mm).sum()),
        sides_even=int(on_grid(sides, steps.size_mm).sum()),
    )
