"""A fold's growth is turned into a bend of known radius and neutral line here, and back.

The bend allowance is the one of sheet-metal handbooks: a fold of angle th (radians, the angle
turned through, not the angle left between the panels) uses the flat length th (r + k t), half of
it on each side of the score line.
"""

import math
from dataclasses import dataclass

from fitcheck.errors import InputError

RIGHT_ANGLE = math.pi / 2
UNCALIBRATED_SHARE = 1 - math.pi / 8
"""Crease allowance over caliper where r = 0 and the neutral line is in the middle."""
UNCALIBRATED_U_SHARE = 0.15
"""Standard uncertainty of that allowance, as a share of the caliper."""
LARGEST_SHARE = 2.0
"""A crease allowance beyond this many calipers is not a crease."""
LARGEST_U_SHARE = 1.0
"""A standard uncertainty of the allowance beyond this many calipers says less than nothing: one
that may lie anywhere from 0 to 2 calipers is known to 2 / sqrt(12) = 0.58 (JCGM 100, 4.3.7)."""


@dataclass(frozen=True)
class Crease:
    """How one paper bends along a pressed line."""

    radius_mm: float
    """Inside radius r of the bend."""
    neutral: float
    """Neutral-line factor k: its distance from the inside face over the caliper."""
    caliper_mm: float
    """Thickness t of one sheet."""

    def flat_length(self, angle_rad: float) -> float:
        """Flat length in mm that a fold of ``angle_rad`` (0 to pi) uses up.

        Source: bend allowance as in sheet-metal handbooks. Raises ``ValueError`` out of range.

        >>> round(Crease(radius_mm=1.64, neutral=0.38, caliper_mm=2.0).flat_length(RIGHT_ANGLE), 6)
        3.769911
        """
        if not 0 <= angle_rad <= math.pi:
            raise ValueError(f"a fold angle is 0 to pi rad, not {angle_rad}")
        return angle_rad * (self.radius_mm + self.neutral * self.caliper_mm)

    def growth(self, angle_rad: float) -> float:
        """How far in mm the outside faces meet beyond the score line, for 0 <= angle < pi.

        Source: outside setback less half the bend allowance. Raises ``ValueError`` out of range.

        >>> round(Crease(radius_mm=0.0, neutral=0.5, caliper_mm=1.0).growth(RIGHT_ANGLE), 4)
        0.6073
        """
        if not 0 <= angle_rad < math.pi:
            raise ValueError(f"growth needs a fold of 0 to less than pi rad, not {angle_rad}")
        setback = (self.radius_mm + self.caliper_mm) * math.tan(angle_rad / 2)
        return setback - self.flat_length(angle_rad) / 2


def crease_from_allowance(allowance_mm: float, caliper_mm: float) -> Crease:
    """The crease whose 90 degree growth is ``allowance_mm``, for 0 <= allowance <= 2 calipers.

    Small allowances keep r = 0 and move the neutral line; larger ones keep it in the middle and
    open the radius. Raises ``InputError`` out of range. Source: the definition of growth, solved.

    >>> round(crease_from_allowance(0.2, 0.33).growth(RIGHT_ANGLE), 12)
    0.2
    """
    if not (math.isfinite(caliper_mm) and caliper_mm > 0):
        raise InputError(f"caliper: read {caliper_mm} mm; allowed is a length above 0 mm")
    if not 0 <= allowance_mm <= LARGEST_SHARE * caliper_mm:
        raise InputError(
            f"crease allowance: read {allowance_mm} mm; allowed is 0 to {LARGEST_SHARE:g} calipers "
            f"(0 to {LARGEST_SHARE * caliper_mm:.3f} mm); measure the fold again"
        )
    rest = allowance_mm - UNCALIBRATED_SHARE * caliper_mm
    if rest <= 0:
        neutral = 4 * (caliper_mm - allowance_mm) / (math.pi * caliper_mm)
        return Crease(radius_mm=0.0, neutral=neutral, caliper_mm=caliper_mm)
    return Crease(radius_mm=rest / (1 - math.pi / 4), neutral=0.5, caliper_mm=caliper_mm)


def uncalibrated_allowance(caliper_mm: float) -> tuple[float, float]:
    """Crease allowance and its standard uncertainty, both in mm, of a paper nobody has measured.

    >>> [round(value, 4) for value in uncalibrated_allowance(0.3)]
    [0.1822, 0.045]
    """
    return UNCALIBRATED_SHARE * caliper_mm, UNCALIBRATED_U_SHARE * caliper_mm
