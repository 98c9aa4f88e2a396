"""Corners of a panel are rounded off by an arc that goes smoothly on from edge to edge."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from dataclasses import replace

from fitcheck.pattern.pattern import Panel
from fitcheck.pattern.sheet import Corner, Sheet


def rounded(sheet: Sheet, panel: Panel, radii_mm: Mapping[int, float]) -> Panel:
    """The panel with some corners, by their places in it, rounded to a radius each.

    Where two edges turn by an angle, the arc starts and stops radius x tan(angle / 2) from the
    corner, and it keeps to the corner's own rules and knives. What leaves an edge no length is
    refused when the panel is laid out.
    """
    count = len(panel.corners)
    spots = [complex(*sheet.place(corner, {})) for corner in panel.corners]
    bulges = panel.bulges or (0.0,) * count
    corners: list[Corner] = []
    found: list[float] = []
    for k, corner in enumerate(panel.corners):
        if k not in radii_mm:
            corners.append(corner)
            found.append(bulges[k])
            continue
        come, go = spots[k] - spots[k - 1], spots[(k + 1) % count] - spots[k]
        turn = cmath.phase(go / come)
        back = radii_mm[k] * math.tan(0.5 * abs(turn))
        corners += [_off(corner, -back * come / abs(come)), _off(corner, back * go / abs(go))]
        found += [math.tan(0.25 * turn), bulges[k]]
    return replace(panel, corners=tuple(corners), bulges=tuple(found))


def _off(corner: Corner, by: complex) -> Corner:
    """A cut so far from a corner, from the same rules."""
    return replace(corner, dx=corner.dx + by.real, dy=corner.dy + by.imag)
