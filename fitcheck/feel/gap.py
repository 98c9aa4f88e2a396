"""The gap between a lid and its base all round and all the way down, as it is at every overlap.

Heights are cells: of the base downwards from its rim, of the lid upwards from its own. Where a lid
has come down by another cell, each of its cells faces the next one of the base, so that all gaps
on the way are differences of one column of the lid and one of the base.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array, Rows

LEAST_GAP_MM, MOST_GAP_MM = 0.005, 5.0
"""Papers that touch leave as much by their roughness (assumed); beyond the most, air goes as it
likes."""
CORNER = (1.2, 1.3, 0.018)
"""Of the flow through the void at a corner with a gap g and an inner corner rounded by r, in terms
of g^4, r^2 g^2 and r^4: a fit of our own to sections, within 8 per cent."""


@dataclass(frozen=True)
class Way:
    """The overlaps at which a sinking lid is looked at."""

    start_mm: float
    end_mm: float
    steps: int
    """An even number of equal steps between both."""

    @property
    def step_mm(self) -> float:
        """Of one step, mm."""
        return (self.end_mm - self.start_mm) / self.steps

    @cached_property
    def overlaps_mm(self) -> Array:
        """(i,) from start to end."""
        return self.start_mm + self.step_mm * np.arange(self.steps + 1.0)

    @cached_property
    def before(self) -> int:
        """So many cells, the last one in part, already overlap at the start."""
        return math.ceil(self.start_mm / self.step_mm - 1e-9)

    @property
    def cells(self) -> int:
        """Of the whole overlap at the end."""
        return self.steps + self.before

    @cached_property
    def rest_mm(self) -> float:
        """How high the lid's lowest cell is: what is left of the start beside whole cells."""
        return self.start_mm - (self.before - 1) * self.step_mm

    @cached_property
    def base_depths_mm(self) -> Array:
        """(c,) the middles of the base's cells below its rim; the last, cut short, is as others."""
        return self.step_mm * (np.arange(float(self.cells)) + 0.5)

    @cached_property
    def lid_heights_mm(self) -> Array:
        """(c,) the middles of the lid's cells above its rim."""
        found: Array = self.rest_mm + self.step_mm * (np.arange(float(self.cells)) - 0.5)
        found[0] = 0.5 * self.rest_mm
        return found

    @cached_property
    def facing(self) -> Rows:
        """(i, c) the cell of the lid that faces each of the base's; negative where none does."""
        last = np.arange(self.before - 1, self.cells)
        found: Rows = last[:, None] - np.arange(self.cells)
        return found

    @cached_property
    def heights_mm(self) -> Array:
        """(i, c) how high each cell is that faces another: 0 where none does."""
        whole = np.where(self.facing > 0, self.step_mm, 0.0)
        found: Array = np.where(self.facing == 0, self.rest_mm, whole)
        return found


@dataclass(frozen=True, eq=False)
class Gap:
    """What both leave between each other, from the middle of the lid's play."""

    way: Way
    out_mm: Array
    """(4, n, c) how far out the base stands, downwards from its rim."""
    in_mm: Array
    """(4, n, c) how far in the lid stands, upwards from its rim."""
    spacing_mm: Array
    """(4,) the stretch that each station of a side stands for."""
    corner_radius_mm: float | None
    """Of the base's upright edges; None where there are no corners."""

    @cached_property
    def rigid_mm(self) -> Array:
        """(i, 4, n, c) the gap where no paper gives, at each overlap."""
        facing = np.maximum(self.way.facing, 0)
        lids = np.moveaxis(self.in_mm[..., facing], 2, 0)
        found: Array = lids - self.out_mm
        return found


def clipped(gap_mm: Array) -> Array:
    """A gap as air sees it: no less than papers' roughness leaves, no more than matters."""
    found: Array = np.clip(gap_mm, LEAST_GAP_MM, MOST_GAP_MM)
    return found


def corner_conductance(gap_mm: Array, radius_mm: float) -> Array:
    """What the void at a corner lets through, mm4: as `width * gap**3` of a plain stretch."""
    own, both, round_ = CORNER
    square = gap_mm * gap_mm
    found: Array = own * square**2 + both * radius_mm**2 * square + round_ * radius_mm**4
    return found
