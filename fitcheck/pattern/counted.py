"""Scores as a hand counts them from an edge: those no more than a hair apart count as one.

Of such scores, as those of tabs that are set back, one that a rule shows is the score, or else the
longest; the others are told as a hair beside it, as is what a layer of paper moves by itself.
"""

from __future__ import annotations

import itertools
import math

from fitcheck.pattern.plan import Plan
from fitcheck.pattern.sheet import Fence, Rule
from fitcheck.stock.tools import Tools
from fitcheck.units import Unit, hand_step_mm, is_set_by_hand, rounding_mm

EXACT_MM = 0.005
"""Two places that are no further apart are one."""
HAIR_MM = 1.0
"""What is no further than this from a score is told as a hair beside it."""
HAIR_DIGITS = 1
"""Decimals of a millimetre that a hair is told with."""
NARROW_MM = 3.0
"""A slot that is no wider is told to a tenth of a millimetre: the paper that it takes is finer than
what a rule shows."""


def counted_from(plan: Plan, fence: Fence) -> tuple[float, ...]:
    """The distances that are counted from an edge, mm, nearest first."""
    long: dict[float, float] = {}
    for line in plan.scores:
        if line.fence is fence:
            long[line.at_mm] = long.get(line.at_mm, 0.0) + line.stop_mm - line.start_mm
    found: list[list[float]] = []
    for at in sorted(long):
        if found and at - found[-1][0] <= HAIR_MM:
            found[-1].append(at)
        else:
            found.append([at])
    return tuple(max(near, key=lambda at: (_shown(at), long[at])) for near in found)


def _shown(at_mm: float) -> bool:
    """Whether a rule in either unit shows a length."""
    return any(is_set_by_hand(at_mm, unit) for unit in (Unit.MM, Unit.IN))


def beside_mm(counted: tuple[float, ...], at_mm: float) -> float:
    """How far a score lies beyond the one that it counts as, mm; nought for that one itself."""
    beside = at_mm - min(counted, key=lambda at: abs(at - at_mm))
    return beside if abs(beside) > EXACT_MM else 0.0


def told_beside_mm(plan: Plan, rule: Rule) -> float:
    """How far beyond another one, or a place without a layer of paper, the steps tell a score, mm;
    nought for one that is told by itself."""
    return rule.hair_mm or beside_mm(counted_from(plan, rule.fence), rule.at_mm)


def told_hair_mm(plan: Plan, fence: Fence, at_mm: float) -> float:
    """The same of a score that is given by its place, mm from an edge of the sheet."""
    rules = (line.rule for line in plan.scores if (line.fence, line.at_mm) == (fence, at_mm))
    return next((told_beside_mm(plan, rule) for rule in rules), 0.0)


def sheet_by_hand_mm(plan: Plan, unit: Unit, tools: Tools | None) -> tuple[float, float]:
    """The sheet's width and length as a hand cuts them, mm; without tools no score has a groove.

    Scores are told from the edge that they are near to. What lies between those from opposite edges
    is what is left of the sheet, and that comes to the nearest step: of a sheet that is rounded by
    itself the floor is off by three roundings.
    """
    sheet = plan.sheet
    width = _side_by_hand_mm(plan, sheet.width_mm, (Fence.LEFT, Fence.RIGHT), unit, tools)
    length = _side_by_hand_mm(plan, sheet.length_mm, (Fence.BOTTOM, Fence.TOP), unit, tools)
    return width, length


def sheet_needs_mm(plan: Plan, unit: Unit, tools: Tools | None) -> tuple[float, float]:
    """What a bought sheet has to hold: each side as it is drawn, or as a hand sets it where that is
    smaller.

    A part as large as the bought sheet needs no cut, whatever a hand would round it to.
    """
    width, length = map(min, plan.sheet.sides_mm, sheet_by_hand_mm(plan, unit, tools))
    return width, length


def _side_by_hand_mm(
    plan: Plan, side_mm: float, fences: tuple[Fence, Fence], unit: Unit, tools: Tools | None
) -> float:
    edges = [Rule(fence, 0.0) for fence in fences]
    counted = {(fence, at) for fence in fences for at in counted_from(plan, fence)}
    rules = {line.rule for line in plan.scores if (line.fence, line.at_mm) in counted}
    lines = sorted([*edges, *rules], key=lambda rule: plan.sheet.position(rule, {}))
    widest = max(
        (
            pair
            for pair in itertools.pairwise(lines)
            if (pair[0].fence.far, pair[1].fence.far) == (False, True)
        ),
        key=lambda pair: side_mm - pair[0].at_mm - pair[1].at_mm,
    )
    scored = [rule for rule in widest if rule.at_mm]
    told = side_mm + sum(told_off_mm(plan, rule, unit, tools) for rule in scored)
    return told + rounding_mm(told, unit, plan.sheet.to)


def told_off_mm(plan: Plan, rule: Rule, unit: Unit, tools: Tools | None) -> float:
    """How far the printed distance of a score is from the exact one, mm.

    A score a hair beside another is told by that one and the hair. One in a groove is told as the
    board has it, in whatever unit the design is.
    """
    hair = told_beside_mm(plan, rule)
    at_mm = rule.at_mm - hair
    told_in = unit if tools is None else tools.told_in(at_mm, unit)
    return rounding_mm(at_mm, told_in) + round(hair, HAIR_DIGITS) - hair


def hole_by_hand_mm(drawn_mm: float, unit: Unit) -> float:
    """How wide a hand cuts a hole that something goes into, mm: no narrower than it is drawn."""
    return drawn_mm + rounding_mm(drawn_mm, unit, math.ceil)


def is_narrow(slot_mm: float, unit: Unit) -> bool:
    """Whether a slot's width is told as it is drawn and not by a rule."""
    return slot_mm <= NARROW_MM and not is_set_by_hand(slot_mm, unit)


def slot_digits(slot_mm: float, unit: Unit) -> int:
    """The decimals of a millimetre that a narrow slot is told with."""
    return HAIR_DIGITS if slot_mm > hand_step_mm(unit) else HAIR_DIGITS + 1


def told_slot_mm(slot_mm: float, unit: Unit) -> float:
    """The width of a slot as steps tell it, mm."""
    if is_narrow(slot_mm, unit):
        return round(slot_mm, slot_digits(slot_mm, unit))
    return slot_mm + rounding_mm(slot_mm, unit)
