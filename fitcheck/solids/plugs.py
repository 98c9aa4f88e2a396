"""Stepped gauges that go in or do not: a plug for an inside, a gap for an outside.

Both are flat prints whose width along x changes from step to step, each step engraved. What goes
in up to a step and not to the next is known to half a step; the steps are as fine as the wanted
uncertainty asks for, since a size that is anywhere within a step has the standard uncertainty
step / sqrt(12) (JCGM 100, 4.3.7).
"""

import math
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.solids.body import Body, Polygon
from fitcheck.solids.body_mesh import mesh_of
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.engraving import Patch, label
from fitcheck.solids.finishing import chamfer_first_layer
from fitcheck.solids.ring_gauge import GaugePart
from fitcheck.uncertainty import resolution_u

FINEST_MM = 0.05
"""A printer does not make finer steps (common practice, no source)."""
STEPS = 9
LENGTH_MM = 9.0
"""Of each step: room for its size in letters."""
THICKNESS_MM = 4.0
GRIP_MM = 14.0
"""Handle of the plug, and back of the gap."""
SIDE_MM = 18.0
"""Cheeks of the gap: room for the letters."""
LEAST_MM, MOST_MM = 15.0, 140.0

Spot = tuple[float, float]


@dataclass(frozen=True)
class Steps:
    """The widths of a stepped gauge, mm."""

    middle_mm: float
    step_mm: float
    count: int = STEPS

    @property
    def widths_mm(self) -> tuple[float, ...]:
        """From the narrowest to the widest.

        >>> Steps(60.0, 0.1, 3).widths_mm
        (59.9, 60.0, 60.1)
        """
        first = -(self.count - 1) / 2
        return tuple(
            round(self.middle_mm + (first + k) * self.step_mm, 6) for k in range(self.count)
        )


def steps_for(middle_mm: float, wanted_u_mm: float) -> Steps:
    """The steps about a size that give the wanted standard uncertainty.

    Raises ``InputError`` when no printed step gives it or the size does not print.

    >>> steps_for(60.0, 0.03).step_mm
    0.1
    """
    step = math.floor(wanted_u_mm * math.sqrt(12) / FINEST_MM + 1e-9) * FINEST_MM
    if step < FINEST_MM:
        raise InputError(
            f"a wanted uncertainty of {wanted_u_mm:g} mm asks for finer steps than a printer "
            f"makes: allowed is {resolution_u(FINEST_MM):.4f} mm or more (steps of "
            f"{FINEST_MM:g} mm)"
        )
    if not LEAST_MM <= middle_mm <= MOST_MM:
        raise InputError(
            f"a stepped gauge of {middle_mm:g} mm: allowed is {LEAST_MM:g} to {MOST_MM:g} mm"
        )
    return Steps(middle_mm, round(step, 6))


def plug(steps: Steps, correction: Correction = IDENTITY) -> GaugePart:
    """A stick that grows wider step by step, with a handle at its wide end; lies on z = 0."""
    name = f"plug {steps.middle_mm:g}"
    widths = steps.widths_mm
    modelled = [correction.outside(width, width, width)[0] for width in widths]
    length = LENGTH_MM * len(widths) + GRIP_MM
    outline = (*_flank(modelled, length), *_mirrored(_flank(modelled, length)))
    room = min(modelled)
    patches = [
        Patch(f"{width:.2f}", (0.0, LENGTH_MM * (k + 0.5)), room, LENGTH_MM)
        for k, width in enumerate(widths)
    ]
    patches.append(Patch("mm", (0.0, length - GRIP_MM / 2), room, GRIP_MM))
    return _finished(name, Polygon(outline), patches, correction)


def gap(steps: Steps, correction: Correction = IDENTITY) -> GaugePart:
    """A fork whose gap grows narrower step by step; lies on z = 0, open towards -y."""
    name = f"gap {steps.middle_mm:g}"
    widths = steps.widths_mm[::-1]
    modelled = [correction.inside(width, width)[0] for width in widths]
    deep = LENGTH_MM * len(widths)
    half, length = max(modelled) / 2 + SIDE_MM, deep + GRIP_MM
    right = _flank(modelled, deep)
    back = ((half, 0.0), (half, length), (-half, length), (-half, 0.0))
    outline = (*_mirrored(right)[::-1], *right[::-1], *back)
    at_x = (max(modelled) + SIDE_MM) / 2
    patches = [
        Patch(f"{width:.2f}", (at_x, LENGTH_MM * (k + 0.5)), SIDE_MM, LENGTH_MM)
        for k, width in enumerate(widths)
    ]
    return _finished(name, Polygon(outline), patches, correction)


def _flank(widths_mm: list[float], length_mm: float) -> tuple[Spot, ...]:
    """The stepped right side, from its foot up; the last step runs on to ``length_mm``."""
    spots: list[Spot] = []
    for k, width in enumerate(widths_mm):
        end = length_mm if k == len(widths_mm) - 1 else LENGTH_MM * (k + 1)
        spots += [(width / 2, LENGTH_MM * k), (width / 2, end)]
    return tuple(spots)


def _mirrored(flank: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """The left side to a right one, from its top down."""
    return tuple((-x, y) for x, y in reversed(flank))


def _finished(
    name: str, outline: Polygon, patches: list[Patch], correction: Correction
) -> GaugePart:
    """A flat print with its lowest edges cut off, and lettered."""
    body, found = chamfer_first_layer(Body(outline, THICKNESS_MM), name, correction)
    lettered = label(body, tuple(patches), (0.0, 0.0, THICKNESS_MM), (0.0, 0.0, 1.0))
    return GaugePart(name, lettered, mesh_of(lettered, name), found)
