"""Marks on a view: a ring and its millimetres, or an arrow from a magnifier to the place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from fitcheck.folding.pose import Array
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.magnified import LABEL_MM, OVER_MM, Magnified, label_width

RING_MM = 2.2
CLEAR_MM = 1.5
"""A magnifier stands so far from the box and from the drawing's edge."""
RADII = (21.0, 19.0, 17.0)
STEP_MM = 3.0
"""Places that far apart are tried for it."""


HEAD_MM = 5.0
"""The head of an arrow that shows which way hands move something."""


def way_marks(points: Array) -> list[str]:
    """An arrow along a way on the paper (k, 2), its ground pale: it is seen on any paper."""
    tip, (dx, dy) = points[-1], points[-1] - points[-2]
    long = float(np.hypot(dx, dy))
    if long < 1e-6:
        return []
    towards = (float(dx) / long, float(dy) / long)
    shaft = np.vstack([points[:-1], tip - 0.7 * HEAD_MM * np.array(towards)])
    data = "M " + " L ".join(f"{svg.number(x)},{svg.number(y)}" for x, y in shaft.tolist())
    return [
        svg.tag("path", "hand", d=data),
        svg.tag("path", "hand-way", d=data),
        svg.arrow("mark-tip", tip.tolist(), towards, HEAD_MM),
    ]


@dataclass(frozen=True)
class Stand:
    """Where a magnifier stands on the paper."""

    centre: tuple[float, float]
    radius: float


def room_for(
    shown: Magnified, silhouette: shapely.Geometry, near: tuple[float, float], size: Array
) -> Stand | None:
    """The free place nearest to a point for the largest magnifier that has one; mm on paper."""
    kept = shapely.simplify(silhouette, 0.3)
    shapely.prepare(kept)
    for radius in RADII:
        half = max(radius, 0.5 * label_width(shown.label(radius))) + CLEAR_MM
        foot = radius + LABEL_MM - OVER_MM + CLEAR_MM
        across = np.arange(half, size[0] - half + 1e-9, STEP_MM)
        down = np.arange(radius + CLEAR_MM, size[1] - foot + 1e-9, STEP_MM)
        if not len(across) or not len(down):
            continue
        x, y = (grid.ravel() for grid in np.meshgrid(across, down))
        circles = shapely.buffer(shapely.points(x, y), radius + CLEAR_MM, quad_segs=8)
        labels = shapely.box(x - half, y, x + half, y + foot)
        free = ~shapely.intersects(kept, circles) & ~shapely.intersects(
            kept, shapely.intersection(labels, shapely.box(0.0, y + radius - OVER_MM, 1e3, 1e3))
        )
        if free.any():
            far = np.where(free, np.hypot(x - near[0], y - near[1]), np.inf)
            best = int(np.argmin(far))
            return Stand((float(x[best]), float(y[best])), radius)
    return None


def arrow_marks(
    stand: Stand, shown: Magnified, at: tuple[float, float], outward: float
) -> list[str]:
    """The magnifier where it stands, and an arrow from it to a ring round the place."""
    away = np.array(at) - np.array(stand.centre)
    way = away / max(float(np.hypot(*away)), 1e-9)
    start = np.array(stand.centre) + stand.radius * way
    tip = np.array(at) - RING_MM * way
    towards = (float(way[0]), float(way[1]))
    return [
        svg.line("mark", start, tip - 3.0 * way),
        svg.arrow("mark-tip", tip, towards, 4.0),
        svg.tag("circle", "mark", cx=at[0], cy=at[1], r=RING_MM),
        *shown.marks(stand.centre, stand.radius, outward),
    ]


def ring_marks(label: str, at: tuple[float, float], width: float) -> list[str]:
    """A ring at the place and its millimetres on a plain ground."""
    x, y = at
    leftward = x > 0.6 * width
    wide = label_width([label])
    left = x - 8.0 - wide if leftward else x + 8.0
    side = -1.0 if leftward else 1.0
    return [
        svg.tag("circle", "mark", cx=x, cy=y, r=RING_MM),
        svg.line("mark", (x + RING_MM * side, y), (x + 8.0 * side, y)),
        svg.rect("label", left, y - 3.4, wide, 6.8),
        svg.text(label, left + 0.5 * wide, y + 1.4, "mark-text middle"),
    ]
