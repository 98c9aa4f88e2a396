"""How a view looks at a box, and where on paper what it sees is put."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pose import Array

TURN, TIP = -0.55, 0.52
"""The usual view: round the upright axis and down onto the box, radians."""
WIDTH, TALLEST = 180.0, 165.0
"""The paper, mm: its width, and its height at the most."""
MARGIN = 8.0
"""Left free on every side, mm; the shadow may reach into it."""
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
        seen: Array = points @ self.axes[:2].T
        return seen

    @property
    def axes(self) -> Array:
        """Rightwards, upwards and towards the eye, as rows (3, 3)."""
        return np.array([self.right, self.up, self.eye])


def camera(turn: float = TURN, tip: float = TIP) -> Camera:
    """Turned about the upright axis and tipped by angles in radians."""
    s, c, p, q = math.sin(turn), math.cos(turn), math.sin(tip), math.cos(tip)
    return Camera(np.array([c, s, 0.0]), np.array([-s * p, c * p, q]), np.array([s * q, -c * q, p]))


@dataclass(frozen=True, eq=False)
class Page:
    """How places in the picture become places on paper."""

    low: Array
    """The picture's bottom left, mm of the box."""
    high: Array
    scale: float
    """Millimetres on paper for one of the box."""
    tall: float
    """Height of the paper."""
    lean: tuple[float, float] = (0.5, 0.5)
    """Where the picture stands in the room that it leaves: 0 left or top, 1 right or bottom."""

    def of(self, points: Array) -> Array:
        """Points (n, 2) in the picture become points on paper, y downwards."""
        size = self.scale * (self.high - self.low)
        spare = np.array([WIDTH, self.tall]) - 2.0 * MARGIN - size
        left, top = MARGIN + np.maximum(spare, 0.0) * self.lean
        flat = (points - self.low) * self.scale
        placed = np.column_stack([flat[:, 0] + left, size[1] - flat[:, 1] + top])
        return np.round(placed, DIGITS)


def page_for(every: Array, share: float = 1.0, lean: tuple[float, float] = (0.5, 0.5)) -> Page:
    """A page for everything that is in the picture (n, 2), which takes a share of what it can."""
    low, high = every.min(axis=0), every.max(axis=0)
    size = high - low
    scale = min((WIDTH - 2 * MARGIN) / size[0], (TALLEST - 2 * MARGIN) / size[1])
    return Page(low, high, share * scale, scale * float(size[1]) + 2 * MARGIN, lean)
