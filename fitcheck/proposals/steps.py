"""Lengths that can be set: in a board's grooves, or by a hand, and as a design file says them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.stock.tools import Tools
from fitcheck.units import MM_PER, NUDGE, Unit, hand_step_mm, show_inches, show_number

FREE_STEPS = 4
"""On a board without grooves, sizes are whole steps of so many of the hand's."""
SAME_MM = 1e-3
"""A length within so much of a step is that step."""


@dataclass(frozen=True)
class Steps:
    """What a board and a hand can set."""

    unit: Unit
    grid_mm: float
    """From groove to groove."""
    hand_mm: float

    @classmethod
    def of(cls, unit: Unit, tools: Tools) -> Steps:
        """Those of a design in that unit on that board."""
        free = cls.of_unit(unit)
        return cls(unit, tools.grid_mm or free.grid_mm, free.hand_mm)

    @classmethod
    def of_unit(cls, unit: Unit) -> Steps:
        """Those of a board without grooves."""
        hand = hand_step_mm(unit)
        return cls(unit, FREE_STEPS * hand, hand)

    def up(self, mm: float) -> float:
        """The next groove that is not less."""
        return math.ceil(mm / self.grid_mm - NUDGE) * self.grid_mm

    def down(self, mm: float) -> float:
        """The last groove that is not more, one at the least."""
        return max(1, math.floor(mm / self.grid_mm + NUDGE)) * self.grid_mm

    def near(self, mm: float) -> float:
        """The nearest groove, one at the least."""
        return max(1, round(mm / self.grid_mm)) * self.grid_mm

    def by_hand(self, mm: float) -> float:
        """The next length that a hand sets and that is not less."""
        return math.ceil(mm / self.hand_mm - NUDGE) * self.hand_mm

    def hand_down(self, mm: float) -> float:
        """The last length that a hand sets and that is not more."""
        return math.floor(mm / self.hand_mm + NUDGE) * self.hand_mm

    def whole(self, mm: float) -> float:
        """The nearest length that a hand sets."""
        return round(mm / self.hand_mm) * self.hand_mm

    def paired(self, mm: float, other: float) -> float:
        """The nearest length that a hand sets and whose sum with another one can be halved."""
        step = self.hand_mm
        odd = round(other / step) % 2
        return (2.0 * round((mm / step - odd) / 2.0) + odd) * step

    def is_odd(self, mm: float) -> bool:
        """Whether a length that a hand sets cannot be halved so that it sets the halves too."""
        return round(mm / self.hand_mm) % 2 == 1

    def text(self, mm: float) -> str:
        """A length as a file says it, in the unit of the design and to 0.02 mm at the least.

        >>> inch = Steps(Unit.IN, 3.175, 0.79375)
        >>> inch.text(53.975), inch.text(1.25), Steps(Unit.MM, 5.0, 0.5).text(5.1463)
        ('2 1/8', '0.049', '5.146')
        """
        if self.unit is not Unit.IN:
            return show_number(mm / MM_PER[self.unit], 3).rstrip("0").rstrip(".")
        if abs(mm - round(mm / self.hand_mm) * self.hand_mm) < SAME_MM:
            return show_inches(mm).removesuffix(" in")
        return show_number(mm / MM_PER[Unit.IN], 3)
