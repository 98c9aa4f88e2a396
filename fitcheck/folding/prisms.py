"""Plates and bends become prisms, and those convex pieces: one of a plate, many of a bend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.blanks import Blanks, Drawn
from fitcheck.folding.pieces import ConvexPiece, Name, Pieces
from fitcheck.folding.places import Places
from fitcheck.folding.pose import Array
from fitcheck.polygons import polygon_area

GRID_MM = 1e-7
"""Corners of cells nearer than this are one where the cells are joined."""
SIDE_DIGITS = 6


def prism(
    name: str, panels: frozenset[str], outline: Array, low: float, high: float
) -> ConvexPiece:
    """An upright prism over a convex counter-clockwise outline (n, 2), between two heights, mm."""
    one = np.zeros(1, dtype=np.intp)
    blank = Blanks(one, one, one, outline[None], np.array([[low, high]]), np.eye(4)[None])
    return pieces_of([blank], [(name, panels)]).of_box(0)[0]


def pieces_of(prisms: Sequence[Drawn], names: Sequence[Name]) -> Pieces:
    """All of some prisms, box by box and there by their orders."""
    boxes = np.concatenate([own.boxes for own in prisms])
    orders = np.concatenate([own.orders for own in prisms])
    kinds = np.concatenate([own.kinds for own in prisms])
    sorting = np.lexsort((orders, boxes))
    places = Places.all_of(prisms).take(sorting)
    return Pieces(boxes[sorting], kinds[sorting], names, places)


@dataclass(frozen=True, eq=False)
class Plate:
    """The flat rest of a panel between its bends."""

    name: str
    cells: tuple[Array, ...]
    """(n, 2) mm each: convex, counter-clockwise, in the panel's own place on the sheet. One, unless
    the panel is concave or has arcs or cut-outs."""
    pose: Array
    """(4, 4); local z = 0 is the outside face, z = thickness the inside face."""
    thickness_mm: float

    @property
    def outline(self) -> Array:
        """What bounds it outside, (n, 2) mm, counter-clockwise; of several pieces the largest."""
        return max(self.rings, key=polygon_area)

    @cached_property
    def rings(self) -> tuple[Array, ...]:
        """All that bounds it, (n, 2) mm each: counter-clockwise outside, clockwise round holes."""
        return self.cells if len(self.cells) == 1 else _rings(self.cells)

    @property
    def volume_mm3(self) -> float:
        """Exact volume, arcs as their facets."""
        return sum(polygon_area(cell) for cell in self.cells) * self.thickness_mm

    def pieces(self) -> tuple[ConvexPiece, ...]:
        """The plate as convex pieces, one for each cell."""
        panels = frozenset([self.name])
        flat = (prism(self.name, panels, cell, 0.0, self.thickness_mm) for cell in self.cells)
        return tuple(one.moved(self.pose) for one in flat)

    def corners(self) -> Array:
        """Its cells' corners in place, (2 n, 3) mm, those of the outside face first."""
        every = np.concatenate(self.cells)
        outside = every @ self.pose[:3, :2].T + self.pose[:3, 3]
        return np.concatenate([outside, outside + self.thickness_mm * self.pose[:3, 2]])

    def support(self, direction: Array) -> float:
        """The furthest reach along a unit direction (3,), mm."""
        reach = np.concatenate(self.cells) @ (direction @ self.pose[:3, :2])
        lift = max(0.0, self.thickness_mm * float(direction @ self.pose[:3, 2]))
        return float(reach.max()) + float(direction @ self.pose[:3, 3]) + lift

    def inner_sides(self) -> set[tuple[int, int]]:
        """The sides, as (cell, side), across which another cell of the plate goes on."""
        sides: dict[tuple[tuple[float, ...], ...], tuple[int, int]] = {}
        for k, cell in enumerate(self.cells):
            ends = [tuple((np.round(at, SIDE_DIGITS) + 0.0).tolist()) for at in cell]
            for n, (start, stop) in enumerate(zip(ends, ends[1:] + ends[:1], strict=True)):
                sides[start, stop] = k, n
        return {place for (start, stop), place in sides.items() if (stop, start) in sides}


def _rings(cells: Sequence[Array]) -> tuple[Array, ...]:
    """What bounds several cells together."""
    import shapely

    whole = shapely.union_all([shapely.Polygon(cell) for cell in cells], grid_size=GRID_MM)
    found = []
    for part in shapely.get_parts(whole):
        turned = shapely.geometry.polygon.orient(part)
        found += [shapely.get_coordinates(ring)[:-1] for ring in shapely.get_rings(turned)]
    return tuple(found)
