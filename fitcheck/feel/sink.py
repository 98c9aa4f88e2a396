"""A close lid sinks on the air that has to leave: how long it takes, for one box or many at once.

Under the lid stands a pressure of its weight over its plan. Air leaves by every stretch of the gap
side by side, down each in series, and through the paper; the pressure bows the walls of both
meanwhile. The pace at each overlap follows, and the time from that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.feel.driving import Driving, Giving
from fitcheck.feel.gap import Gap, corner_conductance
from fitcheck.feel.settle import settle
from fitcheck.folding.pose import Array

AIR_KG_M3 = 1.2
MODEL_LOG_U = 0.28
"""How far one box's true time lies from the model's, as a factor: 25 to 30 per cent."""
CORNERS = (((0, -1), (2, -1)), ((0, 0), (3, -1)), ((1, -1), (2, 0)), ((1, 0), (3, 0)))
"""The sides that meet at each, in the order of the stations, and which end of each."""


@dataclass(frozen=True, eq=False)
class Sinking:
    """How lids sink, box by box."""

    overlaps_mm: Array
    """(i,)"""
    pace_mm_s: Array
    """(b, i) at each overlap; 0 where the lid does not move by itself."""
    rubbing_n: Array
    """(b, i) what walls carry that touch before any air presses."""

    @property
    def seconds(self) -> Array:
        """(b,) from the first overlap to the last, by Simpson's rule; inf where it never does."""
        found: Array = _simpson(self._slowness, self.overlaps_mm)
        return found

    @property
    def halves(self) -> Array:
        """(b, 2) the time of the upper half of the way and of the lower; steps divisible by 4."""
        middle = len(self.overlaps_mm) // 2
        upper, lower = slice(0, middle + 1), slice(middle, None)
        slow, at = self._slowness, self.overlaps_mm
        return np.stack(
            [_simpson(slow[:, part], at[part]) for part in (upper, lower)],
            axis=1,
        )

    @property
    def seconds_at(self) -> Array:
        """(b, i) when each overlap is reached, by the trapezium rule."""
        slow = self._slowness
        steps = 0.5 * (slow[:, 1:] + slow[:, :-1]) * np.diff(self.overlaps_mm)
        return np.concatenate([np.zeros((len(slow), 1)), np.cumsum(steps, axis=1)], axis=1)

    @property
    def _slowness(self) -> Array:
        with np.errstate(divide="ignore"):
            found: Array = 1.0 / self.pace_mm_s
        return found


def _simpson(values: Array, at: Array) -> Array:
    step = (at[-1] - at[0]) / (len(at) - 1)
    weights = np.ones(len(at))
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    found: Array = values @ weights * step / 3.0
    return found


def sink(gap: Gap, shifts_mm: Array, giving: Giving, driving: Driving) -> Sinking:
    """How lids sink whose gaps differ from one that is known, side by side, by (b, 4) mm."""
    settled = settle(gap, shifts_mm, giving, driving)
    way, pressure = gap.way, settled.pressure_pa
    sides = (gap.spacing_mm[:, None] / settled.resists).sum(axis=(-1, -2))
    through = sides + _corners(settled.ends_mm, way.heights_mm, gap.corner_radius_mm)
    exits = (gap.spacing_mm[:, None] * settled.entry_mm).sum(axis=(-1, -2))
    flow = _flow(through / (12.0 * driving.viscosity), exits, pressure, driving.entry_heads)
    leak = driving.leak_mm3_pa_s[:, None] * pressure
    return Sinking(way.overlaps_mm, (flow + leak) / driving.plan_mm2[:, None], settled.rubbing_n)


def _corners(ends_mm: Array, heights: Array, radius_mm: float | None) -> Array:
    """What the four corners let through at each overlap, (b, i), as `width / sum(dz / gap**3)`."""
    found = np.zeros(ends_mm.shape[:2])
    if radius_mm is None:
        return found
    for (wide, end), (long, other) in CORNERS:
        gap_mm = 0.5 * (ends_mm[:, :, wide, end] + ends_mm[:, :, long, other])
        slices = heights / corner_conductance(gap_mm, radius_mm)
        found += 1.0 / slices.sum(axis=-1)
    return found


def _flow(conductance: Array, exits_mm2: Array, pressure: Array, heads: float) -> Array:
    """Air through the gap, mm3/s, (b, i): friction along it and what entering and leaving costs."""
    loss = heads * 0.5 * AIR_KG_M3 * 1e-6 / exits_mm2**2
    slow = 1.0 / conductance
    found: Array = 2.0 * pressure / (slow + np.sqrt(slow**2 + 4.0 * loss * pressure))
    return found
