"""The sizes that a maker's tools make easy: grooves for scores, and even steps for cuts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.stock.tools import Tools
from fitcheck.units import Unit, hand_step_mm

NEAR_STEPS = 8
"""Sizes are tried up to this many steps to each side."""
SAME_MM = 1e-6


@dataclass(frozen=True)
class Steps:
    """What sizes are tried in."""

    size_mm: float
    """For floors and oversizes, which a trimmer sets."""
    score_mm: float
    """For lengths that end at a score: the distance of the board's grooves."""
    grooved: bool
    """Whether the board has grooves; without them a hand sets scores as it sets cuts."""


def steps_for(tools: Tools, unit: Unit) -> Steps:
    """The steps of a board: its grooves for scores and the hand's own step for cuts.

    The hand's step is taken so that whole steps make up a groove.
    """
    if tools.grid_mm is None:
        return Steps(hand_step_mm(unit), hand_step_mm(unit), grooved=False)
    hand = hand_step_mm(tools.grid_unit or unit)
    share = max(1, round(tools.grid_mm / hand))
    return Steps(tools.grid_mm / share, tools.grid_mm, grooved=True)


def around(size_mm: float, step_mm: float) -> list[float]:
    """Changes that bring a size onto whole steps, the smallest first; no change is one of them."""
    first = math.ceil(size_mm / step_mm - SAME_MM) - NEAR_STEPS
    changes = {0.0}
    for count in range(first, first + 2 * NEAR_STEPS + 1):
        change = count * step_mm - size_mm
        if abs(change) > SAME_MM:
            changes.add(change)
    return sorted(changes, key=abs)


def steps_of_both(
    sizes_mm: tuple[float, float], step_mm: float, first: int = -NEAR_STEPS
) -> Iterator[tuple[float, float]]:
    """Changes of two sizes from so many steps on: both by as many steps, and either alone."""
    even = [step_mm * round(size / step_mm) for size in sizes_mm]
    for count in range(first, NEAR_STEPS + 1):
        wide, long = (mm + count * step_mm - own for mm, own in zip(even, sizes_mm, strict=True))
        yield wide, long
        yield wide, 0.0
        yield 0.0, long


def beside(size_mm: float, step_mm: float, beyond: int = 0) -> list[float]:
    """The whole steps on both sides of a size, or its own, and so many beyond them; above 0 only.

    >>> beside(20.0, 5.0), beside(20.0, 5.0, 1), beside(8.7, 5.0)
    ([20.0], [15.0, 20.0, 25.0], [5.0, 10.0])
    """
    count = size_mm / step_mm
    low, high = math.floor(count + SAME_MM) - beyond, math.ceil(count - SAME_MM) + beyond
    return [n * step_mm for n in range(max(low, 1), high + 1)]
