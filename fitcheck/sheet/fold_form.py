"""A part as folding research has it: vertices, edges, faces, flat and folded without thickness."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from fitcheck.fit.assembly import Part
from fitcheck.pattern.boundary import faceted
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Pattern

Points = NDArray[np.float64]
Ring = list[tuple[float, float]]
SAME_MM = 1e-5


@dataclass(frozen=True, eq=False)
class FoldForm:
    """The crease pattern of a part, seen on its inside, and where its vertices go when folded.

    Where the sheet is cut the two sides have vertices of their own. A panel with windows is made of
    several faces, their common edges flat.
    """

    flat_mm: Points
    """(v, 2) on the sheet."""
    folded_mm: Points
    """(v, 3) as paper without thickness: at the angles that gluing gives, where panels close a loop
    at those of the pattern, as walls that thickness pushes out would tear it."""
    edges: tuple[tuple[int, int], ...]
    angles_rad: tuple[float | None, ...]
    """Of each edge: towards the inside face, nought where a face goes on flat; None at an edge of
    the paper."""
    slits: tuple[bool, ...]
    """Of each edge: whether it is a slit, with paper on either side."""
    faces: tuple[tuple[int, ...], ...]
    """Each anticlockwise."""
    panels: tuple[str, ...]
    """Of each face: the panel that it is, or is of."""


def fold_form(part: Part) -> FoldForm:
    """The fold form of a folded part."""
    pattern = part.pattern
    rings = _rings(pattern)
    _share_ends(pattern, rings)
    corners = [(number, point) for number, (_, ring) in enumerate(rings) for point in ring]
    owners = _joined(pattern, rings, corners)
    numbers = {root: k for k, root in enumerate(dict.fromkeys(owners.values()))}
    vertex = {corner: numbers[owners[corner]] for corner in corners}
    flat = np.zeros((len(numbers), 2))
    folded = np.zeros((len(numbers), 3))
    poses = _poses(part)
    for (number, point), k in reversed(vertex.items()):
        flat[k] = point
        folded[k] = (poses[rings[number][0]] @ (*point, 0.0, 1.0))[:3]
    faces = [
        tuple(vertex[number, point] for point in ring) for number, (_, ring) in enumerate(rings)
    ]
    angles = _angles(pattern, part, rings, vertex, faces)
    ends, folds, cut = list(angles), list(angles.values()), [False] * len(angles)
    for panel, *stretch in _slits(pattern):
        for x, y in stretch:
            flat = np.vstack([flat, (x, y)])
            folded = np.vstack([folded, (poses[panel] @ (x, y, 0.0, 1.0))[:3]])
        ends.append((len(flat) - 2, len(flat) - 1))
        folds.append(None)
        cut.append(True)
    names = tuple(name for name, _ in rings)
    return FoldForm(flat, folded, tuple(ends), tuple(folds), tuple(cut), tuple(faces), names)


def _rings(pattern: Pattern) -> list[tuple[str, Ring]]:
    """The outline of each face, anticlockwise, with its panel."""
    found = []
    for panel in pattern.panels:
        outer, *holes = pattern.boundary(panel).polygons(pattern.sheet)
        paper = shapely.Polygon(outer, holes)
        whole = shapely.constrained_delaunay_triangles(paper) if holes else paper
        for face in shapely.get_parts(whole):
            ring = shapely.geometry.polygon.orient(face).exterior.coords[:-1]
            found.append((panel.name, [_point(at) for at in ring]))
    return found


def _point(at: tuple[float, ...]) -> tuple[float, float]:
    return round(float(at[0]), 6) + 0.0, round(float(at[1]), 6) + 0.0


def _share_ends(pattern: Pattern, rings: list[tuple[str, Ring]]) -> None:
    """Give the faces on both sides of a crease the same corners along it."""
    for line in pattern.lines:
        start, stop = (_point(end) for end in pattern.score(line, {}).tolist())
        sides = [ring for name, ring in rings if name in (line.parent, line.child)]
        own = {start, stop}
        for ring in sides:
            own |= {point for point in ring if _between(point, start, stop)}
        for ring in sides:
            for point in own:
                _insert(ring, point)


def _between(point: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> bool:
    return abs(math.dist(a, point) + math.dist(point, b) - math.dist(a, b)) < SAME_MM


def _insert(ring: Ring, point: tuple[float, float]) -> None:
    """Put a point into the edge that it lies on, unless a corner is there."""
    if point in ring:
        return
    for k, corner in enumerate(ring):
        if _between(point, corner, ring[(k + 1) % len(ring)]):
            ring.insert(k + 1, point)
            return


Corner = tuple[int, tuple[float, float]]
"""The number of a face, and a corner of it."""


def _joined(
    pattern: Pattern, rings: list[tuple[str, Ring]], corners: list[Corner]
) -> dict[Corner, Corner]:
    """Corners that are one vertex, each by one of them: of one panel, or at a crease."""
    owner = {corner: corner for corner in corners}

    def root(corner: Corner) -> Corner:
        while owner[corner] != corner:
            corner = owner[corner]
        return corner

    def join(some: list[Corner]) -> None:
        for other in some[1:]:
            owner[root(other)] = root(some[0])

    by_panel: dict[tuple[str, tuple[float, float]], list[Corner]] = {}
    for corner in corners:
        by_panel.setdefault((rings[corner[0]][0], corner[1]), []).append(corner)
    for same in by_panel.values():
        join(same)
    for line in pattern.lines:
        start, stop = (_point(end) for end in pattern.score(line, {}).tolist())
        for (name, point), same in by_panel.items():
            across = by_panel.get((line.child, point), [])
            if name == line.parent and across and _between(point, start, stop):
                join([same[0], across[0]])
    return {corner: root(corner) for corner in corners}


def _poses(part: Part) -> dict[str, Points]:
    """Where each panel goes, (4, 4): turned about its score with all that carries it."""
    pattern, angles = part.pattern, _fold_angles(part)
    poses = {pattern.panels[0].name: np.eye(4)}
    for line in pattern.creases:
        poses[line.child] = poses[line.parent] @ _turn(pattern, line, angles[line.child])
    return poses


def _fold_angles(part: Part) -> Mapping[str, float]:
    """The angle of each crease, by the panel that it carries."""
    if part.pattern.webs:
        return {line.child: line.angle_rad for line in part.pattern.creases}
    return part.folded.angles


def _turn(pattern: Pattern, line: CreaseLine, angle: float) -> Points:
    """A turn about a score that lifts the child for an angle towards the inside."""
    start, stop = pattern.score(line, {})
    along = (stop - start) / np.linalg.norm(stop - start)
    middle = pattern.outline(pattern.panel(line.child), {}).mean(axis=0) - start
    side = 1.0 if along[0] * middle[1] - along[1] * middle[0] > 0.0 else -1.0
    x, y = side * along
    c, s = math.cos(angle), math.sin(angle)
    pose = np.eye(4)
    pose[:3, :3] = [
        [c + x * x * (1 - c), x * y * (1 - c), y * s],
        [x * y * (1 - c), c + y * y * (1 - c), -x * s],
        [-y * s, x * s, c],
    ]
    at = np.array([*start, 0.0])
    pose[:3, 3] = at - pose[:3, :3] @ at
    return pose


def _angles(
    pattern: Pattern,
    part: Part,
    rings: list[tuple[str, Ring]],
    vertex: dict[Corner, int],
    faces: list[tuple[int, ...]],
) -> dict[tuple[int, int], float | None]:
    """Every edge once, by its two vertices, with its fold."""
    folds: dict[tuple[int, int], float] = {}
    own_angles = _fold_angles(part)
    for line in pattern.lines:
        start, stop = (_point(end) for end in pattern.score(line, {}).tolist())
        own = sorted(
            {
                (math.dist(start, point), vertex[number, point])
                for number, (name, ring) in enumerate(rings)
                for point in ring
                if name == line.parent and _between(point, start, stop)
            }
        )
        angle = own_angles[line.child] if line in pattern.creases else line.angle_rad
        for (_, a), (_, b) in itertools.pairwise(own):
            folds[min(a, b), max(a, b)] = angle
    used: dict[tuple[int, int], int] = {}
    for face in faces:
        for a, b in zip(face, (*face[1:], face[0]), strict=True):
            used[min(a, b), max(a, b)] = used.get((min(a, b), max(a, b)), 0) + 1
    return {edge: folds.get(edge, 0.0 if count > 1 else None) for edge, count in used.items()}


def _slits(pattern: Pattern) -> Iterator[tuple[str, tuple[float, float], tuple[float, float]]]:
    """The stretches of all slits, with their panels."""
    for panel in pattern.panels:
        for chain in pattern.boundary(panel).slits:
            points = [_point(at) for at in faceted(pattern.sheet, chain)]
            for a, b in itertools.pairwise(points):
                yield panel.name, a, b
