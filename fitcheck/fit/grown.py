"""Rooms grown along their sides: how much more a set of contents would need to be arranged.

Growing a room never takes an arrangement away, so the least growth is found by halving; it is
found by the quick ways, so it is enough, and a cleverer arrangement may need less.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from fitcheck.fit.cavity import Cavity
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.packing.arrange import arrange_quickly, capped
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.placing import Demand
from fitcheck.packing.room import Room

MOST_MM = 300.0
FINE_MM = 0.05
"""To what the least growth is found, mm."""

FEW = 12
"""Bodies up to which the slowest of the quick ways is asked, many times over."""

Growth = tuple[float, float, float]
"""What is added to width, length and height, mm."""

WAYS: dict[str, Growth] = {
    "width": (1.0, 0.0, 0.0),
    "length": (0.0, 1.0, 0.0),
    "height": (0.0, 0.0, 1.0),
}


def goes_in_grown(cavity: Cavity, demands: Sequence[Demand], growth: Growth) -> bool:
    """Whether the quick ways arrange the contents when a cavity is so much larger."""
    rooms = [_grown(room, growth) for room in dict.fromkeys((cavity.room, cavity.between))]
    upright = [replace(demand, may_lean=False) for demand in demands]
    if why_impossible(capped(rooms[-1], upright), upright) is not None:
        return False
    return arrange_quickly(rooms, upright, most_by_corners=FEW) is not None


def _grown(room: Room, growth: Growth) -> Room:
    return replace(
        room,
        width_mm=room.width_mm + growth[0],
        length_mm=room.length_mm + growth[1],
        height_mm=room.height_mm + growth[2],
        rim_mm=room.rim_mm + growth[2],
    )


def least_count(enough: Callable[[int], bool], most: int) -> int | None:
    """The least count from 1 on that is enough, where more always is; None beyond `most`.

    >>> least_count(lambda n: n >= 37, 100)
    37
    """
    high = 1
    while not enough(high):
        if high >= most:
            return None
        high = min(2 * high, most)
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def least_growth(cavity: Cavity, demands: Sequence[Demand]) -> tuple[float, str] | None:
    """The least that is missing along one direction alone, mm, and which; None when no one does.

    In an open base the height that is missing is that of its walls. Found to 1 %, from above.
    """

    def enough(way: Growth, by_mm: float) -> bool:
        width, length, height = (share * by_mm for share in way)
        return goes_in_grown(cavity, demands, (width, length, height))

    least, along = MOST_MM, None
    for name, way in WAYS.items():
        if enough(way, least):
            least, along = _drawn_in(partial(enough, way), least), name
    return None if along is None else (least, along)


def too_tall_mm(cavity: Cavity, demand: Demand) -> float | None:
    """By how much the pieces of one line are too tall, as they go in lowest by themselves, mm.

    None where they are not, or where no height alone lets them in.
    """

    def enough(by_mm: float) -> bool:
        return goes_in_grown(cavity, [demand], (0.0, 0.0, by_mm))

    if enough(0.0) or not enough(MOST_MM):
        return None
    lays = sorted(pose.height_mm - cavity.ceiling_mm for pose in demand.poses)
    alone = (short + TOUCH_MM for short in lays if short > 0.0)
    found = next((short for short in alone if enough(short)), None)
    return _drawn_in(enough, MOST_MM) if found is None else found


def _drawn_in(enough: Callable[[float], bool], high: float) -> float:
    """A length that is enough and no more than 1 % or FINE_MM over the least one that is."""
    low = high
    while low > FINE_MM and enough(0.5 * low):
        low *= 0.5
    high, low = low, 0.5 * low
    while high - low > max(FINE_MM, 0.01 * high):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high
