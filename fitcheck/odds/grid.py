"""The sizes that a maker's tools make easy: grooves for scores, and even steps for cuts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.stock.tools import Tools
from fitcheck.units import FRACTION, HAND_MM, MM_PER, Unit

NEAR_STEPS = 8
"""Sizes are tried up to this many steps to each side."""
INCH_GROOVE_MM = MM_PER[Unit.IN] / 8
METRIC_GROOVE_MM = 5.0
SAME_MM = 1e-6


@dataclass(frozen=True)
class Steps:
    """What sizes are tried in."""

    size_mm: float
    """For floors and oversizes, which a trimmer sets."""
    groove_mm: float
    """For depths, which the board's grooves set."""
    words: str


def steps_for(tools: Tools, unit: Unit) -> Steps:
    """The steps of a board: in inches a quarter of its grooves, in millimetres a tenth.

    A board without grooves is given the usual ones of its unit.
    """
    inches = unit is Unit.IN if tools.grid_mm is None else _is_inch(tools.grid_mm)
    groove = tools.grid_mm or (INCH_GROOVE_MM if inches else METRIC_GROOVE_MM)
    share, word = (4, "a quarter") if inches else (10, "a tenth")
    return Steps(groove / share, groove, f"{word} of the board's grooves")


def _is_inch(grid_mm: float) -> bool:
    """True for a grid that divides an inch into whole parts."""
    parts = MM_PER[Unit.IN] / grid_mm
    return abs(parts - round(parts)) < SAME_MM * parts


def around(size_mm: float, step_mm: float) -> list[float]:
    """Changes that bring a size onto whole steps, the smallest first; no change is one of them."""
    first = math.ceil(size_mm / step_mm - SAME_MM) - NEAR_STEPS
    changes = {0.0}
    for count in range(first, first + 2 * NEAR_STEPS + 1):
        change = count * step_mm - size_mm
        if abs(change) > SAME_MM:
            changes.add(change)
    return sorted(changes, key=abs)


def grooves_near(depth_mm: float, steps: Steps) -> list[float]:
    """The depths of the grooves on both sides of a depth, its own left out."""
    count = depth_mm / steps.groove_mm
    near = {math.floor(count - SAME_MM), math.ceil(count + SAME_MM)}
    depths = [n * steps.groove_mm for n in sorted(near) if n > 0]
    return [depth for depth in depths if abs(depth - depth_mm) > SAME_MM]


def hand_step(unit: Unit) -> float:
    """The step of sizes that a design of that unit says plainly, mm: 1/32 in or half a millimetre.

    >>> hand_step(Unit.IN), hand_step(Unit.CM)
    (0.79375, 0.5)
    """
    return MM_PER[Unit.IN] / FRACTION if unit is Unit.IN else HAND_MM
