"""Pages as one PDF at true scale: real text in the shipped font, the same bytes every time."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitcheck.drawing.metrics import register_fonts, runs, text_width_mm
from fitcheck.drawing.pages import Page
from fitcheck.drawing.pens import PENS
from fitcheck.drawing.shapes import Anchor, Label, LineKind, Stroke

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINTS_PER_MM = 72.0 / 25.4


def pdf_file(title: str, pages: Sequence[Page]) -> bytes:
    """The pages, each in its own size, with print scaling turned off."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts(_printable(label.text) for page in pages for label in page.labels)
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(_printable(title))
    canvas.setCreator("fitcheck")
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        for kind in LineKind:
            _draw_kind(canvas, kind, [s for s in page.strokes if s.kind is kind])
        for label in page.labels:
            _draw_label(canvas, label)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _draw_kind(canvas: Canvas, kind: LineKind, strokes: list[Stroke]) -> None:
    pen = PENS[kind]
    canvas.setLineWidth(pen.width_mm)
    canvas.setDash(list(pen.dashes_mm), 0)
    for stroke in strokes:
        path = canvas.beginPath()
        path.moveTo(*stroke.points[0])
        for point in stroke.points[1:]:
            path.lineTo(*point)
        if stroke.closed:
            path.close()
        canvas.drawPath(path, stroke=1, fill=0)


def _draw_label(canvas: Canvas, label: Label) -> None:
    canvas.saveState()
    canvas.translate(*label.at)
    if label.upright:
        canvas.rotate(90)
    before = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[label.anchor]
    x = -before * label.width_mm
    for name, bit in runs(_printable(label.text)):
        canvas.setFont(name, label.height_mm)
        canvas.drawString(x, 0.0, bit)
        x += text_width_mm(bit, label.height_mm)
    canvas.restoreState()


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)
