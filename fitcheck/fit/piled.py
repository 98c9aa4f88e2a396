"""What lies on what, where things are piled in a box."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitcheck.fit.contents import ContentFit
from fitcheck.packing.placing import Placement

TOUCH_MM = 1e-3


def lies_on(fits: Sequence[ContentFit]) -> dict[str, tuple[str, ...]]:
    """The items that some piece of an item lies on, by item; none that lie on their own kind."""
    every = [placement for fit in fits for placement in fit.placements]
    found: dict[str, dict[str, None]] = {}
    for above in every:
        for below in every:
            if below.item != above.item and carries(below, above):
                found.setdefault(above.item, {})[below.item] = None
    return {item: tuple(below) for item, below in found.items()}


def carries(below: Placement, above: Placement) -> bool:
    """Whether a body's top is where the other's underside is, and they meet in plan."""
    if below.top_mm < TOUCH_MM or abs(below.top_mm - above.z_mm) > TOUCH_MM:
        return False
    sizes = zip(_plan(below), _plan(above), strict=True)
    apart = (abs(below.x_mm - above.x_mm), abs(below.y_mm - above.y_mm))
    return all(off < 0.5 * sum(both) - TOUCH_MM for off, both in zip(apart, sizes, strict=True))


def _plan(one: Placement) -> tuple[float, float]:
    """How much a body takes along the width and the length, turned as it is."""
    c, s = (abs(own(math.radians(one.turn_deg))) for own in (math.cos, math.sin))
    wide, long = one.pose.width_mm, one.pose.length_mm
    return wide * c + long * s, wide * s + long * c
