"""Stepped gauges that go in or do not: a plug for an inside, a gap for an outside.

Both are flat prints whose width along x changes from step to step, each step engraved. What goes
in up to a step and not to the next is known to half a step; the steps are as fine as the wanted
uncertainty asks for, since a size that is anywhere within a step has the standard uncertainty
step / sqrt(12) (JCGM 100, 4.3.7).
"""

import math
from dataclasses import dataclass
from typing import Any

from fitcheck.errors import InputError
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.finishing import chamfer_first_layer
from fitcheck.solids.gauge import GaugePart
from fitcheck.solids.labels import Patch, label
from fitcheck.solids.meshes import tessellate
from fitcheck.solids.modeller import load_cadquery

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
CLEAR_MM = 1.0
"""How far a cut runs beyond what it cuts."""
LEAST_MM, MOST_MM = 15.0, 140.0


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
            f"makes: allowed is {FINEST_MM / math.sqrt(12):.4f} mm or more (steps of "
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
    slabs = [
        _slab(correction.outside(width, width, width)[0], LENGTH_MM * k, _length(k, len(widths)))
        for k, width in enumerate(widths)
    ]
    room = correction.outside(min(widths), 1.0, 1.0)[0]
    patches = [
        Patch(f"{width:.2f}", (0.0, LENGTH_MM * (k + 0.5)), room, LENGTH_MM)
        for k, width in enumerate(widths)
    ]
    grip = LENGTH_MM * len(widths) + GRIP_MM / 2
    patches.append(Patch("mm", (0.0, grip), room, GRIP_MM))
    return _finished(name, slabs[0].fuse(*slabs[1:]), patches, correction)


def gap(steps: Steps, correction: Correction = IDENTITY) -> GaugePart:
    """A fork whose gap grows narrower step by step; lies on z = 0, open towards -y."""
    name = f"gap {steps.middle_mm:g}"
    widths = steps.widths_mm[::-1]
    modelled = [correction.inside(width, width)[0] for width in widths]
    length = LENGTH_MM * len(widths) + GRIP_MM
    body = _slab(max(modelled) + 2 * SIDE_MM, 0.0, length)
    cutters = [
        _slab(width, LENGTH_MM * k - CLEAR_MM, LENGTH_MM + CLEAR_MM, THICKNESS_MM + 2 * CLEAR_MM)
        for k, width in enumerate(modelled)
    ]
    room = cutters[0].fuse(*cutters[1:]).translate((0.0, 0.0, -CLEAR_MM))
    at_x = (max(modelled) + SIDE_MM) / 2
    patches = [
        Patch(f"{width:.2f}", (at_x, LENGTH_MM * (k + 0.5)), SIDE_MM, LENGTH_MM)
        for k, width in enumerate(widths)
    ]
    return _finished(name, body.cut(room), patches, correction)


def _length(step: int, count: int) -> float:
    """The widest step runs on into the handle."""
    return LENGTH_MM + (GRIP_MM if step == count - 1 else 0.0)


def _slab(x_mm: float, y_mm: float, length_mm: float, height_mm: float = THICKNESS_MM) -> Any:
    cadquery = load_cadquery()
    corner = cadquery.Vector(-x_mm / 2, y_mm, 0.0)
    return cadquery.Solid.makeBox(x_mm, length_mm, height_mm, corner)


def _finished(name: str, shape: Any, patches: list[Patch], correction: Correction) -> GaugePart:
    """One solid with its top as one face, lowest edges cut off, and lettered."""
    (whole,) = shape.clean().Solids()
    whole, found = chamfer_first_layer(whole, name, correction)
    lettered = label(whole, tuple(patches), (0.0, 0.0, THICKNESS_MM), (0.0, 0.0, 1.0))
    return GaugePart(name, lettered, tessellate(lettered, name), found, correction.name)
