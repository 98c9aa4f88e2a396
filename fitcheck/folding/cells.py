"""The convex cells of panels, as they lie in many boxes: a convex panel is one by itself.

Which corners make a cell is settled once for a pattern (`splitting`); errors then move the corners,
and the cells with them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from fitcheck.folding.clip import Polygons, are_convex
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.pattern.sheet import Corner

Number = TypeVar("Number", np.float64, np.intp)


class Beside(NamedTuple):
    """Rows of cells that may have a share in the bend of a crease."""

    creases: Rows
    """(r,) in the order of the creases."""
    parents: Rows
    """(r,) the cell of the parent's panel; -1 for none."""
    children: Rows
    """(r,) the cell of the child's panel that goes on across the score; -1 for none."""


@dataclass(frozen=True, eq=False)
class Cells:
    """The convex cells of all panels, those of a panel behind each other."""

    panels: Rows
    """(q,) the panel that each is of."""
    points: Array
    """(b, q, n, 2) mm; those behind a cell's own count mean nothing."""
    counts: Rows
    """(q,) corners of each."""
    beside: Beside

    @property
    def whole(self) -> bool:
        """Whether each panel is one cell."""
        return len(self.panels) == 1 + int(self.panels[-1])

    @property
    def starts(self) -> Rows:
        """(p,) the first cell of each panel."""
        return np.flatnonzero(np.diff(self.panels, prepend=-1))

    def of(self, panels: Iterable[int]) -> Rows:
        """The cells of some panels."""
        return np.flatnonzero(np.isin(self.panels, list(panels)))

    def by_panel(self, values: NDArray[Number]) -> NDArray[Number]:
        """The greatest of values (b, q) among each panel's cells, (b, p)."""
        if self.whole:
            return values
        found: NDArray[Number] = np.maximum.reduceat(values, self.starts, axis=1)
        return found

    def take(self, boxes: Rows) -> Cells:
        """Those of some boxes."""
        return replace(self, points=self.points[boxes])


def whole_panels(points: Array, counts: Rows, parents: Rows, children: Rows) -> Cells:
    """Convex panels (b, p, n, 2), each a cell by itself."""
    panels = np.arange(len(counts))
    return Cells(panels, points, counts, Beside(np.arange(len(parents)), parents, children))


@dataclass(frozen=True, eq=False)
class Split:
    """Which corners make the cells of a pattern."""

    corners: tuple[Corner, ...]
    ends: Rows
    """(v, 2) the corners that each point of a cell lies between."""
    weights: Array
    """(v, 2) where it lies between them: so far along, and so far to the left, of their way."""
    places: Rows
    """(q, n) the points of each cell."""
    counts: Rows
    panels: Rows
    beside: Beside

    def cells(self, corners: Array) -> Cells:
        """The cells where the corners lie at (b, k, 2) mm."""
        start = corners[:, self.ends[:, 0]]
        x, y = np.moveaxis(corners[:, self.ends[:, 1]] - start, -1, 0)
        along, left = self.weights.T
        spots = start + np.stack([along * x - left * y, along * y + left * x], axis=-1)
        return Cells(self.panels, spots[:, self.places], self.counts, self.beside)


def turned(cells: Cells) -> Flags:
    """(b, q) which cells errors have turned inside out."""
    points, boxes = cells.points, len(cells.points)
    polygons = Polygons(points.reshape(-1, *points.shape[2:]), np.tile(cells.counts, boxes))
    found: Flags = ~are_convex(polygons).reshape(boxes, -1)
    return found
