"""A shaded parallel view of solids as an SVG drawing."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.cutting import hull
from fitcheck.outputs.report.places import Place
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views.ordering import far_to_near
from fitcheck.outputs.report.views.solids import Face, Solid

TURN, TIP = -0.55, 0.52
LIGHT = np.array([-0.35, -0.55, 0.85]) / np.linalg.norm([-0.35, -0.55, 0.85])
WIDTH = 180.0
TALLEST = 165.0
MARGIN = 8.0
DIGITS = 2
"""A hundredth of a millimetre on paper is finer than any line."""


@dataclass(frozen=True, eq=False)
class Camera:
    """A parallel projection."""

    right: Array
    up: Array
    eye: Array

    def flat(self, points: Array) -> Array:
        """Points (n, 3) in the picture, (n, 2), y upwards."""
        seen: Array = np.column_stack([points @ self.right, points @ self.up])
        return seen


def camera(turn: float = TURN, tip: float = TIP) -> Camera:
    """Turned about the upright axis and tipped by angles in radians."""
    s, c, p, q = math.sin(turn), math.cos(turn), math.sin(tip), math.cos(tip)
    return Camera(np.array([c, s, 0.0]), np.array([-s * p, c * p, q]), np.array([s * q, -c * q, p]))


def view(
    name: str, title: str, words: str, solids: Sequence[Solid], places: Sequence[Place] = ()
) -> Drawing:
    """The solids as seen from a corner above, 180 mm wide at the most."""
    seen = camera()
    every = seen.flat(np.vstack([solid.vertices for solid in solids]))
    low, high = every.min(axis=0), every.max(axis=0)
    size = high - low
    scale = min((WIDTH - 2 * MARGIN) / size[0], (TALLEST - 2 * MARGIN) / size[1])
    shift = np.array([0.5 * (WIDTH - scale * size[0]), MARGIN])

    def paper(points: Array) -> Array:
        flat = (seen.flat(points) - low) * scale
        placed = np.column_stack([flat[:, 0] + shift[0], scale * size[1] - flat[:, 1] + shift[1]])
        return np.round(placed, DIGITS)

    marks: list[str] = []
    for index in far_to_near(solids, seen.eye, seen.right, seen.up):
        marks += _solid_marks(solids[index], seen, paper)
    for place in places:
        marks += _place_marks(place, paper(np.array([place.at_mm]))[0])
    height = scale * float(size[1]) + 2 * MARGIN
    return Drawing(name, title, words, WIDTH, height, tuple(marks))


def _solid_marks(solid: Solid, seen: Camera, paper: Callable[[Array], Array]) -> list[str]:
    marks = []
    for face in sorted(solid.faces, key=lambda f: float((f.corners @ seen.eye).mean())):
        normal = _normal(face)
        if normal @ seen.eye <= 1e-9:
            continue
        shape = paper(face.corners)
        shade = face.tone * (0.80 + 0.20 * float(normal @ LIGHT))
        grey = "#" + f"{round(255 * min(shade, 1.0)):02x}" * 3
        marks.append(svg.outline("", shape, fill=grey, stroke=grey, stroke_width="0.12"))
        lines = [
            svg.line("edge", a, b)
            for a, b, edged in zip(shape, np.roll(shape, -1, axis=0), face.edged, strict=True)
            if edged
        ]
        marks += lines
    if solid.smooth:
        marks.append(svg.outline("edge", hull(paper(solid.vertices))))
    return marks


def _normal(face: Face) -> Array:
    a, b, c = face.corners[:3]
    normal = np.cross(b - a, c - a)
    size = float(np.linalg.norm(normal))
    if size < 1e-12 and len(face.corners) > 3:
        normal = np.cross(c - a, face.corners[3] - a)
        size = float(np.linalg.norm(normal))
    unit: Array = normal / max(size, 1e-12)
    return unit


def _place_marks(place: Place, at: Array) -> list[str]:
    """A ring at the place and its millimetres on a plain ground."""
    x, y = float(at[0]), float(at[1])
    leftward = x > 0.6 * WIDTH
    wide = 2.1 * len(place.label) + 4.0
    left = x - 8.0 - wide if leftward else x + 8.0
    side = -1.0 if leftward else 1.0
    return [
        svg.tag("circle", "mark", cx=x, cy=y, r=2.2),
        svg.line("mark", (x + 2.2 * side, y), (x + 8.0 * side, y)),
        svg.rect("label", left, y - 3.4, wide, 6.8),
        svg.text(place.label, left + 0.5 * wide, y + 1.4, "mark-text middle"),
    ]
