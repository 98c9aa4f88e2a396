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
THICK_MM = 0.6
"""From about here on board cracks or springs where it is pressed, so that its folds are cut half
through (common practice, no source)."""
UNCUT_SHARE = 0.5
"""What a cut half through leaves of the caliper."""
HALF_CUT_SHARE = 1 - UNCUT_SHARE * math.pi / 8
"""Crease allowance over caliper where the uncut half alone bends, its neutral line in its middle:
the cut half stands out whole."""
LARGEST_SHARE = 2.0
"""A crease allowance beyond this many calipers is not a crease."""
LARGEST_U_SHARE = 1.0
"""A standard uncertainty of the allowance beyond this many calipers says less than nothing: one
that may lie anywhere from 0 to 2 calipers is known to 2 / sqrt(12) = 0.58 (JCGM 100, 4.3.7)."""


@dataclass(frozen=True)
class Crease:
    """How one paper bends along a line that is pressed, or cut half through."""

    radius_mm: float
    """Inside radius r of the bend."""
    neutral: float
    """Neutral-line factor k: its distance from the inside face over the caliper."""
    caliper_mm: float
    """Thickness t of one sheet."""
    uncut: float = 1.0
    """The share of the thickness that bends: what a cut outside the fold leaves."""

    @property
    def skin_mm(self) -> float:
        """How much of the thickness bends."""
        return self.uncut * self.caliper_mm

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


def crease_from_allowance(
    allowance_mm: float, caliper_mm: float, *, half_cut: bool = False
) -> Crease:
    """The crease whose 90 degree growth is ``allowance_mm``, for 0 <= allowance <= 2 calipers.

    Small allowances keep r = 0 and move the neutral line; larger ones keep it in the middle and
    open the radius. One that is cut half through is sharp until its neutral line lies in the inside
    face, where it adds the whole sheet: the deeper the cut, the nearer it is. Raises ``InputError``
    out of range. Source: the definition of growth, solved.

    >>> round(crease_from_allowance(0.2, 0.33).growth(RIGHT_ANGLE), 12)
    0.2
    >>> crease_from_allowance(HALF_CUT_SHARE * 2.0, 2.0, half_cut=True).neutral
    0.25
    """
    if not (math.isfinite(caliper_mm) and caliper_mm > 0):
        raise InputError(f"caliper: read {caliper_mm} mm; allowed is a length above 0 mm")
    if not 0 <= allowance_mm <= LARGEST_SHARE * caliper_mm:
        raise InputError(
            f"crease allowance: read {allowance_mm} mm; allowed is 0 to {LARGEST_SHARE:g} calipers "
            f"(0 to {LARGEST_SHARE * caliper_mm:.3f} mm); measure the fold again"
        )
    uncut = UNCUT_SHARE if half_cut else 1.0
    rest = allowance_mm - sharp_share(half_cut=half_cut) * caliper_mm
    if rest <= 0:
        neutral = 4 * (caliper_mm - allowance_mm) / (math.pi * caliper_mm)
        return Crease(0.0, neutral, caliper_mm, uncut)
    neutral = 0.0 if half_cut else 0.5
    return Crease(rest / (1 - math.pi / 4), neutral, caliper_mm, uncut)


def sharp_share(*, half_cut: bool) -> float:
    """Crease allowance over caliper beyond which a crease opens a radius."""
    return 1.0 if half_cut else UNCALIBRATED_SHARE


def is_half_cut(caliper_mm: float) -> bool:
    """Whether folds of board of that thickness are cut half through: it is too thick to press."""
    return caliper_mm >= THICK_MM


def usual_share(caliper_mm: float) -> float:
    """Crease allowance over caliper of a paper nobody has measured, as its folds are made.

    >>> [round(usual_share(caliper), 4) for caliper in (0.3, 1.5)]
    [0.6073, 0.8037]
    """
    return HALF_CUT_SHARE if is_half_cut(caliper_mm) else UNCALIBRATED_SHARE


def uncalibrated_allowance(caliper_mm: float) -> tuple[float, float]:
    """Crease allowance and its standard uncertainty, both in mm, of a paper nobody has measured.

    >>> [round(value, 4) for value in uncalibrated_allowance(0.3)]
    [0.1822, 0.045]
    """
    return usual_share(caliper_mm) * caliper_mm, UNCALIBRATED_U_SHARE * caliper_mm
