"""A wall held at its corners and its foot bows in one shape, by a spring constant in closed form.

The shape is a half sine along the wall, times the height over the fold: the energy of bending
along the wall, of twisting it and of opening its fold, each exact for that shape (Ritz), so that
the true wall gives a little more. Pressing at mid-rim moves it there by the force over K.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pose import Array

PLATE_SHARE, TWIST_SHARE = 1.094, 0.387
"""Of the strip's stiffness for a plate, 1 / (1 - nu12 nu21) with sqrt(nu12 nu21) = 0.293; and of
sqrt(S1 S2) for twisting, G / sqrt(E1 E2): Baum, for papers, from memory."""


@dataclass(frozen=True)
class Sheet:
    """A wall's paper: stiffness in N mm (mN m) per width of strips cut along the wall and up it."""

    along: Array
    up: Array
    crease_mm: Array
    """The length whose stiffness is the spring of its fold."""

    @property
    def twisting(self) -> Array:
        """Twisting stiffness D66, N mm."""
        return TWIST_SHARE * np.sqrt(self.along * self.up)

    @property
    def plate(self) -> Array:
        """Bending stiffness along the wall as part of a plate, N mm."""
        return PLATE_SHARE * self.along


def spring(sheet: Sheet, length_mm: float, height_mm: float) -> Array:
    """K: the force at mid-rim per millimetre that it moves there, N/mm.

    >>> sheet = Sheet(np.array(2.8), np.array(1.3), np.array(10.0))
    >>> round(float(spring(sheet, 108.0, 22.0)), 4)
    0.0215
    """
    bending = sheet.plate * (np.pi / length_mm) ** 4 * length_mm * height_mm / 6.0
    twisting = 2.0 * np.pi**2 * sheet.twisting / (length_mm * height_mm)
    fold = sheet.up / sheet.crease_mm * length_mm / (2.0 * height_mm**2)
    found: Array = bending + twisting + fold
    return found


def bow_mm(sheet: Sheet, length_mm: float, height_mm: float, opens_rad: Array) -> Array:
    """How far its middle stands out at the rim where its fold wants to open by an angle.

    Its corners hold it, the fold's moment bows it; negative where the fold wants to close.
    """
    moment = sheet.up / sheet.crease_mm * opens_rad
    force = moment / height_mm * (2.0 * length_mm / np.pi)
    found: Array = force / spring(sheet, length_mm, height_mm)
    return found


def buckling_n(sheet: Sheet, length_mm: float, height_mm: float) -> Array:
    """The force along the rim at one corner from which the wall bows in like a strut, N.

    >>> sheet = Sheet(np.array(2.8), np.array(1.3), np.array(10.0))
    >>> round(float(buckling_n(sheet, 108.0, 22.0)), 2)
    0.46
    """
    twist = 12.0 * sheet.twisting / height_mm**2
    found: Array = height_mm * (twist + np.pi**2 * sheet.plate / length_mm**2)
    return found
