"""Panels that are not convex are split into convex cells, once for the pattern as it is drawn.

By a constrained Delaunay triangulation (of the geometry library), its triangles joined where they
stay convex (Hertel and Mehlhorn 1983).
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.folding.borders import borders_of
from fitcheck.folding.cell_points import STEADY_MM, CellPoints
from fitcheck.folding.cells import Split
from fitcheck.folding.pose import Array, Rows
from fitcheck.pattern.pattern import Pattern

if TYPE_CHECKING:
    import shapely


@functools.lru_cache(maxsize=64)
def split_of(pattern: Pattern) -> Split | None:
    """How a pattern's panels are split; None where each of them is convex and without cut-outs.

    Raises ModelError where a cut-out lies as it must not.
    """
    if all(map(pattern.simple, pattern.panels)):
        return None
    import shapely

    points = CellPoints(pattern.sheet)
    cells: list[list[int]] = []
    borders: list[list[int]] = []
    panels: list[int] = []
    whose: list[int] = []
    broad: dict[tuple[int, int], tuple[int, float]] = {}
    """Of each crease and panel the border, and how broad it is."""
    for k, panel in enumerate(pattern.panels):
        if pattern.simple(panel):
            panels.append(k)
            cells.append([points.corner(at) for at in panel.corners])
            continue
        rings = [points.ring(ring) for ring in pattern.boundary(panel).rings]
        outer, *holes = ([(points.spots[n].real, points.spots[n].imag) for n in r] for r in rings)
        paper = shapely.Polygon(outer, holes)
        found = _joined(points, _triangles(points, rings, paper))
        cells += found
        panels += [k] * len(found)
        for crease, mm, spots in borders_of(pattern, panel, paper):
            broad[crease, k] = len(borders), mm
            borders.append(points.found(spots, rings))
            whose.append(k)
    rows, between = _rows(pattern, panels, broad)
    polygons = cells + borders
    counts = np.array([len(own) for own in polygons], dtype=np.intp)
    places = np.zeros((len(polygons), int(counts.max())), dtype=np.intp)
    for row, own in zip(places, polygons, strict=True):
        row[: len(own)] = own
    return Split(
        corners=tuple(points.corners),
        ends=np.array(points.ends, dtype=np.intp),
        weights=np.array([[w.real, w.imag] for w in points.weights]),
        places=places,
        counts=counts,
        panels=np.array(panels + whose, dtype=np.intp),
        cells=len(cells),
        rows=rows,
        between_mm=between,
    )


def _triangles(
    points: CellPoints, rings: list[list[int]], paper: shapely.Polygon
) -> list[list[int]]:
    """Triangles between the corners of a panel's paper, anticlockwise."""
    import shapely

    found = shapely.get_parts(shapely.constrained_delaunay_triangles(paper))
    return _steadied(
        points, [points.found(shapely.get_coordinates(one)[:3], rings) for one in found]
    )


def _steadied(points: CellPoints, triangles: list[list[int]]) -> list[list[int]]:
    """The same, but that two which errors of a hand could turn over meet along the other diagonal.

    Where that makes both steadier; each change does, so there is an end to them.
    """
    owner: dict[tuple[int, int], list[int]] = {}
    for triangle in triangles:
        owner |= dict.fromkeys(_sides(triangle), triangle)
    waiting = [side for side in owner if side[0] < side[1]]
    while waiting:
        u, v = waiting.pop()
        if (u, v) not in owner or (v, u) not in owner:
            continue
        one, other = owner[u, v], owner[v, u]
        w, z = _from(one, v)[1], _from(other, u)[1]
        worst = min(points.steady_mm(*one), points.steady_mm(*other))
        if worst >= STEADY_MM:
            continue
        turned = [u, z, w], [z, v, w]
        if min(points.steady_mm(*own) for own in turned) <= worst:
            continue
        del owner[u, v], owner[v, u]
        for own in turned:
            owner |= dict.fromkeys(_sides(own), own)
        waiting += [(w, u), (u, z), (z, v), (v, w)]
    unique = {id(triangle): triangle for triangle in owner.values()}
    return sorted(unique.values(), key=sorted)


def _rows(
    pattern: Pattern, panels: list[int], broad: dict[tuple[int, int], tuple[int, float]]
) -> tuple[Rows, Array]:
    """The rows of what bends: crease, parent's and child's polygon (r, 3), and from where to where.

    The borders of both sides, or panels that are whole, bend as one; what lies beyond a border
    has a share only in a bend that is broader than it.
    """
    places = {panel.name: k for k, panel in enumerate(pattern.panels)}
    rows: list[tuple[int, int, int]] = []
    between: list[tuple[float, float]] = []
    for k, line in enumerate(pattern.lines):
        sides = [places[line.parent], places[line.child]]
        cells = [[n for n, panel in enumerate(panels) if panel == side] for side in sides]
        border = [broad.get((k, side)) for side in sides]
        within = min((found[1] for found in border if found), default=np.inf)
        pair = [
            len(panels) + found[0] if found else own[0] if len(own) == 1 else -1
            for found, own in zip(border, cells, strict=True)
        ]
        if max(pair) >= 0:
            rows.append((k, pair[0], pair[1]))
            between.append((0.0, within))
        for side, own in enumerate(cells):
            start = 0.0 if pair[side] < 0 else within
            if start < np.inf:
                rows += [(k, n, -1) if side == 0 else (k, -1, n) for n in own]
                between += [(start, np.inf)] * len(own)
    return np.array(rows, dtype=np.intp).reshape(-1, 3), np.array(between).reshape(-1, 2)


def _joined(points: CellPoints, cells: list[list[int]]) -> list[list[int]]:
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
