"""What is printed on a paper: simple shapes on the flat sheet, in a paler or darker tint."""

from __future__ import annotations

import numpy as np
import shapely

from fitcheck.folding.pose import Array
from fitcheck.outputs.report.views.light import relative_luminance
from fitcheck.outputs.report.views.solids import Face, Tint
from fitcheck.workspace.colours import Print

PITCH_MM = 9.0
"""From one dot, stripe or square to the next, at true size on the sheet."""
INKED = 0.4
"""How much of the pitch a stripe takes, and a dot across."""
ROUND = 3
PALE = 0.5
"""On a paper lighter than that (relative luminance) the print is darker than it, else paler."""
DARKER, PALER = ("#10181c", 0.13), ("#ffffff", 0.34)
"""Ink and how much of it covers the paper."""


def print_ink(tint: Tint) -> tuple[str, float]:
    """Ink and opacity of a print on a paper of this colour."""
    return DARKER if relative_luminance(tint) > PALE else PALER


def print_shapes(printed: Print, sheet: Array) -> list[shapely.Geometry]:
    """What is printed on a panel whose corners lie at (n, 2) mm on the sheet, layer by layer.

    A check is two layers of stripes, darker where they cross.
    """
    outline = shapely.convex_hull(shapely.multipoints(sheet))
    low = np.floor(sheet.min(axis=0) / PITCH_MM) * PITCH_MM
    wide, (right, top) = INKED * PITCH_MM, sheet.max(axis=0)
    x, y = np.arange(low[0], right, PITCH_MM), np.arange(low[1], top, PITCH_MM)
    if printed is Print.DOTS:
        across, up = (grid.ravel() + 0.5 * PITCH_MM for grid in np.meshgrid(x, y))
        dots = shapely.buffer(shapely.points(across, up), 0.5 * wide, quad_segs=ROUND)
        layers = [dots]
    else:
        layers = [shapely.box(x, low[1], x + wide, top)]
        if printed is Print.CHECK:
            layers.append(shapely.box(low[0], y, right, y + wide))
    return [shapely.intersection(shapely.multipolygons(layer), outline) for layer in layers]


def onto_picture(face: Face, corners: Array, shape: shapely.Geometry) -> shapely.Geometry:
    """A shape on a face's sheet as it is seen where its corners are seen at (n, 2)."""
    assert face.sheet is not None
    known = np.column_stack([face.sheet, np.ones(len(face.sheet))])
    carried = np.linalg.lstsq(known, corners, rcond=None)[0]
    moved: shapely.Geometry = shapely.transform(shape, lambda p: p @ carried[:2] + carried[2])
    return moved
