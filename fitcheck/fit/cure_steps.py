"""Steps towards a cure: larger sizes on the board's grid, how many it takes, and the recheck."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.findings import Severity
from fitcheck.fit.check import Check, check
from fitcheck.fit.contents import ContentVerdict, demand_of
from fitcheck.fit.grown import MOST_MM, Growth, goes_in_grown, least_count
from fitcheck.fit.sheets import TOO_LARGE
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import MM_PER, Unit, hand_step_mm

INCH_GROOVE_MM = MM_PER[Unit.IN] / 8
METRIC_GROOVE_MM = 5.0
ON_STEP_MM = 0.05
"""A size this near to a step is on it."""
MOST_TRIES = 3
"""Steps tried from the first one that should do; the plain rooms it was found in are nearly
exact."""
SURE = 2.0
"""Room is left for so many times the standard uncertainty of what bounds it: as such errors go, it
comes out too small once in 44 times (the normal law)."""


def on_floor(found: Check, floor: tuple[float, float], depth_mm: float) -> Design:
    """The design on another floor; a lid with a size of its own grows as much."""
    design, recipe = found.design, found.assembly.base.recipe
    base = replace(design.base.with_depth(depth_mm), size_by=SizeBy.FLOOR, size_mm=floor)
    lid = design.lid
    if lid is not None and own_size(lid):
        more = floor[0] - recipe.width_mm, floor[1] - recipe.length_mm
        lid = replace(lid, size_mm=(lid.size_mm[0] + more[0], lid.size_mm[1] + more[1]))
    return design.with_parts(base, lid)


def own_size(lid: PartSpec) -> bool:
    """Whether a lid was given its own size."""
    return lid.size_by in (SizeBy.FLOOR, SizeBy.INSIDE)


@dataclass(frozen=True)
class Steps:
    """Larger sizes on the board's grid, or as a rule shows them."""

    now_mm: float
    design: Design
    by_rule: bool = False
    """Whether in steps that a hand sets by a rule."""

    @property
    def step_mm(self) -> float:
        """The coarsest of groove, half and quarter on which the size lies now; else a groove."""
        design = self.design
        if self.by_rule:
            return hand_step_mm(design.unit)
        usual = INCH_GROOVE_MM if design.unit is Unit.IN else METRIC_GROOVE_MM
        groove = design.tools.grid_mm or usual
        for step in (groove, groove / 2.0, groove / 4.0):
            if abs(self.now_mm - round(self.now_mm / step) * step) <= ON_STEP_MM:
                return step
        return groove

    def size(self, n: int) -> float:
        """The n-th size on the grid above the size now."""
        return (math.floor((self.now_mm + ON_STEP_MM) / self.step_mm) + n) * self.step_mm

    def grooved(self, mm: float) -> bool:
        """Whether a size lies in a groove of the board."""
        groove = self.design.tools.grid_mm
        return groove is not None and abs(math.remainder(mm, groove)) <= ON_STEP_MM


def first_step(found: Check, growth: Callable[[int], Growth]) -> int | None:
    """The least number of steps at which plain rooms grown by so much take the contents."""
    demands = [demand_of(content) for content in found.design.contents]
    most = max(1, math.ceil(MOST_MM / max(growth(2)[i] - growth(1)[i] for i in range(3))))

    def enough(n: int) -> bool:
        # a base that grows under a lid that stands on the table meets it first
        width, length, height = growth(n)
        room = width, length, max(0.0, height - found.lifted_mm)
        return goes_in_grown(found.cavity, demands, room)

    return least_count(enough, most)


def tries_from(first: int | None) -> range:
    """The numbers of steps to try."""
    return range(0) if first is None else range(first, first + MOST_TRIES)


def cured_by(found: Check, *larger: Design) -> Check | None:
    """The check of the first of some designs whose contents go in with no other fault new.

    One that leaves room for errors comes before one that does not. Each is larger than the one
    before it, so that none is looked at beyond one that no sheet holds.
    """
    barely = None
    for changed in larger:
        try:
            again = check(changed, ways=False)  # no fault hangs on a way in
        except InputError:
            continue
        new = faults_of(again) - faults_of(found)
        fits = all(fit.verdict is ContentVerdict.FITS for fit in again.contents)
        if fits and not new:
            if spared_mm(found, again) is not None:
                return again
            barely = barely or again
        if TOO_LARGE in new:
            break
    return barely


def spared_mm(was: Check, now: Check) -> float | None:
    """The least room that errors need along the ways in which a base was made larger, mm.

    None where its contents have less there.
    """
    base, old = now.assembly.base.recipe, was.assembly.base.recipe
    sides, before = (base.width_mm, base.length_mm), (old.width_mm, old.length_mm)
    slacks = [fit.slack for fit in now.contents if fit.slack is not None]
    needed = []
    for side, less, key in zip(sides, before, ("width_mm", "length_mm"), strict=True):
        if side - less > ON_STEP_MM:
            needed.append((_sure_mm(now, side, floor=True), key))
    if now.cavity.lidded and base.depth_mm - old.depth_mm > ON_STEP_MM:
        needed.append((_sure_mm(now, base.depth_mm, floor=False), "height_mm"))
    if any(getattr(slack, key) < mm for mm, key in needed for slack in slacks):
        return None
    return min((mm for mm, _ in needed), default=0.0)


def least_spared(found: Check, *cured: Check | None) -> float | None:
    """The least room for errors that some cures leave; None where one leaves less, or none is."""
    spared = [spared_mm(found, one) for one in cured if one is not None]
    known = [mm for mm in spared if mm]
    return min(known) if known and len(known) == len(spared) else None


def sure_height_mm(found: Check) -> float:
    """The height that is surely enough for errors, wherever a wall's score comes to lie, mm."""
    return _sure_mm(found, math.nan, floor=False)


def _sure_mm(found: Check, size_mm: float, *, floor: bool) -> float:
    """The room that is surely enough for what hands and contents are off, mm.

    A floor lies between two scores, a wall between a cut and a score from its fence.
    """
    tools = found.assembly.tools
    grooved = Steps(size_mm, found.design).grooved(size_mm)
    score = tools.score_u_on_grid_mm if grooved else tools.score_u_off_grid_mm
    other = (score,) if floor else (tools.cut_u_mm, tools.fence_u_mm)
    own = max((max(one.item.size_u_mm) for one in found.design.contents), default=0.0)
    return SURE * math.hypot(score, *other, own)


def faults_of(found: Check) -> set[str]:
    """What stands against a box, a sheet that no workshop has included."""
    return {
        one.code
        for one in found.findings
        if one.severity is Severity.FAULT or one.code == TOO_LARGE
    }
