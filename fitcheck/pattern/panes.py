"""The window of a part's first panel, and the clear sheet that closes one of a lid."""

from __future__ import annotations

import numpy as np

from fitcheck.pattern.cutouts import CutoutKind
from fitcheck.pattern.pattern import Pattern

OVER_MM = 4.0
"""How far a clear sheet goes beyond its window on each side, to be glued there: common practice,
no source."""


def window_mm(pattern: Pattern) -> tuple[float, float] | None:
    """How wide and long the window of a part's first panel is, mm; None without one."""
    for cutout in pattern.panels[0].cutouts:
        if cutout.kind is CutoutKind.WINDOW:
            spots = np.array([pattern.sheet.place(corner, {}) for corner in cutout.corners])
            wide, long = np.ptp(spots, axis=0).tolist()
            return wide, long
    return None


def pane_mm(pattern: Pattern) -> tuple[float, float] | None:
    """The clear sheet that is glued behind that window, mm; None where none is."""
    if not any(cutout.paned for cutout in pattern.panels[0].cutouts):
        return None
    window = window_mm(pattern)
    return None if window is None else (window[0] + 2 * OVER_MM, window[1] + 2 * OVER_MM)
