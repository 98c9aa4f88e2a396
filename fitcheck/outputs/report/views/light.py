"""Soft light: how light a face looks by the way it faces, the same in every view.

A sky above gives part of it (hemisphere light) and one lamp to the left of the usual view the rest,
wrapped round so that no two walls that meet are alike and none is black (half-Lambert shading).
"""

from __future__ import annotations

import numpy as np

from fitcheck.folding.pose import Array

LIGHT: Array = np.array([-0.65, -0.02, 0.80]) / np.linalg.norm([-0.65, -0.02, 0.80])
"""Towards the lamp."""
DARK = 0.15
PALER = 0.55
"""How far edges on dark paper are on the way from its colour to white."""
AROUND, SKY, LAMP = 0.649, 0.090, 0.290
"""What a face gets from all round, from above and from the lamp; a level top gets about 1."""


def lit(normal: Array) -> float:
    """The share of its tone that a face with this outward unit normal shows.

    >>> round(lit(np.array([0.0, 0.0, 1.0])), 2)
    1.0
    """
    above = 0.5 + 0.5 * float(normal[2])
    lamp = 0.5 + 0.5 * float(normal @ LIGHT)
    return AROUND + SKY * above + LAMP * lamp


def edge_ink(tint: tuple[float, float, float]) -> str | None:
    """The ink of edges on a paper too dark for black ones, `#rrggbb`; None where black is seen.

    Dark is a relative luminance (WCAG 2) below 0.15, on which black has less than 3 : 1.
    """
    if relative_luminance(tint) >= DARK:
        return None
    return "#" + "".join(f"{round(255 * (own + PALER * (1.0 - own))):02x}" for own in tint)


def relative_luminance(tint: tuple[float, float, float]) -> float:
    """How light a colour is as WCAG 2 defines it from sRGB, 0 to 1.

    >>> relative_luminance((1.0, 1.0, 1.0))
    1.0
    """
    red, green, blue = (
        own / 12.92 if own <= 0.04045 else ((own + 0.055) / 1.055) ** 2.4 for own in tint
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
