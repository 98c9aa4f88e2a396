"""Several short texts are sunk into one flat face at once: the steps of a gauge, each its size."""

from dataclasses import dataclass

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.solids.body import Body
from fitcheck.solids.engraving import DEPTH_MM, MARGIN_MM, Face, fit_lettering, sunk


@dataclass(frozen=True)
class Patch:
    """A text and the upright rectangle of the face that it has to itself."""

    text: str
    at: tuple[float, float]
    """Its middle in the face's own frame, mm."""
    width_mm: float
    height_mm: float


def label(
    body: Body,
    patches: tuple[Patch, ...],
    origin: tuple[float, float, float],
    outward: tuple[float, float, float],
    margin_mm: float = MARGIN_MM,
) -> Body:
    """The body with every text sunk into its face through ``origin``; x runs to the right.

    Raises ``ModelError`` when a text is too long for its patch.
    """
    right = np.array([1.0, 0.0, 0.0])
    up = np.cross(outward, right)
    for patch in patches:
        room = (patch.width_mm - 2 * margin_mm, patch.height_mm - 2 * margin_mm)
        lettering = fit_lettering((patch.text,), *room)
        if lettering is None:
            raise ModelError(
                f"'{patch.text}' does not fit on {patch.width_mm:.1f} x {patch.height_mm:.1f} mm"
            )
        x, y, z = (np.array(origin) + patch.at[0] * right + patch.at[1] * up).tolist()
        face = Face((x, y, z), (1.0, 0.0, 0.0), outward, *room, DEPTH_MM)
        body = sunk(body, face, lettering, DEPTH_MM)
    return body
