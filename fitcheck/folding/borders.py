"""The border of a panel beside its scores, kept whole where it is clear of cut-outs.

So a bend takes its share of one cell, as of a panel that is not split.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import Panel, Pattern
from fitcheck.pattern.sheet import Corner

if TYPE_CHECKING:
    import shapely

SAME_MM = 1e-6
FAR_MM = 1e5
BORDER_MM, LEAST_BORDER_MM = 2.0, 0.2
"""So broad a border beside a score is a cell by itself, where it is clear of everything else."""
BORDER_SHARE = 0.45


class Scores:
    """The scores at the edge of a panel, and how broad a border is kept whole beside them."""

    def __init__(self, ends: list[tuple[Corner, Corner]], lines: Array, border_mm: float) -> None:
        self.ends = ends
        self.lines = lines
        """(c, 3) unit directions into the panel, and how far along them the scores are."""
        self.border_mm = border_mm

    @classmethod
    def of(cls, pattern: Pattern, panel: Panel, paper: shapely.Polygon) -> Scores:
        """The scores of a panel, those on one line counted once.

        The border is 0 where it would be too narrow to be of use.
        """
        import shapely

        ends, lines = [], np.zeros((0, 3))
        corners = shapely.get_coordinates(paper)
        border = BORDER_MM
        for crease in pattern.lines:
            if panel.name not in (crease.parent, crease.child):
                continue
            start, stop = pattern.score(crease, {})
            along = (stop - start) / np.linalg.norm(stop - start)
            inward = np.array([-along[1], along[0]])
            off = (corners - start) @ inward
            inward *= 1.0 if off.max() > -off.min() else -1.0
            line = np.append(inward, start @ inward)
            if np.any(np.abs(lines - line).max(axis=1) < SAME_MM):
                continue
            ends.append((crease.start, crease.stop))
            lines = np.vstack([lines, line])
            # arcs and notches have corners there; a window's are nearer than its sides
            off = np.abs((corners - start) @ inward)
            border = min(border, BORDER_SHARE * float(off[off > SAME_MM].min()))
        return cls(ends, lines, border if border > LEAST_BORDER_MM else 0.0)

    def parted(self, paper: shapely.Polygon) -> list[shapely.Polygon]:
        """The border beside each score, mitred where two meet, and the rest."""
        import shapely

        if not self.border_mm:
            return [paper]
        limits = self.lines[:, 2] + self.border_mm
        rest = paper
        pieces = []
        for k, line in enumerate(self.lines):
            border = _half(paper, line[:2], limits[k])
            for other in np.delete(self.lines, k, axis=0):
                apart = line - other
                size = float(np.linalg.norm(apart[:2]))
                border = _half(border, apart[:2] / size, apart[2] / size)
            pieces.append(border)
            rest = _half(rest, -line[:2], -limits[k])
        parts = [part for piece in [*pieces, rest] for part in shapely.get_parts(piece)]
        return [part for part in parts if part.area > SAME_MM]


def _half(paper: shapely.Geometry, normal: Array, limit: float) -> shapely.Geometry:
    """What of it lies where normal . point <= limit."""
    import shapely

    along = FAR_MM * np.array([-normal[1], normal[0]])
    middle, out = limit * normal, -FAR_MM * normal
    return paper.intersection(
        shapely.Polygon(
            [middle - along, middle + along, middle + along + out, middle - along + out]
        )
    )
