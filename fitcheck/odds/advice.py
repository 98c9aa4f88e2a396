"""The one change that helps most: sizes on the hand's own steps, scores in grooves, surer hands.

All are tried on the same drawn boxes by the limits' gradients, so hundreds of changes cost no
folding. The best is folded anew before it is given, and the next taken where it does not hold.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from fitcheck.design.model import Design
from fitcheck.design.rules import design_problems
from fitcheck.fit.check import Check
from fitcheck.fit.cures import cured_depths, cured_lid_depth
from fitcheck.fit.right import Flags
from fitcheck.odds.change_words import change_words
from fitcheck.odds.grid import NEAR_STEPS, SAME_MM
from fitcheck.odds.hands import Hands
from fitcheck.odds.inputs import with_u
from fitcheck.odds.intervals import chance_of, surely_more
from fitcheck.odds.outlook import judged_contents
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.relined import Relined
from fitcheck.odds.remarks import goes_over, slides_over
from fitcheck.odds.resized import folded_anew
from fitcheck.odds.result import Advice
from fitcheck.odds.shares import Cure, cures_for
from fitcheck.odds.start import widened
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import hand_step_mm
from fitcheck.workspace.progress import SILENT, Progress

ROUGH_BOXES = 4_000
"""Changes are ranked on so many boxes, and the first few tried on all."""
WELL = 0.98
"""A box that comes out right this often is left as it is."""
LEAST_GAIN = 0.02
"""What helps fewer boxes than this is not worth a sentence."""
ALIKE = 0.01
"""Changes whose odds are nearer than this help alike: the simpler comes first."""
MOST_FOLDED = 5
"""So many changes are folded anew at the most."""
FEW_CALIPERS = 6
"""No wall is made lower than this many calipers."""


@dataclass(frozen=True)
class Idea:
    """A change to try."""

    effort: tuple[int, float, bool]
    """The kind's place, the simplest first; how far it goes, mm, and whether the two sizes of what
    was alike both ways become different ones."""
    design: Design | None = None
    """The design of other sizes."""
    cure: Cure | None = None
    """Or what hands do better."""


def advise(prospect: Prospect, hands: Hands, progress: Progress = SILENT) -> Advice | None:
    """The change that helps most, tried on the boxes of `hands`.

    None where nothing helps, or contents have no place to follow.
    """
    design = prospect.check.design
    if prospect.check.contents and not judged_contents(prospect.check):
        return None
    if any(part.fills_base for part in prospect.check.design.parts):
        # strips follow the base, so that its sizes move lines that no gradient was taken for
        return None
    before = hands.right(prospect)
    if before.mean() >= WELL:
        return None
    start = _start(prospect, progress)
    if start is None:
        return None
    looking = _Looking(design, start, before, hands, progress)
    beside, others = list(_beside(start.check.design, design)), list(_others(start.check))
    if start is prospect:
        cures = [Idea((5, 0.0, False), cure=cure) for cure in cures_for(start.workshop.inputs)]
        return looking.best([*beside, *others, *cures])
    # with a lid that has to be wider in any case, what else is changed comes after that alone
    return looking.best(beside) or looking.best(others)


@dataclass(frozen=True, eq=False)
class _Looking:
    """What changes are tried with."""

    design: Design
    """As it is."""
    start: Prospect
    """What they are changes of, which may have a wider lid."""
    before: Flags
    """(n,) which boxes of the design are right."""
    hands: Hands
    progress: Progress

    def best(self, ideas: Sequence[Idea]) -> Advice | None:
        """The most helpful one that holds; None where none helps."""
        found: Advice | None = None
        wanted = float(self.before.mean()) + LEAST_GAIN
        for rough, idea in self._ranked(ideas)[:MOST_FOLDED]:
            if rough < (wanted if found else wanted - ALIKE):
                break
            after = self._held(idea)
            if after is not None and after.mean() >= wanted and surely_more(self.before, after):
                chances = chance_of(self.before), chance_of(after)
                found = Advice(_words(self.design, idea), *chances, idea.design)
                wanted = float(after.mean()) + ALIKE
        return found

    def _ranked(self, ideas: Sequence[Idea]) -> list[tuple[float, Idea]]:
        """Ideas with their rough share of right boxes, the most helpful first."""
        there: list[tuple[Idea, Prospect]] = []
        relined = Relined.of(self.start)
        for index, idea in enumerate(ideas):
            self.progress.step(index, len(ideas), "looking for what helps")
            changed = _changed(relined, idea)
            if changed is not None:
                there.append((idea, changed))
        # beside the design itself, so that only what is changed of it is worked out
        designs = [self.start, *(changed for _, changed in there)]
        rates = self.hands.first(ROUGH_BOXES).rates(designs)[1:]
        found = [(rate, idea) for rate, (idea, _) in zip(rates, there, strict=True)]
        return sorted(found, key=lambda one: (-round(one[0] / ALIKE), one[1].effort))

    def _held(self, idea: Idea) -> Flags | None:
        """Which boxes are right with a change that was folded anew; None where it is not right."""
        if idea.design is None:
            return self.hands.right(_cured(self.start, idea))
        if any(design_problems(idea.design)):
            return None
        again = folded_anew(self.start, idea.design)
        return self.hands.right(again) if again is not None and again.check.fits else None


def _start(prospect: Prospect, progress: Progress) -> Prospect | None:
    """What changes are looked for from: a lid that does not slide over its base is wider there."""
    if slides_over(prospect.check):
        return prospect
    wide = widened(prospect.check.design)
    if wide is not None:
        return take_prospect(wide, prospect.humidity, progress)
    return prospect if goes_over(prospect.check) else None


def _words(design: Design, idea: Idea) -> str:
    if idea.design is not None:
        return change_words(design, idea.design)
    assert idea.cure is not None, "an idea is a design or a cure"
    return idea.cure.what


def _changed(relined: Relined, idea: Idea) -> Prospect | None:
    if idea.design is not None:
        return relined.tried(idea.design)
    return _cured(relined.prospect, idea)


def _cured(prospect: Prospect, idea: Idea) -> Prospect:
    assert idea.cure is not None, "an idea is a design or a cure"
    inputs = with_u(prospect.workshop.inputs, idea.cure.changed)
    return replace(prospect, workshop=replace(prospect.workshop, inputs=inputs))


def _beside(design: Design, before: Design) -> Iterator[Idea]:
    """Other sizes of what goes with the base; the simplest are nearest to what it had before."""
    step = hand_step_mm(design.unit)
    for one, was in zip(design.parts[1:], before.parts[1:], strict=True):
        for by, uneven, size in _sizes(one, was.size_mm, step, -NEAR_STEPS):
            yield Idea((0, by, uneven), design.with_parts(design.base, replace(one, size_mm=size)))


def _others(found: Check) -> Iterator[Idea]:
    """Other lengths of what was checked, and other sizes of its base."""
    design = found.design
    base, lid, grid = design.base, design.other, design.tools.grid_mm
    step = hand_step_mm(design.unit)
    for depth in {math.ceil(mm / step - SAME_MM) * step for mm in cured_depths(found)}:
        deeper = base.with_depth(depth)
        yield Idea((2, depth - base.depth_mm, False), design.with_parts(deeper, lid))
    low = cured_lid_depth(found)
    if low is not None and design.lid is not None:
        depth = math.floor(low / step + SAME_MM) * step
        by = design.lid.depth_mm - depth
        yield Idea((1, by, False), design.with_parts(base, replace(design.lid, depth_mm=depth)))
    for one in design.parts[1:]:
        for by, depth in _depths(one, step, grid) if one.own_depth else ():
            yield Idea((1, by, False), design.with_parts(base, replace(one, depth_mm=depth)))
    for by, depth in _depths(base, step, grid):
        yield Idea((2, by, False), design.with_parts(replace(base, depth_mm=depth), lid))
    for by, grooved in _grooved(design):
        yield Idea((3, by, False), design.with_parts(grooved, lid))
    if design.contents:
        for by, uneven, size in _sizes(base, base.size_mm, step, 1):
            yield Idea((4, by, uneven), _larger(design, size))


def _sizes(
    spec: PartSpec, was_mm: tuple[float, float], step_mm: float, first: int
) -> Iterator[tuple[float, bool, tuple[float, float]]]:
    """Both sizes on whole steps and as many more of them, or one only.

    With each how far it is from what the sizes were, and whether only those were alike.
    """
    alike = abs(was_mm[0] - was_mm[1]) < SAME_MM
    even = [step_mm * round(size / step_mm) for size in spec.size_mm]
    for count in range(first, NEAR_STEPS + 1):
        width, length = (size + count * step_mm for size in even)
        ways = [(width, length)]
        if not spec.one_size:
            ways += [(width, spec.size_mm[1]), (spec.size_mm[0], length)]
        for way in ways:
            by = max(abs(a - b) for a, b in zip(way, was_mm, strict=True))
            if by > SAME_MM:
                yield by, alike and abs(way[0] - way[1]) > SAME_MM, way


def _depths(spec: PartSpec, step_mm: float, grid_mm: float | None) -> Iterator[tuple[float, float]]:
    """Depths on whole steps and in the grooves beside, with how far they are."""
    even = round(spec.depth_mm / step_mm)
    depths = {(even + count) * step_mm for count in range(-NEAR_STEPS, NEAR_STEPS + 1)}
    if grid_mm is not None:
        groove = math.floor(spec.depth_mm / grid_mm + SAME_MM)
        depths |= {(groove + count) * grid_mm for count in (-1, 0, 1, 2)}
    for depth in sorted(depths):
        by = abs(depth - spec.depth_mm)
        if by > SAME_MM and depth > FEW_CALIPERS * spec.stock.caliper_mm:
            yield by, depth


def _grooved(design: Design) -> Iterator[tuple[float, PartSpec]]:
    """A rolled base with all its lengths whole grooves of the board, so that every score is in one.

    An inner wall that is left to be level counts as what it comes to.
    """
    base, grid = design.base, design.tools.grid_mm
    if not base.own_lengths or grid is None:
        return
    settled = base.lengths_mm(design.joint_mm)
    lengths = {one.attribute: settled[one.key] for one in base.own_lengths}
    lengths = {"depth_mm": base.depth_mm, **lengths}
    ways = [
        sorted({grid * f(mm / grid + n) for f, n in ((math.floor, SAME_MM), (math.ceil, -SAME_MM))})
        for mm in lengths.values()
    ]
    for chosen in itertools.product(*ways):
        by = float(np.abs(np.array(chosen) - list(lengths.values())).sum())
        if by > SAME_MM and min(chosen) > 0.0:
            grooved: dict[str, Any] = dict(zip(lengths, chosen, strict=True))
            yield by, replace(base, **grooved)


def _larger(design: Design, size_mm: tuple[float, float]) -> Design:
    """The base on another size, a lid of its own size with it."""
    base, lid = design.base, design.other
    if lid is not None and lid.size_by in (SizeBy.FLOOR, SizeBy.INSIDE, SizeBy.OPENING):
        grown = (new - old for new, old in zip(size_mm, base.size_mm, strict=True))
        width, length = (size + by for size, by in zip(lid.size_mm, grown, strict=True))
        lid = replace(lid, size_mm=(width, length))
    return design.with_parts(replace(base, size_mm=size_mm), lid)
