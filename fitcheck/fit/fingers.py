"""Whether a finger gets at a content to take it out again, and the notch to cut if not."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass

ENOUGH_MM = 15.0
"""A gap this wide takes a finger's pad beside the content (own rule, from pad breadths of 10 to
14 mm; common practice, no source)."""


class Digit(enum.Enum):
    """What reaches in; the value is its breadth in mm.

    Adult fingers are 16 to 20 mm broad (MIT Touch Lab figures quoted on a public page); a
    thumb of the 95th percentile is about 25 mm (ISO 7250 / DIN 33402 tables, value from memory).
    """

    FINGER = 20.0
    THUMB = 25.0


@dataclass(frozen=True)
class FingerRoom:
    """The room a finger has beside a content."""

    largest_gap_mm: float
    enough: bool
    notch_radius_mm: float | None
    """least radius of a half-disc notch in the wall, mm; None where no notch is needed"""


def finger_room(gaps_mm: Sequence[float], digit: Digit = Digit.FINGER) -> FingerRoom:
    """Judge the gaps beside a content, mm, each with the content pushed to the far side.

    >>> finger_room([2.0, 4.5])
    FingerRoom(largest_gap_mm=4.5, enough=False, notch_radius_mm=10.0)
    """
    largest = max((0.0, *gaps_mm))
    enough = largest >= ENOUGH_MM
    return FingerRoom(largest, enough, None if enough else digit.value / 2.0)
