"""A close lid sinks on the air that has to leave: how long it takes, for one box or many at once.

Under the lid stands a pressure of its weight over its plan. Air leaves by every stretch of the gap
side by side, down each in series, and through the paper; the pressure bows the walls of both
meanwhile. The pace at each overlap follows, and the time from that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.feel.gap import Gap, clipped, corner_conductance
from fitcheck.folding.pose import Array

AIR_PA_S = 1.813e-5
"""Dynamic viscosity of air at 20 C (Sutherland's law)."""
AIR_KG_M3 = 1.2
ENTRY_HEADS = 1.7
"""Velocity heads that air loses where it enters and leaves the gap."""
MODEL_LOG_U = 0.28
"""How far one box's true time lies from the model's, as a factor: 25 to 30 per cent."""
SETTLES = 3
"""So often gap and pressure are worked out from each other; the pressure under the lid depends on
neither, so that three leave no time off by a thousandth."""
CORNERS = (((0, -1), (2, -1)), ((0, 0), (3, -1)), ((1, -1), (2, 0)), ((1, 0), (3, 0)))
"""The sides that meet at each, in the order of the stations, and which end of each."""
PA = 1e6
"""Pa in 1 N/mm2."""


@dataclass(frozen=True, eq=False)
class Giving:
    """What gives, of many boxes at once: (b, 4) each for sides, in the order of the stations."""

    base_springs: Array
    """K of the base's walls, N/mm; inf where they do not give."""
    lid_springs: Array
    base_bows_mm: Array
    """How far the middle of each stands out by itself at the rim."""
    lid_bows_mm: Array
    base_height_mm: float
    """From its fold to its rim."""
    lid_height_mm: float


@dataclass(frozen=True, eq=False)
class Driving:
    """What drives a lid down and lets air out, of many boxes at once, (b,) each."""

    weight_n: Array
    """Less what friction carries."""
    plan_mm2: Array
    leak_mm3_pa_s: Array
    """What the paper lets through, mm3/s for each Pa."""
    viscosity: float = AIR_PA_S
    entry_heads: float = ENTRY_HEADS

    @property
    def pressure_pa(self) -> Array:
        """(b,) under the lid."""
        return np.maximum(self.weight_n, 0.0) / self.plan_mm2 * PA


@dataclass(frozen=True, eq=False)
class Sinking:
    """How lids sink, box by box."""

    overlaps_mm: Array
    """(i,)"""
    pace_mm_s: Array
    """(b, i) at each overlap; 0 where the lid does not move by itself."""

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
    way, pressure = gap.way, driving.pressure_pa
    sines = _sines(gap.out_mm.shape[1])
    base_share = np.clip(1.0 - way.base_depths_mm / giving.base_height_mm, 0.0, 1.0)
    lid_share = np.clip(1.0 - way.lid_heights_mm / giving.lid_height_mm, 0.0, 1.0)
    lid_share = lid_share[np.maximum(way.facing, 0)]
    plain = gap.rigid_mm[None] + shifts_mm[:, None, :, None, None]
    base_bow, lid_bow = (
        np.repeat(bows[:, None], len(way.overlaps_mm), axis=1)
        for bows in (giving.base_bows_mm, giving.lid_bows_mm)
    )
    still = base_bow, lid_bow
    heights = way.heights_mm[:, None, None, :]
    moves = np.isfinite(giving.base_springs).any() or np.isfinite(giving.lid_springs).any()
    for _ in range(SETTLES if moves else 1):
        bow = (
            lid_bow[..., None, None] * lid_share[:, None, None, :]
            - base_bow[..., None, None] * base_share
        )
        open_mm = clipped(plain + bow * sines[:, None])
        slices = heights / (open_mm * open_mm * open_mm)
        passed = np.cumsum(slices, axis=-1)
        # how much of the pressure is left in the middle of each cell
        left = (1.0 - (passed - 0.5 * slices) / passed[..., -1:]) * heights
        area = gap.spacing_mm * pressure[:, None, None] / PA
        outside = (left * base_share).sum(axis=-1) @ sines
        inside = (left * lid_share[:, None, None, :]).sum(axis=-1) @ sines
        rest = np.maximum(giving.lid_height_mm - way.overlaps_mm, 0.0) ** 2
        above = rest / (2.0 * giving.lid_height_mm)
        base_bow = (
            still[0]
            + area
            * (0.5 * giving.base_height_mm * sines.sum() - outside)
            / giving.base_springs[:, None]
        )
        lid_bow = (
            still[1] + area * (above[:, None] * sines.sum() + inside) / giving.lid_springs[:, None]
        )
    sides = (gap.spacing_mm[:, None] / passed[..., -1]).sum(axis=(-1, -2))
    through = sides + _corners(open_mm, heights, gap.corner_radius_mm)
    exits = (gap.spacing_mm[:, None] * open_mm[..., 0]).sum(axis=(-1, -2))
    flow = _flow(through / (12.0 * driving.viscosity), exits, pressure, driving.entry_heads)
    leak = driving.leak_mm3_pa_s * pressure
    return Sinking(way.overlaps_mm, (flow + leak[:, None]) / driving.plan_mm2[:, None])


def _sines(count: int) -> Array:
    """The shape along a wall at so many stations, their mean that of a half sine, (n,)."""
    at = np.sin(np.pi * (np.arange(count) + 0.5) / count)
    found: Array = at * (2.0 / np.pi) / at.mean()
    return found


def _corners(open_mm: Array, heights: Array, radius_mm: float | None) -> Array:
    """What the four corners let through at each overlap, (b, i), as `width / sum(dz / gap**3)`."""
    found = np.zeros(open_mm.shape[:2])
    if radius_mm is None:
        return found
    for (wide, end), (long, other) in CORNERS:
        gap_mm = 0.5 * (open_mm[:, :, wide, end] + open_mm[:, :, long, other])
        slices = heights[:, 0, 0] / corner_conductance(gap_mm, radius_mm)
        found += 1.0 / slices.sum(axis=-1)
    return found


def _flow(conductance: Array, exits_mm2: Array, pressure: Array, heads: float) -> Array:
    """Air through the gap, mm3/s, (b, i): friction along it and what entering and leaving costs."""
    push = pressure[:, None]
    loss = heads * 0.5 * AIR_KG_M3 * 1e-6 / exits_mm2**2
    slow = 1.0 / conductance
    found: Array = 2.0 * push / (slow + np.sqrt(slow**2 + 4.0 * loss * push))
    return found
