"""Where each part stands in the closed box, and which way it leaves: all views are drawn by it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.lid import lid_pose
from fitcheck.fit.mates import MateFit
from fitcheck.fit.stood import stood_parts
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.styles.mates import Along

UPWARDS = 0.5
"""A way that rises steeper than that leads up."""
CLEAR_MM = 12.0
"""What is drawn apart is that far from what it leaves."""


@dataclass(frozen=True, eq=False)
class Standing:
    """One part in the closed box, as seen from the base."""

    part: FoldedPart
    pose: Array
    """(4, 4) carries the part's own place to where it stands round the base's."""
    way: Array
    """(3,) mm by which it leaves, until it is clear; nothing for the base and what stands in it."""
    stays: bool = False
    """Whether it stands in the base while that is filled and closed."""

    @property
    def name(self) -> str:
        """The part's name."""
        return self.part.name

    def led(self, far_mm: float) -> Array:
        """Its pose (4, 4) when it is led so far along its way: upwards as far as is asked, sideways
        no further than until it is clear, as it is out of the way there."""
        clear = float(np.linalg.norm(self.way))
        if not clear or not far_mm:
            return self.pose
        along = self.way / clear
        far = far_mm if along[2] > UPWARDS else min(far_mm, clear)
        led: Array = translation(along * far) @ self.pose
        return led


def standing(check: Check) -> tuple[Standing, ...]:
    """The base, then each part that goes with it and has a place there."""
    base, lid = check.assembly.base, check.assembly.lid
    found = [Standing(base.folded, np.eye(4), np.zeros(3))]
    if lid is not None and check.lid is not None:
        out = base.sizes.height_mm + lid.sizes.height_mm + CLEAR_MM
        found.append(
            Standing(lid.folded, lid_pose(lid.folded, check.lid.seat_mm), UP * round(out, 3))
        )
    for fit in check.mates:
        holder = check.assembly.part(fit.mate.holder)
        if holder is not None and isinstance(fit, MateFit) and isinstance(fit.mate, Along):
            size = float(np.linalg.norm(fit.way_mm))
            way = -fit.way_mm * (1.0 + CLEAR_MM / size)
            found.append(Standing(holder.folded, translation(-fit.closed_mm), way))
    found += [
        Standing(part, pose, np.zeros(3), stays=True) for part, pose in stood_parts(check.assembly)
    ]
    return tuple(found)
