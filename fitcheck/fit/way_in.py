"""The way into a base: straight down past whatever stands in it, and the room that it leaves."""

from __future__ import annotations

import numpy as np

from fitcheck.fit.slide import Slide, slide
from fitcheck.folding.fold import FoldedPart
from fitcheck.folding.pieces import ConvexPiece, prism

UP = np.array([0.0, 0.0, 1.0])
CLEAR_MM = 1.0
PROBE_GAP_MM = 0.5
PROBE_HEIGHT_MM = 0.5


def way_in(base: FoldedPart, piece: ConvexPiece) -> Slide:
    """Lift a piece straight out of a base: the way in, taken backwards."""
    lift = base.height_mm + float(piece.high[2] - piece.low[2]) + CLEAR_MM
    return slide(base.pieces, [piece], -UP * lift, np.zeros(3))


def clear_sides(base: FoldedPart, inside_mm: tuple[float, float]) -> tuple[float, float]:
    """Width and length that are clear for a square-edged body on the floor, mm.

    Found by sliding in a probe that is a little smaller than the inside, so that whatever stands
    in the way counts: tabs, round creases, leaning walls.
    """
    size = [max(side - PROBE_GAP_MM, 0.5 * side) for side in inside_mm]
    outline = 0.5 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size
    floor = base.caliper_mm
    probe = prism("probe", frozenset(), outline, floor, floor + PROBE_HEIGHT_MM)
    found = way_in(base, probe)
    return size[0] + found.width.play_mm, size[1] + found.length.play_mm
