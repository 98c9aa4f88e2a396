"""Strokes are cut off at the edge of a page's window."""

from __future__ import annotations

import itertools

from fitcheck.arcs import Arc
from fitcheck.drawing.shapes import Box, Point, Stroke, arc_stroke

SHORTEST_MM = 1e-6


def clip_segment(start: Point, stop: Point, box: Box) -> tuple[Point, Point] | None:
    """The stretch of a segment inside a box, None where there is none (Liang and Barsky 1984)."""
    dx, dy = stop[0] - start[0], stop[1] - start[1]
    first, last = 0.0, 1.0
    for step, room in (
        (-dx, start[0] - box.left),
        (dx, box.right - start[0]),
        (-dy, start[1] - box.bottom),
        (dy, box.top - start[1]),
    ):
        if step == 0.0:
            if room < 0.0:
                return None
            continue
        share = room / step
        if step < 0.0:
            first = max(first, share)
        else:
            last = min(last, share)
    if first > last:
        return None
    # the ends themselves stay as they are to the last bit
    kept_start = start if first == 0.0 else (start[0] + first * dx, start[1] + first * dy)
    kept_stop = stop if last == 1.0 else (start[0] + last * dx, start[1] + last * dy)
    return kept_start, kept_stop


def clip_stroke(stroke: Stroke, box: Box) -> list[Stroke]:
    """A stroke as it is when it lies inside the box, otherwise the pieces inside."""
    if all(_inside(point, box) for point in stroke.points):
        return [stroke]
    if stroke.arc is not None:
        return [arc_stroke(stroke.kind, piece) for piece in clip_arc(stroke.arc, box)]
    pieces = (clip_segment(start, stop, box) for start, stop in stroke.segments())
    return [
        Stroke(stroke.kind, piece) for piece in pieces if piece is not None and _long_enough(*piece)
    ]


def clip_arc(arc: Arc, box: Box) -> list[Arc]:
    """The stretches of an arc inside a box, exact."""
    edges = ((0, box.left), (0, box.right), (1, box.bottom), (1, box.top))
    marks = sorted([0.0, 1.0, *(at for axis, edge in edges for at in arc.crossings(axis, edge))])
    long_enough = SHORTEST_MM / (arc.radius_mm * abs(arc.sweep_rad))
    kept: list[list[float]] = []
    for first, last in itertools.pairwise(marks):
        if not _inside(arc.at(0.5 * (first + last)), box):
            continue
        if kept and kept[-1][1] == first:
            kept[-1][1] = last
        else:
            kept.append([first, last])
    return [arc.between(*stretch) for stretch in kept if stretch[1] - stretch[0] > long_enough]


def crosses(start: Point, stop: Point, box: Box) -> bool:
    """Whether a segment runs through the inside of a box; running along its edge does not count."""
    piece = clip_segment(start, stop, box)
    if piece is None:
        return False
    middle = (0.5 * (piece[0][0] + piece[1][0]), 0.5 * (piece[0][1] + piece[1][1]))
    return box.left < middle[0] < box.right and box.bottom < middle[1] < box.top


def _inside(point: Point, box: Box) -> bool:
    return box.left <= point[0] <= box.right and box.bottom <= point[1] <= box.top


def _long_enough(start: Point, stop: Point) -> bool:
    return abs(stop[0] - start[0]) + abs(stop[1] - start[1]) > SHORTEST_MM
