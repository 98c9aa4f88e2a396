"""Arcs between two corners by their bulge, the tangent of a quarter of the angle they turn.

That is how the DXF reference describes the arc segments of a polyline: 0 is a straight line, 1 a
half round, and an arc keeps its angle wherever errors move its two ends.
"""

from __future__ import annotations

import cmath
import itertools
import math
from dataclasses import dataclass, replace
from typing import TypeAlias

Point: TypeAlias = tuple[float, float]
"""(x, y) in mm."""

CHORD_ERROR_MM = 0.005
"""How far the straight facets of an arc may lie off it. They lie on the side away from the paper,
so that a part never goes where its true edge would not: round a tab's rounded corner they touch
the arc from outside (circumscribed), in a thumb notch their ends lie on it (inscribed)."""
NEAR_RAD = 1e-6


@dataclass(frozen=True)
class Arc:
    """A true arc."""

    centre_mm: Point
    radius_mm: float
    start_rad: float
    """Direction from the centre to its start."""
    sweep_rad: float
    """How far it turns, positive anticlockwise."""

    @property
    def anticlockwise(self) -> bool:
        """Which way it turns."""
        return self.sweep_rad > 0.0

    def moved(self, dx: float, dy: float) -> Arc:
        """The same arc elsewhere."""
        return replace(self, centre_mm=(self.centre_mm[0] + dx, self.centre_mm[1] + dy))

    def between(self, first: float, last: float) -> Arc:
        """Its stretch between two shares."""
        start = self.start_rad + first * self.sweep_rad
        return replace(self, start_rad=start, sweep_rad=(last - first) * self.sweep_rad)

    def chords(self, most_off_mm: float) -> tuple[Point, ...]:
        """Points on it from its start to its stop; no line between two is further off than that."""
        step = 2.0 * math.acos(max(-1.0, 1.0 - most_off_mm / self.radius_mm))
        count = max(2, math.ceil(abs(self.sweep_rad) / step))
        return tuple(self.at(k / count) for k in range(count + 1))

    def crossings(self, axis: int, at_mm: float) -> list[float]:
        """The shares at which its x (axis 0) or its y (axis 1) is so much."""
        off = (at_mm - self.centre_mm[axis]) / self.radius_mm
        if abs(off) >= 1.0:
            return []
        half = math.acos(off)
        middle = 0.0 if axis == 0 else math.pi / 2
        turns = [
            ((angle - self.start_rad) * (1.0 if self.anticlockwise else -1.0)) % math.tau
            for angle in (middle - half, middle + half)
        ]
        return sorted(turn / abs(self.sweep_rad) for turn in turns if turn < abs(self.sweep_rad))

    def at(self, share: float) -> Point:
        """The point so far along it, 0 at its start and 1 at its stop."""
        angle = self.start_rad + share * self.sweep_rad
        x, y = self.centre_mm
        return x + self.radius_mm * math.cos(angle), y + self.radius_mm * math.sin(angle)


def arc_of(start: Point, stop: Point, bulge: float) -> Arc:
    """The arc from point to point that turns anticlockwise where its bulge is positive.

    >>> arc_of((0.0, 0.0), (10.0, 0.0), 1.0).centre_mm, arc_of((0.0, 0.0), (10.0, 0.0), 1.0).at(0.5)
    ((5.0, 0.0), (5.0, -5.0))
    """
    a, chord = complex(*start), complex(*stop) - complex(*start)
    own = _centre(bulge)
    centre, arm = a + own * chord, -own * chord
    return Arc((centre.real, centre.imag), abs(arm), cmath.phase(arm), sweep_of(bulge))


def sweep_of(bulge: float) -> float:
    """How far an arc turns, rad."""
    return 4.0 * math.atan(bulge)


def segment_area(start: Point, stop: Point, bulge: float) -> float:
    """Area between an arc and its chord, mm2, positive where it turns anticlockwise.

    It is r2 (sweep - sin sweep) / 2, as in the handbooks' tables of circular segments.
    """
    if not bulge:
        return 0.0
    sweep = sweep_of(bulge)
    return 0.5 * arc_of(start, stop, bulge).radius_mm ** 2 * (sweep - math.sin(sweep))


def facet_weights(start: Point, stop: Point, bulge: float) -> tuple[complex, ...]:
    """The corners that facets put between an arc's two ends, the paper at its left.

    A weight w stands for start + w (stop - start), taken as complex numbers, so that the corners go
    with the ends. No facet is further off than CHORD_ERROR_MM. Facets touch the arc, or meet on it,
    wherever it faces along the sheet's width or length: its reach there is exact.
    """
    if not bulge:
        return ()
    arc, centre, sweep = arc_of(start, stop, bulge), _centre(bulge), sweep_of(bulge)
    marks = _touches(arc)
    if bulge < 0.0:
        return tuple(centre - centre * cmath.exp(1j * sweep * at) for at in marks[1:-1])
    halves = [0.5 * (b - a) for a, b in itertools.pairwise(marks)]
    return tuple(
        centre - centre * cmath.exp(1j * sweep * (a + half)) / math.cos(sweep * half)
        for a, half in zip(marks, halves, strict=False)
    )


def _centre(bulge: float) -> complex:
    """The centre of an arc from 0 to 1."""
    return 0.5 + 0.25j * (1.0 / bulge - bulge)


def _touches(arc: Arc) -> list[float]:
    """Shares of an arc at which its facets touch it or meet on it, from 0 to 1."""
    first, last = sorted((arc.start_rad, arc.start_rad + arc.sweep_rad))
    quarter = math.pi / 2
    facing = [
        quarter * k
        for k in range(math.ceil(first / quarter), math.floor(last / quarter) + 1)
        if first + NEAR_RAD < quarter * k < last - NEAR_RAD
    ]
    knots = sorted([0.0, 1.0, *((angle - arc.start_rad) / arc.sweep_rad for angle in facing)])
    widest = 2.0 * math.acos(arc.radius_mm / (arc.radius_mm + CHORD_ERROR_MM)) / abs(arc.sweep_rad)
    marks = [0.0]
    for a, b in itertools.pairwise(knots):
        count = max(1, math.ceil((b - a) / widest))
        marks += [a + (b - a) * (k + 1) / count for k in range(count)]
    return marks
