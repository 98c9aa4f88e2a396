"""What is printed on every page beside the drawing: check bars, legend, scale, register marks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from fitcheck.drawing.metrics import text_width_mm
from fitcheck.drawing.pens import PENS
from fitcheck.drawing.shapes import (
    Anchor,
    Box,
    Items,
    Label,
    LineKind,
    Point,
    Stroke,
    line,
    rectangle,
)

TYPE_MM = 2.5
CHECK_BARS = ((50.0, "50 mm"), (50.8, "2 in"))
TICK_MM = 1.5
MARK_ARM_MM, MARK_RADIUS_MM = 3.0, 1.5
SAMPLE_MM = 11.0
ADVICE = "Scale 1:1. Print at 100 %, not fitted to the page; measure a bar before you cut."
JOIN_ADVICE = "Join the pages with circled cross on circled cross."
ELLIPSIS = "\u2026"


def shortened(text: str, height_mm: float, width_mm: float) -> str:
    """A text cut off with an ellipsis where it is longer than the room for it."""
    if text_width_mm(text, height_mm) <= width_mm:
        return text
    while text and text_width_mm(text + ELLIPSIS, height_mm) > width_mm:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def check_bars(left: float, base: float) -> Items:
    """A bar of 50 mm and one of 2 in beside each other, their names above them."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for length, name in CHECK_BARS:
        strokes.append(line(LineKind.THIN, (left, base), (left + length, base)))
        for x in (left, left + length):
            strokes.append(line(LineKind.THIN, (x, base - TICK_MM), (x, base + TICK_MM)))
        labels.append(Label(name, (left + length / 2, base + 0.8), TYPE_MM, Anchor.MIDDLE))
        left += length + 10.0
    return strokes, labels


def legend(kinds: Iterable[LineKind], rows: Sequence[tuple[float, float]], right: float) -> Items:
    """A sample of each kind of line with what it means.

    Each of ``rows`` starts at (left, base), mm; the next one goes on where one is full.
    """
    strokes: list[Stroke] = []
    labels: list[Label] = []
    used = set(kinds)
    (left, base), *rest = rows
    for kind in LineKind:
        if kind not in used:
            continue
        wide = SAMPLE_MM + 1.5 + text_width_mm(PENS[kind].meaning, TYPE_MM)
        if rest and left + wide > right:
            (left, base), *rest = rest
        if kind is LineKind.HATCH:
            strokes += _hatched(Box(left, base - 0.6, left + SAMPLE_MM, base + 2.4))
        else:
            middle = base + 0.9
            strokes.append(line(kind, (left, middle), (left + SAMPLE_MM, middle)))
        strokes = [replace(stroke, sample=True) for stroke in strokes]
        label = Label(PENS[kind].meaning, (left + SAMPLE_MM + 1.5, base), TYPE_MM)
        labels.append(label)
        left = label.box.right + 4.0
    return strokes, labels


def bars_width_mm() -> float:
    """How wide the check bars are, with what sets them apart."""
    return sum(length + 10.0 for length, _ in CHECK_BARS)


def _hatched(box: Box) -> list[Stroke]:
    height = box.top - box.bottom
    starts = [box.left + 2.0 * n for n in range(int((box.right - box.left - height) / 2.0) + 1)]
    slants = [line(LineKind.HATCH, (x, box.bottom), (x + height, box.top)) for x in starts]
    return [rectangle(LineKind.HATCH, box), *slants]


def page_text(title: str, page: str, left: float, right: float, base: float) -> list[Label]:
    """Title at the left, page at the right."""
    number = Label(page, (right, base), TYPE_MM, Anchor.END)
    room = right - left - number.width_mm - 5.0
    return [Label(shortened(title, TYPE_MM, room), (left, base), TYPE_MM), number]


def register_mark(at: Point) -> list[Stroke]:
    """A cross in a circle: laid over its twin on the next page, both pages are in register."""
    x, y = at
    circle = tuple(
        (x + MARK_RADIUS_MM * math.cos(turn), y + MARK_RADIUS_MM * math.sin(turn))
        for turn in (math.tau * n / 24 for n in range(24))
    )
    return [
        line(LineKind.THIN, (x - MARK_ARM_MM, y), (x + MARK_ARM_MM, y)),
        line(LineKind.THIN, (x, y - MARK_ARM_MM), (x, y + MARK_ARM_MM)),
        Stroke(LineKind.THIN, circle, closed=True),
    ]
