"""A page as SVG: millimetres, real text, black ink, the same bytes every time."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from html import escape

from fitcheck.arcs import Arc
from fitcheck.drawing.metrics import FONT_FAMILY
from fitcheck.drawing.pages import Page
from fitcheck.drawing.pens import PENS
from fitcheck.drawing.shapes import Drawing, Label, LineKind, Stroke
from fitcheck.plain import printable

DIGITS = 4
RADIUS_DIGITS = 6
"""A flat arc's height hangs on its radius."""
FONTS = f"'{FONT_FAMILY}', 'Arial Narrow', Arial, Helvetica, sans-serif"


def svg_page(page: Page) -> str:
    """The page as SVG text; y runs downwards there, one user unit is one millimetre."""
    lines = [
        *_head(page.title, page.width_mm, page.height_mm),
        *_groups([s for s in page.strokes if not s.sample], page.height_mm),
    ]
    # the legend's samples stand apart, so that a machine that follows a group cuts the part alone
    samples = [stroke for stroke in page.strokes if stroke.sample]
    if samples:
        lines.append('<g id="legend" fill="none">')
        lines += [_path(stroke, page.height_mm, _pen(stroke.kind)) for stroke in samples]
        lines.append("</g>")
    lines.append(f'<g id="text" fill="black" font-family="{FONTS}">')
    lines += [_text(label, page.height_mm) for label in page.labels if label.text.strip()]
    lines += ["</g>", "</svg>"]
    return "\n".join(lines) + "\n"


def svg_lines(drawing: Drawing) -> str:
    """The lines of a drawing and nothing else, a group for each kind, at its own size."""
    lines = _head(drawing.title, drawing.width_mm, drawing.length_mm)
    lines += [*_groups(drawing.strokes, drawing.length_mm), "</svg>"]
    return "\n".join(lines) + "\n"


def _head(title: str, width_mm: float, height_mm: float) -> list[str]:
    width, height = _number(width_mm), _number(height_mm)
    return [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">',
        f"<title>{_escaped(title)}</title>",
    ]


def _groups(strokes: Sequence[Stroke], height_mm: float) -> Iterator[str]:
    for kind in LineKind:
        own = [stroke for stroke in strokes if stroke.kind is kind]
        if own:
            yield f'<g id="{kind.value}" fill="none"{_pen(kind)}>'
            yield from (_path(stroke, height_mm) for stroke in own)
            yield "</g>"


def _pen(kind: LineKind) -> str:
    pen = PENS[kind]
    dashes = ""
    if pen.dashes_mm:
        dashes = f' stroke-dasharray="{" ".join(_number(d) for d in pen.dashes_mm)}"'
    return f' stroke="{pen.ink}" stroke-width="{_number(pen.width_mm)}"{dashes}'


def _path(stroke: Stroke, height: float, pen: str = "") -> str:
    points = [f"{_number(x)},{_number(height - y)}" for x, y in stroke.points]
    if stroke.arc is not None:
        return f'<path{pen} d="M {points[0]} {_arc(stroke.arc)} {points[-1]}"/>'
    close = " Z" if stroke.closed else ""
    return f'<path{pen} d="M {" L ".join(points)}{close}"/>'


def _arc(arc: Arc) -> str:
    """The elliptical arc command less its end; what is anticlockwise here stays so on the page."""
    radius = f"{arc.radius_mm:.{RADIUS_DIGITS}f}"
    large, sweep = int(abs(arc.sweep_rad) > math.pi), int(not arc.anticlockwise)
    return f"A {radius},{radius} 0 {large} {sweep}"


def _text(label: Label, height: float) -> str:
    x, y = _number(label.at[0]), _number(height - label.at[1])
    turn = f' transform="rotate(-90 {x} {y})"' if label.upright else ""
    # the length is stated, so that another font in its place still keeps to its box
    return (
        f'<text x="{x}" y="{y}" font-size="{_number(label.height_mm)}" '
        f'text-anchor="{label.anchor.value}" textLength="{_number(label.width_mm)}" '
        f'lengthAdjust="spacingAndGlyphs"{turn}>{_escaped(label.text)}</text>'
    )


def _number(value: float) -> str:
    return f"{round(value, DIGITS) + 0.0:g}" if abs(value) < 10 else f"{value:.{DIGITS}f}"


def _escaped(text: str) -> str:
    """XML 1.0 has no place for control characters, so they become blanks."""
    return escape(printable(text), quote=False)
