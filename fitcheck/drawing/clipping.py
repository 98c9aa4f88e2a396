"""Strokes are cut off at the edge of a page's window."""

from __future__ import annotations

import shapely

from fitcheck.drawing.shapes import Box, Point, Stroke

SHORTEST_MM = 1e-6


def clip_stroke(stroke: Stroke, window: Box) -> list[Stroke]:
    """A stroke as it is when it lies inside the window, otherwise the stretches inside."""
    if all(_inside(point, window) for point in stroke.points):
        return [stroke]
    found = shapely.intersection(
        shapely.linestrings(stroke.segments()),
        shapely.box(window.left, window.bottom, window.right, window.top),
    )
    return [
        Stroke(stroke.kind, tuple((float(x), float(y)) for x, y in piece.coords))
        for piece in found
        if piece.length > SHORTEST_MM
    ]


def _inside(point: Point, window: Box) -> bool:
    return window.left <= point[0] <= window.right and window.bottom <= point[1] <= window.top
