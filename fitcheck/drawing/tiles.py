"""Which tiles of a drawing are worth a page: those of waste alone, or of nothing, are left out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from fitcheck.drawing.shapes import Box, Drawing, LineKind, Stroke

UNREAD = (LineKind.HATCH, LineKind.THIN)
"""Nobody cuts or folds along these; what a dimension says is its text."""
WASTE_MM = 5.0
"""The sheet's edge runs along waste where hatching, which is closer than that, is beside it."""
LEAST_MM = 0.5
"""A shorter end of a line is no reason for a page."""


def needed(drawing: Drawing, windows: Sequence[Box]) -> list[bool]:
    """For each window, whether it shows anything to cut, score, glue or read that no other shows.

    The sheet's own edge counts where paper ends there, not where waste does. A window stays when
    the others could not be joined without it.
    """
    edge = _sheet_edge(drawing)
    lines = _lines([s for s in drawing.strokes if s.kind not in UNREAD and s is not edge])
    waste = _lines([s for s in drawing.strokes if s.kind is LineKind.HATCH])
    rim = shapely.difference(
        _lines([] if edge is None else [edge]), shapely.buffer(waste, WASTE_MM, quad_segs=2)
    )
    boxes = np.array([shapely.box(w.left, w.bottom, w.right, w.top) for w in windows])
    kept = [True] * len(windows)
    for n, window in enumerate(windows):
        others = [k for k in range(len(windows)) if kept[k] and k != n]
        alone = shapely.difference(boxes[n], shapely.union_all(boxes[others]))
        if _long(lines, alone) or _long(rim, alone):
            continue
        if any(
            label.box.inside(window) and not any(label.box.inside(windows[k]) for k in others)
            for label in drawing.labels
        ):
            continue
        kept[n] = not _joined([windows[k] for k in others])
    return kept


def _sheet_edge(drawing: Drawing) -> Stroke | None:
    """The closed cut round all others; None where there is none."""
    cuts = [stroke for stroke in drawing.strokes if stroke.kind is LineKind.CUT]
    points = np.array([point for stroke in cuts for point in stroke.points]).reshape(-1, 2)
    for stroke in cuts:
        low, high = np.min(stroke.points, axis=0), np.max(stroke.points, axis=0)
        if (
            stroke.closed
            and np.all(low <= points.min(axis=0))
            and np.all(high >= points.max(axis=0))
        ):
            return stroke
    return None


def _lines(strokes: Sequence[Stroke]) -> shapely.Geometry:
    pieces = [segment for stroke in strokes for segment in stroke.segments()]
    return shapely.MultiLineString(pieces)


def _long(lines: shapely.Geometry, area: shapely.Geometry) -> bool:
    return bool(shapely.length(shapely.intersection(lines, area)) > LEAST_MM)


def _joined(windows: Sequence[Box]) -> bool:
    """Whether from each window one comes to every other over strips that two of them share."""
    reached, ahead = {0}, [0]
    while ahead:
        here = windows[ahead.pop()]
        for k, there in enumerate(windows):
            if k not in reached and _beside(here, there):
                reached.add(k)
                ahead.append(k)
    return bool(windows) and len(reached) == len(windows)


def _beside(a: Box, b: Box) -> bool:
    """Neighbours in a row or in a column, not across a corner."""
    wide = min(a.right, b.right) - max(a.left, b.left)
    tall = min(a.top, b.top) - max(a.bottom, b.bottom)
    row, column = (a.bottom, a.top) == (b.bottom, b.top), (a.left, a.right) == (b.left, b.right)
    return wide > 0.0 and tall > 0.0 and (row or column)
