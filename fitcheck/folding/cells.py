"""Panels that are not convex are split into convex cells, alike in all boxes of a pattern.

Which corners make a cell is settled once, on the pattern as drawn: a constrained Delaunay
triangulation (of the geometry library), its triangles joined where they stay convex (Hertel and
Mehlhorn 1983). Errors then move the corners, and the cells with them.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from fitcheck.arcs import facet_weights
from fitcheck.folding.clip import Polygons, are_convex
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.pattern.cutouts import Boundary
from fitcheck.pattern.pattern import CreaseLine, Pattern
from fitcheck.pattern.sheet import Corner, Sheet

STRAIGHT = 0.02
"""Where two cells are joined their outline turns by as much (rad), so that no error of a hand makes
it turn the other way: 0.2 mm in 10."""
SAME_MM = 1e-6
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


@functools.lru_cache(maxsize=64)
def split_of(pattern: Pattern) -> Split | None:
    """How a pattern's panels are split; None where each of them is convex and without cut-outs.

    Raises ModelError where a cut-out lies as it must not.
    """
    if all(map(pattern.simple, pattern.panels)):
        return None
    points = _Points(pattern.sheet)
    cells: list[list[int]] = []
    panels: list[int] = []
    for k, panel in enumerate(pattern.panels):
        if pattern.simple(panel):
            found = [[points.corner(at) for at in panel.corners]]
        else:
            found = _joined(points, _triangles(points, pattern.boundary(panel)))
        cells += found
        panels += [k] * len(found)
    counts = np.array([len(own) for own in cells], dtype=np.intp)
    places = np.zeros((len(cells), int(counts.max())), dtype=np.intp)
    for row, own in zip(places, cells, strict=True):
        row[: len(own)] = own
    return Split(
        tuple(points.corners),
        np.array(points.ends, dtype=np.intp),
        np.array([[w.real, w.imag] for w in points.weights]),
        places,
        counts,
        np.array(panels, dtype=np.intp),
        _beside(pattern, points, cells, panels),
    )


class _Points:
    """The corners of boundaries and the facets between them, each once."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.corners: dict[Corner, int] = {}
        self.ends: list[tuple[int, int]] = []
        self.weights: list[complex] = []
        self.spots: list[complex] = []
        """As drawn."""
        self.arcs: list[set[object]] = []
        """The arcs that each lies on."""
        self._known: dict[Corner, int] = {}

    def corner(self, corner: Corner, *arcs: object) -> int:
        """The point that a corner is."""
        if corner not in self._known:
            place = self.corners.setdefault(corner, len(self.corners))
            self._known[corner] = self._add(place, place, 0j, self._spot(corner))
        self.arcs[self._known[corner]].update(arcs)
        return self._known[corner]

    def ring(self, ring: Sequence[tuple[Corner, Corner, float, str]]) -> list[int]:
        """The points round a ring."""
        found = []
        for stretch in ring:
            start, stop, bulge, _ = stretch
            own = (stretch,) if bulge else ()
            found.append(self.corner(start, *own))
            self.corner(stop, *own)
            a, b = self._spot(start), self._spot(stop)
            for w in facet_weights((a.real, a.imag), (b.real, b.imag), bulge):
                at = self._add(self.corners[start], self.corners[stop], w, a + w * (b - a))
                self.arcs[at].update(own)
                found.append(at)
        return found

    def _add(self, start: int, stop: int, weight: complex, spot: complex) -> int:
        self.ends.append((start, stop))
        self.weights.append(weight)
        self.spots.append(spot)
        self.arcs.append(set())
        return len(self.spots) - 1

    def _spot(self, corner: Corner) -> complex:
        return complex(*self.sheet.place(corner, {}))

    def turn(self, before: int, at: int, after: int) -> float:
        """The sine of the angle by which a way turns to the left at a point."""
        come, go = self.spots[at] - self.spots[before], self.spots[after] - self.spots[at]
        return (come.conjugate() * go).imag / abs(come) / abs(go)

    def stays_convex(self, before: int, at: int, after: int) -> bool:
        """Whether a corner of a cell stays one, wherever errors move what it hangs on."""
        turn = self.turn(before, at, after)
        rigid = bool(self.arcs[before] & self.arcs[at] & self.arcs[after])
        return turn > (0.0 if rigid else STRAIGHT)


def _triangles(points: _Points, boundary: Boundary) -> list[list[int]]:
    """Triangles between the corners of a boundary, anticlockwise."""
    import shapely

    rings = [points.ring(ring) for ring in boundary.rings]
    places = {points.spots[k]: k for ring in rings for k in ring}
    outer, *holes = ([(points.spots[k].real, points.spots[k].imag) for k in r] for r in rings)
    found = shapely.constrained_delaunay_triangles(shapely.Polygon(outer, holes))
    triangles = [
        [places[complex(x, y)] for x, y in shapely.get_coordinates(one)[:3].tolist()]
        for one in shapely.get_parts(found)
    ]
    return [own if points.turn(*own) > 0.0 else own[::-1] for own in triangles]


def _joined(points: _Points, cells: list[list[int]]) -> list[list[int]]:
    """Convex cells joined across their common sides, the shortest first, while they stay convex."""
    owner: dict[tuple[int, int], list[int]] = {}
    for cell in cells:
        owner |= dict.fromkeys(_sides(cell), cell)
    spots = points.spots
    shared = [side for side in owner if side[0] < side[1] and side[::-1] in owner]
    for side in sorted(shared, key=lambda s: (round(abs(spots[s[0]] - spots[s[1]]), 6), s)):
        u, v = side
        one, other = owner[u, v], owner[v, u]
        # from v round the one to u, and from u round the other to v
        first, second = _from(one, v), _from(other, u)
        if not (
            points.stays_convex(first[-2], u, second[1])
            and points.stays_convex(second[-2], v, first[1])
        ):
            continue
        merged = first + second[1:-1]
        owner |= dict.fromkeys(_sides(merged), merged)
        del owner[u, v], owner[v, u]
    unique = {id(cell): cell for cell in owner.values()}
    return sorted(unique.values(), key=sorted)


def _sides(cell: Sequence[int]) -> list[tuple[int, int]]:
    return list(itertools.pairwise([*cell, cell[0]]))


def _from(cell: list[int], corner: int) -> list[int]:
    at = cell.index(corner)
    return cell[at:] + cell[:at]


def _beside(pattern: Pattern, points: _Points, cells: list[list[int]], panels: list[int]) -> Beside:
    """Which cells may bend with which crease.

    Where one cell of either side runs along the score they bend as one.
    """
    places = {panel.name: k for k, panel in enumerate(pattern.panels)}
    rows: list[tuple[int, int, int]] = []
    for k, line in enumerate(pattern.creases):
        sides = [
            [n for n, panel in enumerate(panels) if panel == places[name]]
            for name in (line.parent, line.child)
        ]
        along = [
            [n for n in side if _runs_along(pattern, points, cells[n], line)] for side in sides
        ]
        if all(len(own) == 1 for own in along):
            ((parent,), (child,)) = along
            rows.append((k, parent, child))
            sides = [[n for n in side if n not in (parent, child)] for side in sides]
        rows += [(k, n, -1) for n in sides[0]] + [(k, -1, n) for n in sides[1]]
    table = np.array(rows, dtype=np.intp).reshape(-1, 3)
    return Beside(table[:, 0], table[:, 1], table[:, 2])


def _runs_along(pattern: Pattern, points: _Points, cell: list[int], line: CreaseLine) -> bool:
    """Whether a cell has a side on a score."""
    start, stop = (complex(*spot) for spot in pattern.score(line, {}).tolist())
    along = (stop - start) / abs(stop - start)

    def on(k: int) -> bool:
        return abs((along.conjugate() * (points.spots[k] - start)).imag) < SAME_MM

    return any(on(u) and on(v) for u, v in _sides(cell))


def turned(cells: Cells) -> Flags:
    """(b, q) which cells errors have turned inside out."""
    points, boxes = cells.points, len(cells.points)
    polygons = Polygons(points.reshape(-1, *points.shape[2:]), np.tile(cells.counts, boxes))
    found: Flags = ~are_convex(polygons).reshape(boxes, -1)
    return found
