"""Scores as a hand counts them from an edge: those no more than a hair apart count as one.

Of such scores, as those of tabs that are set back, one that a rule shows is the score, or else the
longest; the others are told as a hair beside it, as is what a layer of paper moves by itself.
"""

from __future__ import annotations

from fitcheck.pattern.plan import Plan
from fitcheck.pattern.sheet import Fence, Rule
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
