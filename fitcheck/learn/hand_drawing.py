"""The coupon of a hand as a page: what to set, where to write, and a ruler to read with."""

from __future__ import annotations

from fitcheck.drawing.shapes import (
    Box,
    Drawing,
    Items,
    Label,
    LineKind,
    Point,
    drawing_of,
    line,
    paragraph,
    rectangle,
)
from fitcheck.learn.hand_coupon import AGAIN, HandCoupon, HandStrip
from fitcheck.learn.how_to import LENGTH_MM, WIDTH_MM
from fitcheck.units import Unit, show_inches

CELL_MM = (99.0, 35.0)
TOP_MM = 222.0
SCALE = 0.42
"""Strips are drawn so much smaller: nobody is to cut along the drawing."""
TALL_MM = 5.0
TYPE_MM, SMALL_MM = 2.6, 2.2
BLANK_MM = 13.0
COLUMNS_MM = (29.0, 45.0, 63.0, 79.0)
"""Where the blanks begin: near and far side, and both once more."""
RULER_MM = 180
RULER_AT = (4.0, 3.0)


def hand_drawing(coupon: HandCoupon) -> Drawing:
    """All strips with their settings and a place for each reading, and a ruler at 1:1."""
    parts = [_head(coupon)]
    for k, strip in enumerate(coupon.strips):
        column, row = k // 5, k % 5
        at = (column * CELL_MM[0], TOP_MM - (row + 1) * CELL_MM[1])
        parts.append(_strip(coupon, strip, at, again=k < AGAIN))
    parts += [_knife(coupon, (0.0, 33.0)), _ruler(RULER_AT)]
    title = f"coupon of the hand with {coupon.tools}"
    return drawing_of(title, (WIDTH_MM, LENGTH_MM), parts)


def _head(coupon: HandCoupon) -> Items:
    lines = (
        f"Coupon of the hand and the board {coupon.tools}",
        f"Ten strips of card about {_length(coupon, coupon.wide_mm)} wide. Cut each to its length "
        "by the trimmer's own marks, score it by the board's own marks;",
        "the edge that was cut last lies away from the fence. The pictures are not to scale: do "
        "not cut along them.",
    )
    return [], list(paragraph(lines, (0.0, 238.0), TYPE_MM))


def _strip(coupon: HandCoupon, strip: HandStrip, at: Point, *, again: bool) -> Items:
    x, y = at
    top = y + CELL_MM[1]
    places = [mm for mm in (strip.groove_mm, strip.between_mm) if mm is not None]
    box = Box(x, top - 10.0, x + SCALE * strip.length_mm, top - 10.0 + TALL_MM)
    strokes = [rectangle(LineKind.CUT, box)]
    for mm in places:
        across = x + SCALE * mm
        strokes.append(line(LineKind.SCORE, (across, box.bottom - 1.5), (across, box.top)))
    caption = f"{strip.piece}   cut to {_length(coupon, strip.length_mm)}"
    labels = [Label(caption, (x, top - 4.0), TYPE_MM)]
    names = ("near", "far", "near, again", "far, again")
    for word, left in zip(names[: 4 if again else 2], COLUMNS_MM, strict=False):
        labels.append(Label(word, (x + left, top - 18.2), SMALL_MM))
    said = (
        f"{_length(coupon, mm)}, {'groove' if mm == strip.groove_mm else 'between'}"
        for mm in places
    )
    rows = [("length", (0, 2)), *((words, (0, 1, 2, 3)) for words in said)]
    for number, (word, columns) in enumerate(rows):
        base = top - 15.0 - (0.0 if number == 0 else 3.5 + 5.5 * number)
        labels.append(Label(word, (x, base), TYPE_MM))
        for column in columns:
            if column < 2 or again:
                left = x + COLUMNS_MM[column]
                strokes.append(line(LineKind.THIN, (left, base), (left + BLANK_MM, base)))
    return strokes, labels


def _knife(coupon: HandCoupon, at: Point) -> Items:
    x, y = at
    wide = _length(coupon, coupon.knife_mm[0])
    caption = (
        f"K1 to K{len(coupon.knife_mm)}   pencil marks {wide} apart, all made first, then cut "
        "with the knife along a rule; how wide each came out:"
    )
    strokes, labels = [], [Label(caption, (x, y), TYPE_MM)]
    for number in range(len(coupon.knife_mm)):
        left = x + 32.0 * number
        labels.append(Label(f"K{number + 1}", (left, y - 7.0), TYPE_MM))
        strokes.append(
            line(LineKind.THIN, (left + 6.0, y - 7.0), (left + 6.0 + BLANK_MM + 6.0, y - 7.0))
        )
    return strokes, labels


def _ruler(at: Point) -> Items:
    """Millimetres and halves of them, read from the left end."""
    x, y = at
    strokes = [line(LineKind.THIN, (x, y), (x + RULER_MM, y))]
    labels = [
        Label(
            "mm, where there is no caliper: check it against a steel rule first",
            (x, y + 12.0),
            SMALL_MM,
        )
    ]
    for half in range(2 * RULER_MM + 1):
        tall = 1.6 if half % 2 else 6.0 if half % 20 == 0 else 4.2 if half % 10 == 0 else 2.8
        strokes.append(line(LineKind.THIN, (x + half / 2, y), (x + half / 2, y + tall)))
        if half % 20 == 0:
            text = f"{half // 2}"
            labels.append(Label(text, (x + half / 2 - 0.7 * len(text), y + 7.0), SMALL_MM))
    return strokes, labels


def _length(coupon: HandCoupon, mm: float) -> str:
    return show_inches(mm) if coupon.unit is Unit.IN else f"{mm:g} mm"
