"""The convex cells of panels, as they lie in many boxes: a convex panel is one by itself.

Which corners make a cell is settled once for a pattern (`splitting`); errors then move the corners,
and the cells with them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from fitcheck.folding.clip import Polygons, are_convex
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.pattern.sheet import Corner

Number = TypeVar("Number", np.float64, np.intp)


@dataclass(frozen=True, eq=False)
class Bent:
    """What the bends of creases take their shares of."""

    panels: Rows
    """(s,) the panel that each polygon is of."""
    points: Array
    """(b, s, n, 2) mm, convex; those behind a polygon's own count mean nothing."""
    counts: Rows
    """(s,) corners of each."""
    creases: Rows
    """(r,) in the order of the creases."""
    parents: Rows
    """(r,) the polygon of the parent's panel that may bend there; -1 for none."""
    children: Rows
    """(r,) the polygon of the child's panel that goes on across the score; -1 for none."""
    between_mm: Array
    """(r, 2) only what lies so far from the score counts, from and to; else it has other rows."""


@dataclass(frozen=True, eq=False)
class Cells:
    """The convex cells of all panels, those of a panel behind each other."""

    panels: Rows
    """(q,) the panel that each is of."""
    points: Array
    """(b, q, n, 2) mm; those behind a cell's own count mean nothing."""
    counts: Rows
    """(q,) corners of each."""
    bent: Bent
    layers: Flags | None = None
    """(q,) which are another sheet's that is glued on their panels' inside; None without any."""

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

    def without(self, rows: Rows) -> Cells:
        """The same cells but for some, of each panel at least one left; all bends as before."""
        kept = np.setdiff1d(np.arange(len(self.panels)), rows)
        return replace(
            self,
            panels=self.panels[kept],
            points=self.points[:, kept],
            counts=self.counts[kept],
            layers=None if self.layers is None else self.layers[kept],
        )

    def with_layers(self, panels: Rows, points: Array, counts: Rows) -> Cells:
        """The same cells, and those (b, k, n, 2) mm of layers glued on some panels (k,)."""
        order = np.argsort(np.concatenate([self.panels, panels]), kind="stable")
        most = max(self.points.shape[2], points.shape[2])
        every = [
            np.pad(own, ((0, 0), (0, 0), (0, most - own.shape[2]), (0, 0)))
            for own in (self.points, points)
        ]
        return replace(
            self,
            panels=np.concatenate([self.panels, panels])[order],
            points=np.concatenate(every, axis=1)[:, order],
            counts=np.concatenate([self.counts, counts])[order],
            layers=(np.arange(len(order)) >= len(self.panels))[order],
        )

    def by_panel(self, values: NDArray[Number]) -> NDArray[Number]:
        """The greatest of values (b, q) among each panel's cells, (b, p)."""
        if self.whole:
            return values
        found: NDArray[Number] = np.maximum.reduceat(values, self.starts, axis=1)
        return found

    def placed(self, points: Array, bent: Array) -> Cells:
        """The same cells with their corners elsewhere, and those of what bends."""
        return replace(self, points=points, bent=replace(self.bent, points=bent))


def whole_panels(points: Array, counts: Rows, parents: Rows, children: Rows) -> Cells:
    """Convex panels (b, p, n, 2), each a cell by itself."""
    panels, creases = np.arange(len(counts)), np.arange(len(parents))
    everywhere = np.tile([0.0, np.inf], (len(parents), 1))
    bent = Bent(panels, points, counts, creases, parents, children, everywhere)
    return Cells(panels, points, counts, bent)


@dataclass(frozen=True, eq=False)
class Split:
    """Which corners make the cells of a pattern, and the borders beside its scores."""

    corners: tuple[Corner, ...]
    ends: Rows
    """(v, 2) the corners that each point of a cell lies between."""
    weights: Array
    """(v, 2) where it lies between them: so far along, and so far to the left, of their way."""
    places: Rows
    """(s, n) the points of each cell, and then of each border."""
    counts: Rows
    """(s,)"""
    panels: Rows
    """(s,)"""
    cells: int
    """How many of them are cells."""
    rows: Rows
    """(r, 3) the crease, the parent's and the child's polygon of each row of what bends."""
    between_mm: Array
    """(r, 2)"""

    def placed(self, corners: Array) -> Cells:
        """The cells where the corners lie at (b, k, 2) mm."""
        start = corners[:, self.ends[:, 0]]
        x, y = np.moveaxis(corners[:, self.ends[:, 1]] - start, -1, 0)
        along, left = self.weights.T
        spots = start + np.stack([along * x - left * y, along * y + left * x], axis=-1)
        points, own = spots[:, self.places], slice(self.cells)
        creases, parents, children = self.rows.T
        bent = Bent(self.panels, points, self.counts, creases, parents, children, self.between_mm)
        return Cells(self.panels[own], points[:, own], self.counts[own], bent)


def turned(cells: Cells) -> Flags:
    """(b, q) which cells errors have turned inside out."""
    points, boxes = cells.points, len(cells.points)
    polygons = Polygons(points.reshape(-1, *points.shape[2:]), np.tile(cells.counts, boxes))
    found: Flags = ~are_convex(polygons).reshape(boxes, -1)
    return found
