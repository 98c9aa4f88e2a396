"""Which way the grain of a part does best to run, where it matters and nobody said it.

Common practice, no source, all of it.
"""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

import numpy as np

from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.sheet import Axis

LONG = 2.0
"""A floor so many times longer than wide has long walls."""
FOLDS = 2
"""A part with so many folds, all of them parallel, goes round something."""
STRAIGHT_RAD = 0.01


class Reason(enum.Enum):
    """Why the grain matters, in words."""

    HINGE = "a hinge opens smoothest and lasts longest along the grain"
    RING = "its folds are smoothest along the grain"
    LONG = "long walls stand straighter with the grain along them"


@dataclass(frozen=True)
class BestGrain:
    """A side of the sheet that the grain does best to run along, and why."""

    along: Axis
    reason: Reason


def best_grain(pattern: Pattern) -> BestGrain | None:
    """What is best for a part; None where it hardly matters."""
    lines = pattern.lines
    hung = {panel.name for panel in pattern.panels if panel.role is Role.LID}
    hinges = {_axis(pattern, line) for line in lines if line.child in hung}
    if len(hinges) == 1 and None not in hinges:
        (along,) = hinges
        return None if along is None else BestGrain(along, Reason.HINGE)
    ways = {_axis(pattern, line) for line in lines}
    floors = [panel for panel in pattern.panels if panel.role is Role.FLOOR]
    if len(lines) >= FOLDS and len(ways) == 1:
        (along,) = ways
        return None if along is None else BestGrain(along, Reason.RING)
    if not (floors and lines):
        return None
    width, length = np.ptp(pattern.outline(floors[0], {}), axis=0)
    if max(width, length) < LONG * min(width, length):
        return None
    return BestGrain(Axis.WIDTH if width > length else Axis.LENGTH, Reason.LONG)


def _axis(pattern: Pattern, line: CreaseLine) -> Axis | None:
    """The side of the sheet that a fold runs along; None for one at a slant."""
    sheet = pattern.sheet
    run, rise = (
        abs(sheet.position(stop, {}) - sheet.position(start, {}))
        for start, stop in ((line.start.x, line.stop.x), (line.start.y, line.stop.y))
    )
    slant = math.atan2(min(run, rise), max(run, rise))
    if slant > STRAIGHT_RAD:
        return None
    return Axis.WIDTH if run > rise else Axis.LENGTH
