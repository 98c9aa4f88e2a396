"""Names that find no room in their panel stand beside the sheet, each with a line that leads there.

The line ends in a dot on what it names, as leader lines do that end on a surface (ISO 128, from
memory).
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator

import shapely

from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.shapes import Anchor, Box, Label, LineKind, Point, Stroke, line

TYPE_MM = 2.2
DOT_MM = 0.4
"""Radius of the dot."""
GAP_MM = 0.8
"""From the end of the line to the text."""
OFF_EDGE_MM = 1.0
"""Of a text, at least, so that it stands beside the sheet."""
SHARES = (0.5, 0.3, 0.7, 0.12, 0.88)
"""Where in a panel the dot may lie."""
WAYS = 24
"""So many directions a line may take; those along the edges are best."""
SLANTED = 1.4
"""A slanted line may be so much shorter before it is taken."""
FARTHEST_MM = 200
STRAIGHT = 1e-9


def called_out(
    placer: Placer, sheet: Box, paper: shapely.Polygon, text: str
) -> tuple[list[Stroke], list[Label]]:
    """The shortest free leader from a panel to beside the sheet, and its text, both now placed.

    `paper` is the panel as it lies on the sheet, mm. Nothing where each would cover something, as
    may be on a sheet of a few millimetres.
    """
    spots = _spots(placer, paper)
    turns = [math.tau * number / WAYS for number in range(WAYS)]
    ways = (_ways(sheet, *from_there) for from_there in itertools.product(spots, turns))
    for _, spot, tip, turn in heapq.merge(*ways, key=lambda way: way[0]):
        label, leader = _label(text, tip, turn), line(LineKind.THIN, spot, tip)
        beside = not _overlap(label.box, sheet.grown(OFF_EDGE_MM))
        if beside and placer.line_is_free(leader) and placer.is_free(label.box):
            strokes = [leader, _dot(spot)]
            placer.add_strokes(strokes)
            placer.add_label(label)
            return strokes, [label]
    return [], []


def _ways(sheet: Box, spot: Point, turn: float) -> Iterator[tuple[float, Point, Point, float]]:
    """How far, from where on a panel, to where beside the sheet, and which way; nearest first."""
    along = math.cos(turn), math.sin(turn)
    edge = _to_edge(sheet, spot, along)
    weight = 1.0 if min(map(abs, along)) < STRAIGHT else SLANTED
    for out in range(2, FARTHEST_MM, 2):
        far = edge + out
        tip = spot[0] + far * along[0], spot[1] + far * along[1]
        yield weight * far, spot, tip, turn


def _spots(placer: Placer, paper: shapely.Polygon) -> list[Point]:
    """Places on a panel that no text covers, its middle where every one is covered."""
    left, bottom, right, top = paper.bounds
    own = paper.buffer(-DOT_MM)
    found = []
    for across, along in itertools.product(SHARES, SHARES):
        x, y = left + across * (right - left), bottom + along * (top - bottom)
        at = line(LineKind.THIN, (x - DOT_MM, y), (x + DOT_MM, y))
        if own.covers(shapely.Point(x, y)) and placer.line_is_free(at):
            found.append((x, y))
    middle = paper.representative_point()
    return found or [(middle.x, middle.y)]


def _to_edge(sheet: Box, spot: Point, along: tuple[float, float]) -> float:
    """How far a line runs from a spot until it leaves the sheet, mm."""
    reach = []
    for at, way, low, high in (
        (spot[0], along[0], sheet.left, sheet.right),
        (spot[1], along[1], sheet.bottom, sheet.top),
    ):
        if abs(way) > STRAIGHT:
            reach.append(((high if way > 0.0 else low) - at) / way)
    return min(reach)


def _label(text: str, tip: Point, turn: float) -> Label:
    x, y = tip
    across, up = math.cos(turn), math.sin(turn)
    if abs(across) > 0.4:
        sign, anchor = (1.0, Anchor.START) if across > 0.0 else (-1.0, Anchor.END)
        return Label(text, (x + sign * GAP_MM, y - 0.27 * TYPE_MM), TYPE_MM, anchor)
    base = y + GAP_MM + 0.25 * TYPE_MM if up > 0.0 else y - GAP_MM - 0.8 * TYPE_MM
    return Label(text, (x, base), TYPE_MM, Anchor.MIDDLE)


def _overlap(one: Box, other: Box) -> bool:
    across = one.left < other.right and one.right > other.left
    return across and one.bottom < other.top and one.top > other.bottom


def _dot(middle: Point) -> Stroke:
    x, y = middle
    points = [
        (x + DOT_MM * math.cos(math.tau * n / 8), y + DOT_MM * math.sin(math.tau * n / 8))
        for n in range(8)
    ]
    return Stroke(LineKind.THIN, tuple(points), closed=True)
