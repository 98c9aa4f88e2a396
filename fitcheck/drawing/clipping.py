"""Strokes are cut off at the edge of a page's window."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

import shapely

from fitcheck.arcs import Arc
from fitcheck.drawing.shapes import Box, Point, Stroke, arc_stroke

SHORTEST_MM = 1e-6


def clip_stroke(stroke: Stroke, window: Box) -> list[Stroke]:
    """A stroke as it is when it lies inside the window, otherwise the stretches inside."""
    if all(_inside(point, window) for point in stroke.points):
        return [stroke]
    if stroke.arc is not None:
        return [arc_stroke(stroke.kind, piece) for piece in clip_arc(stroke.arc, window)]
    found = shapely.intersection(
        shapely.linestrings(stroke.segments()),
        shapely.box(window.left, window.bottom, window.right, window.top),
    )
    return [
        Stroke(stroke.kind, tuple((float(x), float(y)) for x, y in piece.coords))
        for piece in found
        if piece.length > SHORTEST_MM
    ]


def parted(stroke: Stroke, boxes: Iterable[Box]) -> list[Stroke]:
    """What is left of a stroke of straight lines outside some boxes."""
    holes = shapely.union_all([shapely.box(b.left, b.bottom, b.right, b.top) for b in boxes])
    rest = shapely.difference(shapely.linestrings(stroke.segments()), holes)
    return [
        Stroke(stroke.kind, tuple((float(x), float(y)) for x, y in piece.coords))
        for piece in shapely.get_parts(rest)
        if piece.length > SHORTEST_MM
    ]


def clip_arc(arc: Arc, window: Box) -> list[Arc]:
    """The stretches of an arc inside a window, exact."""
    edges = ((0, window.left), (0, window.right), (1, window.bottom), (1, window.top))
    marks = sorted([0.0, 1.0, *(at for axis, edge in edges for at in arc.crossings(axis, edge))])
    long_enough = SHORTEST_MM / (arc.radius_mm * abs(arc.sweep_rad))
    kept: list[list[float]] = []
    for first, last in itertools.pairwise(marks):
        if not _inside(arc.at(0.5 * (first + last)), window):
            continue
        if kept and kept[-1][1] == first:
            kept[-1][1] = last
        else:
            kept.append([first, last])
    return [arc.between(*stretch) for stretch in kept if stretch[1] - stretch[0] > long_enough]


def _inside(point: Point, window: Box) -> bool:
    return window.left <= point[0] <= window.right and window.bottom <= point[1] <= window.top
