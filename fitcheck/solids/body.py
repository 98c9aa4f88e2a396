"""A thing to print, from numbers alone: an upright prism or a ball, its rooms and what is sunk in.

One description serves the printer's mesh (``body_mesh``) and the exact solid for other modellers
(``body_solid``); neither is made from the other. A body stands on z = 0 about the z axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

LINEAR_MM = 0.005
"""Greatest distance of a stroke from the round it stands for."""
ANGULAR_RAD = 0.05
"""Greatest turn of a round over one stroke; this one decides on small bodies."""


@dataclass(frozen=True)
class Polygon:
    """A closed outline in plan of straight sides."""

    corners: tuple[tuple[float, float], ...]
    """Counter-clockwise seen from above, mm."""
    radius_mm: float = 0.0
    """Every corner is rounded by it; for convex outlines only."""

    def strokes(self, inset_mm: float = 0.0) -> np.ndarray:
        """Points (n, 2) of the outline moved inward, as many for every inset."""
        import numpy as np

        points = np.array(self.corners)
        along = np.roll(points, -1, axis=0) - points
        inward = np.column_stack([-along[:, 1], along[:, 0]])
        inward /= np.linalg.norm(inward, axis=1, keepdims=True)
        before = np.roll(inward, 1, axis=0)
        mitre = (before + inward) / (1.0 + (before * inward).sum(axis=1, keepdims=True))
        if self.radius_mm <= 0.0:
            moved: np.ndarray = points + inset_mm * mitre
            return moved
        kept = max(self.radius_mm - inset_mm, 0.0)
        rounds = []
        for point, way, first, second in zip(points, mitre, -before, -inward, strict=True):
            turn = math.acos(min(max(float(first @ second), -1.0), 1.0))
            share = np.linspace(0.0, turn, count_of(self.radius_mm, turn) + 1)
            aside = np.array([-first[1], first[0]])
            fan = np.cos(share)[:, None] * first + np.sin(share)[:, None] * aside
            rounds.append(point + max(self.radius_mm, inset_mm) * way + kept * fan)
        return np.vstack(rounds)


@dataclass(frozen=True)
class Oval:
    """A circle, or what a printer that stretches its axes differently needs to print one."""

    x_mm: float
    """Diameter along x."""
    y_mm: float

    def strokes(self, inset_mm: float = 0.0) -> np.ndarray:
        """Points (n, 2), counter-clockwise, moved inward; it is as wide as it should be."""
        import numpy as np

        count = 4 * count_of(max(self.x_mm, self.y_mm) / 2, math.pi / 2)
        turn = np.arange(count) * (2 * math.pi / count)
        around = np.column_stack([np.cos(turn), np.sin(turn)])
        half = np.array([self.x_mm, self.y_mm]) / 2
        outward = around / half
        outward /= np.linalg.norm(outward, axis=1, keepdims=True)
        moved: np.ndarray = around * half - inset_mm * outward
        return moved


Outline = Polygon | Oval


@dataclass(frozen=True)
class Room:
    """An upright prism that is taken out."""

    outline: Outline
    low_mm: float
    high_mm: float


@dataclass(frozen=True, eq=False)
class Letter:
    """One piece of a letter, flat: straight strokes, counter-clockwise, its holes clockwise."""

    outer: np.ndarray
    """(n, 2) mm"""
    holes: tuple[np.ndarray, ...] = ()


@dataclass(frozen=True, eq=False)
class Recess:
    """Letters sunk into a flat face."""

    letters: tuple[Letter, ...]
    frame: np.ndarray
    """(3, 4): right, up, outward and origin of the face, as columns."""
    depth_mm: float


@dataclass(frozen=True)
class Body:
    """An upright prism, its lowest edges cut off, with rooms and recesses in it."""

    outline: Outline
    height_mm: float
    chamfer_mm: float = 0.0
    rooms: tuple[Room, ...] = ()
    recesses: tuple[Recess, ...] = ()

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Extents along x, y, z."""
        x, y = (max(line) - min(line) for line in self.outline.strokes().T.tolist())
        return x, y, self.height_mm


@dataclass(frozen=True)
class Ball:
    """A sphere, or what a printer that stretches its axes differently needs to print one."""

    x_mm: float
    y_mm: float
    z_mm: float

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Extents along x, y, z."""
        return self.x_mm, self.y_mm, self.z_mm


Printed = Body | Ball


def rectangle(x_mm: float, y_mm: float, radius_mm: float = 0.0) -> Polygon:
    """A rectangle about the middle; only ``radius_mm`` above 0 rounds its corners.

    >>> rectangle(4.0, 2.0).corners[0]
    (-2.0, -1.0)
    """
    x, y = x_mm / 2, y_mm / 2
    return Polygon(((-x, -y), (x, -y), (x, y), (-x, y)), radius_mm)


def count_of(radius_mm: float, turn_rad: float) -> int:
    """How many straight strokes stand for a round.

    >>> count_of(20.0, math.pi / 2)
    36
    """
    sagging = 2 * math.acos(1 - min(LINEAR_MM / radius_mm, 0.5))
    return max(1, math.ceil(turn_rad / min(ANGULAR_RAD, sagging) - 1e-9))
