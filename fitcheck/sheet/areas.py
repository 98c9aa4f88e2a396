"""The areas of a sheet that are treated alike: what is cut away and what takes adhesive."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fitcheck.drawing.shapes import Box, Label, LineKind, Point, Stroke
from fitcheck.pattern.boundary import faceted
from fitcheck.pattern.pattern import Panel, Pattern, Role

HATCH_STEP_MM = 3.5
INSET_MM = 1.0
"""The outline of an adhesive area is drawn this far inside its panel."""
SLIVER_MM2 = 1e-3


@dataclass(frozen=True)
class WastePiece:
    """A piece of the sheet that is cut away."""

    area: shapely.Polygon
    place: str
    """Where it lies, in words."""


def waste_pieces(pattern: Pattern) -> tuple[WastePiece, ...]:
    """The pieces that fall off, from the bottom left; pieces that meet in a point are two."""
    sheet = pattern.sheet
    kept = shapely.union_all([paper_of(pattern, panel) for panel in pattern.panels], grid_size=1e-7)
    left = shapely.box(0.0, 0.0, sheet.width_mm, sheet.length_mm).difference(kept, grid_size=1e-7)
    pieces = [part for part in shapely.get_parts(left) if part.area > SLIVER_MM2]
    pieces.sort(key=lambda piece: (round(piece.bounds[1], 3), round(piece.bounds[0], 3)))
    return tuple(
        WastePiece(piece, _place(piece, sheet.width_mm, sheet.length_mm)) for piece in pieces
    )


def paper_of(pattern: Pattern, panel: Panel) -> shapely.Polygon:
    """A panel as it lies on the sheet, its cut-outs taken away, arcs as their facets."""
    outer, *holes = pattern.boundary(panel).polygons(pattern.sheet)
    return shapely.Polygon(outer, holes)


def cutout_boxes(pattern: Pattern) -> Iterator[Box]:
    """The boxes round cut-outs, in which no text stands."""
    for panel in pattern.panels:
        boundary = pattern.boundary(panel)
        for cutout in panel.cutouts:
            own = [edge for ring in boundary.rings for edge in ring if edge.cutout == cutout.name]
            if own:
                points = np.array(faceted(pattern.sheet, own))
                yield Box(*points.min(axis=0).tolist(), *points.max(axis=0).tolist())


def on_paper(
    paper: shapely.Polygon, places: Iterable[tuple[Label, ...]]
) -> Iterator[tuple[Label, ...]]:
    """The sets of labels that stand wholly on a piece of paper."""
    for labels in places:
        boxes = (label.box for label in labels)
        if all(paper.covers(shapely.box(b.left, b.bottom, b.right, b.top)) for b in boxes):
            yield labels


def hatching(pieces: Sequence[WastePiece], keep_off: Sequence[Box]) -> list[Stroke]:
    """Slanted lines over what is cut away, none through a text."""
    if not pieces:
        return []
    area = shapely.union_all([piece.area for piece in pieces])
    texts = [shapely.box(box.left, box.bottom, box.right, box.top) for box in keep_off]
    area = area.difference(shapely.union_all(texts)) if texts else area
    left, bottom, right, top = area.bounds
    height = top - bottom
    step = HATCH_STEP_MM * math.sqrt(2.0)
    starts = np.arange(left - height, right, step)
    slants = shapely.linestrings([[(x, bottom), (x + height, top)] for x in starts])
    found = shapely.get_parts(shapely.intersection(slants, area), return_index=False)
    bits = [bit for whole in found for bit in shapely.get_parts(whole)]
    return [
        Stroke(LineKind.HATCH, tuple((float(x), float(y)) for x, y in bit.coords))
        for bit in bits
        if bit.geom_type == "LineString" and bit.length > 0.3
    ]


def glue_outlines(pattern: Pattern) -> list[Stroke]:
    """Outlines of the panels that take adhesive, a little inside their edges, by their face."""
    glued = {bond.panel: bond.face for bond in pattern.bonds if bond.glued}
    strokes = []
    for panel in pattern.panels:
        if panel.name not in glued:
            continue
        for ring in shapely.get_rings(_inset(paper_of(pattern, panel))):
            points: tuple[Point, ...] = tuple((float(x), float(y)) for x, y in ring.coords[:-1])
            here = glued[panel.name] is pattern.seen
            kind = LineKind.GLUE_HERE if here else LineKind.GLUE
            strokes.append(Stroke(kind, points, closed=True))
    return strokes


def tab_names(pattern: Pattern) -> tuple[str, ...]:
    """The tabs that stay on the part."""
    return tuple(panel.name for panel in pattern.panels if panel.role is Role.TAB)


def _inset(outline: shapely.Polygon) -> shapely.Polygon:
    """The outline moved inwards, by less where a small one would vanish."""
    inset_mm = INSET_MM
    while True:
        inset = outline.buffer(-inset_mm, join_style="mitre")
        if isinstance(inset, shapely.Polygon) and not inset.is_empty:
            return inset
        inset_mm *= 0.5


def _place(piece: shapely.Polygon, width: float, length: float) -> str:
    """Which edges or corner of the sheet a piece is nearest to."""
    x, y = piece.centroid.x / width, piece.centroid.y / length
    across = "left" if x < 1 / 3 else "right" if x > 2 / 3 else ""
    along = "bottom" if y < 1 / 3 else "top" if y > 2 / 3 else ""
    return " ".join(word for word in (along, across) if word) or "middle"
