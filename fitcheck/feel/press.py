"""What it costs to press a tight lid on: the corners take it until the walls beside them bow in.

At the corners walls are stiff in their own plane, so that those decide. The stiffness of a corner
is a fit of our own to shell elements, good to about a factor of 2.5: bands, never single newtons.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pose import Array

CORNER_160, USUAL_160_MM, CORNER_POWER = 2.4, 0.18, 1.64
"""A corner's stiffness per millimetre of overlap, N/mm2, of card of 160 g/m2 and 0.18 mm; it goes
with about that power of the caliper between 160 and 270 g/m2. Both from 1.2 N/mm2 of two such
corners against each other and 1.7 N/mm2 of one against a base of 270 g/m2 and 0.31 mm."""
BOWED_SHARE = 0.55
"""Of the stiffness that is left once the walls bow in; the same fit."""
PRESS_FACTOR = 2.5
"""The fit is good to such a factor, taken as 95 of 100."""
SPLITS_N_MM, CORNER_CONTACTS = 0.1, 8
"""Line load, of a normal force over so many stretches of the overlap, from which corners may open;
nothing is claimed of where they do."""


@dataclass(frozen=True)
class Corner:
    """Two corners against each other."""

    stiffness: float
    """N/mm per millimetre of overlap."""
    buckles_n: Array
    """(b,) from which force the base's walls bow in; inf where they do not, as those of frames."""


def corner_stiffness(caliper_mm: float) -> float:
    """Of one part's corner, N/mm2, by its caliper.

    >>> round(corner_stiffness(0.18), 2)
    2.4
    """
    return CORNER_160 * float((caliper_mm / USUAL_160_MM) ** CORNER_POWER)


def corner_of(lid_mm: float, base_mm: float | None, buckles_n: Array) -> Corner:
    """A lid's corner against a base's, by their calipers, one spring behind the other.

    A base of None does not give.

    >>> round(corner_of(0.18, 0.18, np.array([0.46])).stiffness, 2)
    1.2
    """
    lid = corner_stiffness(lid_mm)
    if base_mm is None:
        return Corner(lid, buckles_n)
    return Corner(1.0 / (1.0 / lid + 1.0 / corner_stiffness(base_mm)), buckles_n)


def slip_force(corner: Corner, plays_mm: Array, overlap_mm: float, friction: Array) -> Array:
    """The force that moves a pressed lid, on and off alike, N: (b,) of plays (b, 2) mm.

    Four corners press along both axes; an axis with play adds nothing.
    """
    press = np.maximum(-plays_mm, 0.0)
    stiff = corner.stiffness * overlap_mm
    bows = (2.0 * corner.buckles_n / stiff)[:, None]
    beyond = np.maximum(press - bows, 0.0)
    normal = 4.0 * stiff * (press - (1.0 - BOWED_SHARE) * beyond)
    found: Array = friction * normal.mean(axis=-1)
    return found
