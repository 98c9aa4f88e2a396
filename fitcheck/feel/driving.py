"""What drives a lid down, what air is like, and what gives while it sinks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pose import Array

AIR_PA_S = 1.813e-5
"""Dynamic viscosity of air at 20 C (Sutherland's law)."""
ENTRY_HEADS = 1.7
"""Velocity heads that air loses where it enters and leaves the gap."""
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

    @property
    def gives(self) -> Array:
        """(b, 4, 2) mm for each newton, of base and lid."""
        return 1.0 / np.stack([self.base_springs, self.lid_springs], axis=-1)

    @property
    def still_mm(self) -> Array:
        """(b, 4, 2) by themselves, of base and lid."""
        return np.stack([self.base_bows_mm, self.lid_bows_mm], axis=-1)


@dataclass(frozen=True, eq=False)
class Driving:
    """What drives a lid down and lets air out, of many boxes at once, (b,) each."""

    weight_n: Array
    """Less what corners that press carry."""
    plan_mm2: Array
    leak_mm3_pa_s: Array
    """What the paper lets through, mm3/s for each Pa."""
    viscosity: float = AIR_PA_S
    entry_heads: float = ENTRY_HEADS
    friction: Array | float = 0.0
    """(b,) of walls that touch."""
