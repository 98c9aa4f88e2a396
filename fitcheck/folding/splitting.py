"""Panels that are not convex are split into convex cells, once for the pattern as it is drawn.

By a constrained Delaunay triangulation (of the geometry library), its triangles joined where they
stay convex (Hertel and Mehlhorn 1983).
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Sequence

import numpy as np

from fitcheck.folding.borders import SAME_MM, Scores
from fitcheck.folding.cell_points import CellPoints
from fitcheck.folding.cells import Beside, Split
from fitcheck.pattern.pattern import CreaseLine, Panel, Pattern


@functools.lru_cache(maxsize=64)
def split_of(pattern: Pattern) -> Split | None:
    """How a pattern's panels are split; None where each of them is convex and without cut-outs.

    Raises ModelError where a cut-out lies as it must not.
    """
    if all(map(pattern.simple, pattern.panels)):
        return None
    points = CellPoints(pattern.sheet)
    cells: list[list[int]] = []
    panels: list[int] = []
    for k, panel in enumerate(pattern.panels):
        if pattern.simple(panel):
            found = [[points.corner(at) for at in panel.corners]]
        else:
            found = _cells_of(points, pattern, panel)
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


def _cells_of(points: CellPoints, pattern: Pattern, panel: Panel) -> list[list[int]]:
    """The cells of a panel: one beside each score where it is clear of cut-outs, then the rest."""
    import shapely

    boundary = pattern.boundary(panel)
    rings = [points.ring(ring) for ring in boundary.rings]
    outer, *holes = ([(points.spots[k].real, points.spots[k].imag) for k in r] for r in rings)
    paper = shapely.Polygon(outer, holes)
    scores = Scores.of(pattern, panel, paper)
    cells = []
    for piece in scores.parted(paper):
        ring = points.found(shapely.get_coordinates(piece.exterior)[:-1], rings, scores)
        if not piece.interiors and all(
            points.stays_convex(ring[k - 1], ring[k], ring[(k + 1) % len(ring)])
            for k in range(len(ring))
        ):
            cells.append(ring)
            continue
        triangles = [
            points.found(shapely.get_coordinates(one)[:3], rings, scores)
            for one in shapely.get_parts(shapely.constrained_delaunay_triangles(piece))
        ]
        cells += _joined(
            points, [own if points.turn(*own) > 0.0 else own[::-1] for own in triangles]
        )
    return cells


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


def _beside(
    pattern: Pattern, points: CellPoints, cells: list[list[int]], panels: list[int]
) -> Beside:
    """Which cells may bend with which crease.

    Where one cell of either side runs along the score they bend as one.
    """
    places = {panel.name: k for k, panel in enumerate(pattern.panels)}
    rows: list[tuple[int, int, int]] = []
    for k, line in enumerate(pattern.lines):
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


def _runs_along(pattern: Pattern, points: CellPoints, cell: list[int], line: CreaseLine) -> bool:
    """Whether a cell has a side on a score."""
    start, stop = (complex(*spot) for spot in pattern.score(line, {}).tolist())
    along = (stop - start) / abs(stop - start)

    def on(k: int) -> bool:
        return abs((along.conjugate() * (points.spots[k] - start)).imag) < SAME_MM

    return any(on(u) and on(v) for u, v in _sides(cell))
