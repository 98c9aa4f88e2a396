"""Whether fingers get at a content to take it out again, and what helps where they do not.

A gap beside it helps as far down as a finger reaches. A notch in the rim helps where it reaches
below the content's top, in a plain wall: through a hollow frame it would open the tube and reach
nothing, through a double wall it would open its folds, and behind a ring or at a lid's hinge it
helps no more. What lies deeper, or is too thin to
be gripped by its side, is lifted from below: by a ribbon, or by a tab on a card that it lies on.
What is in a carton, whose whole end opens, is tipped out. A ribbon's end comes over the rim only
where a lid has room to spare for it.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Collection
from dataclasses import dataclass

from fitcheck.pattern.sheet import Axis
from fitcheck.units import NUDGE, Unit, hand_step_mm, show_hands

ENOUGH_MM = 15.0
"""A gap this wide takes a finger's pad beside the content (own rule, from pad breadths of 10 to
14 mm; common practice, no source)."""
REACH_MM = 50.0
"""How far below the rim a finger still grips (own rule; an index finger is some 60 to 80 mm long,
ISO 7250 / DIN 33402 tables, value from memory)."""
GRIP_MM = 5.0
"""How much of a side two fingers need to hold (own rule; common practice, no source)."""
BREADTH_MM = 20.0
"""The notch lets in a finger so broad: adult fingers are 16 to 20 mm (MIT Touch Lab figures quoted
on a public page)."""
THIN_MM = 3.0
"""What is thinner has no side to hold (own rule; common practice, no source)."""
MOST_NOTCH_MM = 20.0
"""A notch of a larger radius looks like a missing wall (own rule; common practice, no source)."""
RIBBON_MM = 0.3
"""How thick a ribbon is (common practice, no source)."""
LEFT_MM = 5.0
"""Wall that a notch leaves above the floor, so that the crease stays stiff (own rule)."""


class WayOut(enum.StrEnum):
    """How a content is taken out."""

    FINGER = "finger"
    """a finger gets in beside it"""
    STANDS_OUT = "stands out"
    """it is held by what stands out above the rim"""
    NOTCH = "notch"
    RIBBON = "ribbon"
    LIFT_TAB = "lift tab"
    TIP = "tip"
    """it is tipped out of a carton"""


@dataclass(frozen=True)
class Seat:
    """How a content sits in its base."""

    gap_width_mm: float
    """Free beside it along the width, with the content pushed to the far side."""
    gap_length_mm: float
    top_below_rim_mm: float
    """Negative where it stands out."""
    height_mm: float
    """Of the thing that is gripped."""
    rim_mm: float
    """Height of the rim above the floor's inside face."""
    notched: bool
    """Whether a notch in a wall's rim comes to it: not through a rolled frame or a double wall, nor
    behind a ring, between strips, or where a lid hangs or is tucked in."""
    tipped: bool = False
    """Whether it comes out of a carton, whose whole end opens."""


@dataclass(frozen=True)
class FingerRoom:
    """The room a finger has beside a content, and the way out."""

    largest_gap_mm: float
    notch_radius_mm: float | None
    """least radius of a half-disc notch in the wall, mm; None where none is needed or none helps"""
    way_out: WayOut
    across: Axis
    """The axis along which the content stands nearest to its walls: there a notch helps."""

    def advice(self, unit: Unit, over: Collection[Axis] = tuple(Axis)) -> str:
        """What to make, in words, lengths as a hand sets them; empty where it comes out as it is.

        `over`: the ways that a ribbon may run with its end over the rim, see `over_rim`.
        """
        if self.notch_radius_mm is not None:
            step = hand_step_mm(unit)
            radius = show_hands([math.ceil(self.notch_radius_mm / step - NUDGE) * step], unit)
            return (
                f"cut a half-round notch of radius {radius} in the middle of both walls across its "
                f"{self.across}"
            )
        if self.way_out is WayOut.RIBBON:
            ways = sorted(over, key=lambda axis: axis is not self.across)
            way = ways[0] if ways else self.across
            end = "an end over the rim" if ways else "its end tucked in inside the rim"
            return f"lay a ribbon under it along the box's {way}, with {end}"
        if self.way_out is WayOut.LIFT_TAB:
            return f"lay it on a card with a lift tab at an edge across its {self.across}"
        return ""


def over_rim(plays_mm: tuple[float, float]) -> tuple[Axis, ...]:
    """The ways that a ribbon may run over the rim under a lid of so much play along each axis, mm.

    It takes its thickness on one side, and as much is left for the lid to slide.

    >>> over_rim((0.09, 0.99))
    (<Axis.LENGTH: 'length'>,)
    """
    return tuple(axis for axis, own in zip(Axis, plays_mm, strict=True) if own > 2.0 * RIBBON_MM)


def finger_room(seat: Seat) -> FingerRoom:
    """Judge how a content is taken out.

    >>> room = finger_room(Seat(2.0, 4.5, 3.0, 12.0, 15.0, notched=True))
    >>> room.advice(Unit.IN).partition(" in the ")[0]
    'cut a half-round notch of radius 13/32 in (10.3 mm)'
    >>> finger_room(Seat(2.0, 4.5, 3.0, 12.0, 15.0, notched=False)).way_out
    <WayOut.RIBBON: 'ribbon'>
    """
    largest = max(0.0, seat.gap_width_mm, seat.gap_length_mm)
    across = Axis.WIDTH if seat.gap_width_mm <= seat.gap_length_mm else Axis.LENGTH
    notch = _notch(seat)
    if seat.tipped:
        way = WayOut.TIP
    elif seat.top_below_rim_mm <= -GRIP_MM:
        way = WayOut.STANDS_OUT
    elif largest >= ENOUGH_MM and seat.top_below_rim_mm <= REACH_MM:
        way = WayOut.FINGER
    elif notch is not None:
        way = WayOut.NOTCH
    else:
        way = WayOut.LIFT_TAB if seat.height_mm < THIN_MM else WayOut.RIBBON
    return FingerRoom(largest, notch if way is WayOut.NOTCH else None, way, across)


def _notch(seat: Seat) -> float | None:
    """The radius of a notch that lets a finger grip, mm; None where none does."""
    if not seat.notched or seat.height_mm < THIN_MM:
        return None
    radius = 0.5 * math.ceil(2.0 * max(BREADTH_MM / 2.0, seat.top_below_rim_mm + GRIP_MM))
    most = min(MOST_NOTCH_MM, seat.rim_mm - LEFT_MM)
    return radius if radius <= most else None
