"""Pages as one PDF at true scale: real text in the shipped font, the same bytes every time."""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from fitcheck.arcs import Arc, Point
from fitcheck.drawing.metrics import register_fonts, runs, text_width_mm
from fitcheck.drawing.pages import Page
from fitcheck.drawing.pens import PENS
from fitcheck.drawing.shapes import Anchor, Label, LineKind, Stroke
from fitcheck.plain import printable

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINTS_PER_MM = 72.0 / 25.4
CURVE_RAD = math.pi / 6
"""An arc is drawn as curves that turn no further."""


def pdf_file(title: str, pages: Sequence[Page]) -> bytes:
    """The pages, each in its own size, with print scaling turned off."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts(printable(label.text) for page in pages for label in page.labels)
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(printable(title))
    canvas.setCreator("fitcheck")
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        for kind in LineKind:
            strokes = [s for s in page.strokes if s.kind is kind]
            # a page without it keeps the very bytes that it had before there was such a pen
            if strokes:
                _draw_kind(canvas, kind, strokes)
        for label in page.labels:
            _draw_label(canvas, label)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _draw_kind(canvas: Canvas, kind: LineKind, strokes: list[Stroke]) -> None:
    pen = PENS[kind]
    canvas.setStrokeColor(pen.ink)
    canvas.setLineWidth(pen.width_mm)
    canvas.setDash(list(pen.dashes_mm), 0)
    for stroke in strokes:
        path = canvas.beginPath()
        path.moveTo(*stroke.points[0])
        if stroke.arc is not None:
            for curve in beziers(stroke.arc):
                path.curveTo(*itertools.chain(*curve))
        else:
            for point in stroke.points[1:]:
                path.lineTo(*point)
        if stroke.closed:
            path.close()
        canvas.drawPath(path, stroke=1, fill=0)


def beziers(arc: Arc) -> Iterator[tuple[Point, Point, Point]]:
    """An arc as cubic Bezier curves: the two handles and the end of each.

    With handles of 4/3 tan(turn / 4) radii a curve stands off its round by at most 4/27
    sin(turn / 4)^6 / cos(turn / 4)^2 of the radius: by 1e-4 mm at a radius of 100 mm.
    """
    count = max(1, math.ceil(abs(arc.sweep_rad) / CURVE_RAD))
    for k in range(count):
        one = arc.between(k / count, (k + 1) / count)
        arm = 4.0 / 3.0 * math.tan(0.25 * one.sweep_rad) * one.radius_mm
        first, last = one.start_rad, one.start_rad + one.sweep_rad
        (x0, y0), (x1, y1) = one.at(0.0), one.at(1.0)
        yield (
            (x0 - arm * math.sin(first), y0 + arm * math.cos(first)),
            (x1 + arm * math.sin(last), y1 - arm * math.cos(last)),
            (x1, y1),
        )


def _draw_label(canvas: Canvas, label: Label) -> None:
    canvas.saveState()
    canvas.translate(*label.at)
    if label.upright:
        canvas.rotate(90)
    before = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[label.anchor]
    x = -before * label.width_mm
    for name, bit in runs(printable(label.text)):
        canvas.setFont(name, label.height_mm)
        canvas.drawString(x, 0.0, bit)
        x += text_width_mm(bit, label.height_mm)
    canvas.restoreState()
