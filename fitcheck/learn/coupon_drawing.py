"""The coupon as a drawing at 1:1: one page to lay under, to print on, or to measure from."""

from __future__ import annotations

from fitcheck.drawing.shapes import (
    Anchor,
    Box,
    Drawing,
    Items,
    Label,
    LineKind,
    Point,
    Stroke,
    drawing_of,
    line,
    paragraph,
    rectangle,
)
from fitcheck.learn.how_to import LENGTH_MM, WIDTH_MM
from fitcheck.learn.paper_coupon import ENDS, SHEETS, STRIP_MM, Coupon, Strip
from fitcheck.pattern.laid import laid
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.styles import draw
from fitcheck.styles.walled import WalledRecipe
from fitcheck.units import show_inches

FOLDS = {"outside": "and fold towards the bead", "inside": "and fold towards the score"}
"""Which way a fold goes, by the face that is pressed."""
SLIP_MM = (11.0, 42.0)
TYPE_MM = 2.6
SMALL_MM = 2.2
BLANK_MM = 17.0


def coupon_drawing(coupon: Coupon, stock: Stock) -> Drawing:
    """Everything to cut with its scores, its letter and a place for each reading."""
    parts = [
        _head(coupon),
        _stack((0.0, 178.0)),
        *_along(coupon),
        *_across(coupon),
        _hem(coupon, (92.0, 2.0)),
        _tray(coupon, stock, (0.0, 2.0)),
    ]
    return drawing_of(f"coupon of {coupon.stock}", (WIDTH_MM, LENGTH_MM), parts)


def _head(coupon: Coupon) -> Items:
    lines = (
        f"Coupon of {coupon.stock}, for the tools {coupon.tools}",
        *(_cut(coupon) if coupon.half_cut else _scored(coupon)),
    )
    labels = list(paragraph(lines, (0.0, 238.0), TYPE_MM))
    x = 188.0
    arrow = [
        line(LineKind.THIN, (x, 196.0), (x, 226.0)),
        line(LineKind.THIN, (x, 226.0), (x - 1.5, 222.0)),
        line(LineKind.THIN, (x, 226.0), (x + 1.5, 222.0)),
    ]
    return arrow, [*labels, Label("grain", (x - 1.5, 204.0), TYPE_MM, upright=True)]


def _scored(coupon: Coupon) -> tuple[str, ...]:
    """How folds are made that are pressed."""
    return (
        "Lay the paper so that its grain runs along the arrow. Cut on the wide lines, score on the "
        "dashed ones, on the",
        f"face that will be {coupon.score_face} the fold, {FOLDS[coupon.score_face]}, as on a box; "
        "measure every score of a piece",
        "from one and the same edge of it, held against the fence"
        + ("." if coupon.in_grooves else "; score it along a rule."),
    )


def _cut(coupon: Coupon) -> tuple[str, ...]:
    """How folds are made of board that is too thick to press."""
    return (
        "Lay the board so that its grain runs along the arrow. Cut through on the wide lines, half "
        "through on the",
        f"dashed and dotted ones, on the face that will be {coupon.score_face} the fold, along a "
        "steel rule, and fold away from each",
        "cut, as on a box; measure every cut of a piece from one and the same edge of it.",
    )


def _fold_kind(coupon: Coupon) -> LineKind:
    return LineKind.HALF_CUT if coupon.half_cut else LineKind.SCORE


def _stack(at: Point) -> Items:
    x, y = at
    slip, tall = SLIP_MM
    right = x + SHEETS * slip
    strokes = [rectangle(LineKind.CUT, Box(x, y, right, y + tall))]
    strokes += [
        line(LineKind.CUT, (x + k * slip, y), (x + k * slip, y + tall)) for k in range(1, SHEETS)
    ]
    labels = [
        Label("A", (x + (k + 0.5) * slip, y + tall / 2), TYPE_MM, Anchor.MIDDLE)
        for k in range(SHEETS)
    ]
    note = f"A   stack of {SHEETS}, five readings"
    labels.append(Label(note, (right + 4.0, y + tall - 3.0), TYPE_MM))
    for k in range(5):
        base = y + tall - 11.0 - 6.5 * k
        blank, unit = _blank((right + 4.0, base))
        strokes += blank
        labels += unit
    return strokes, labels


def _along(coupon: Coupon) -> list[Items]:
    """Strips that lie level: their folds run upright, along the grain."""
    found = []
    y = 150.0
    for strip in (s for s in coupon.strips if s.along):
        found.append(
            _strip(coupon, strip, Box(0.0, y, strip.floor_mm + 2 * coupon.wall_mm, y + STRIP_MM))
        )
        y -= STRIP_MM + 9.0
    return found


def _across(coupon: Coupon) -> list[Items]:
    """Strips that stand: their folds run level, across the grain."""
    found = []
    x = 112.0
    for strip in (s for s in coupon.strips if not s.along):
        tall = strip.floor_mm + 2 * coupon.wall_mm
        found.append(_strip(coupon, strip, Box(x, 60.0, x + STRIP_MM, 60.0 + tall)))
        x += STRIP_MM + 6.5
    return found


def _strip(coupon: Coupon, strip: Strip, box: Box) -> Items:
    wall = coupon.wall_mm
    strokes = [rectangle(LineKind.CUT, box)]
    scores = (wall, wall + strip.floor_mm)
    caption = (
        f"channel {_length(coupon, strip.floor_mm)}, scores {_length(coupon, scores[0])} and "
        f"{_length(coupon, scores[1])}"
    )
    first = f"{strip.piece}   outside"
    if strip.along:
        strokes += [
            line(_fold_kind(coupon), (box.left + at, box.bottom), (box.left + at, box.top))
            for at in scores
        ]
        left, base = box.left + wall + 2.0, box.top - 5.0
        labels = [
            Label(first, (left, base), TYPE_MM),
            Label(caption, (box.left, box.bottom - 4.0), SMALL_MM),
        ]
        if strip is coupon.gauged:
            _add_plug_blanks(strokes, labels, (left + 25.0, base))
        return _with_blanks(strokes, labels, (left, base), upright=False)
    strokes += [
        line(_fold_kind(coupon), (box.left, box.bottom + at), (box.right, box.bottom + at))
        for at in scores
    ]
    left, base = box.left + 5.0, box.bottom + wall + 2.0
    labels = [
        Label(first, (left, base), TYPE_MM, upright=True),
        Label(caption, (box.right + 2.8, box.bottom), SMALL_MM, upright=True),
    ]
    return _with_blanks(strokes, labels, (left, base), upright=True)


def _with_blanks(strokes: list[Stroke], labels: list[Label], at: Point, *, upright: bool) -> Items:
    """A line to write on for each reading, below or beside the piece's name."""
    for number in range(1, ENDS + 1):
        if upright:
            x = at[0] + 5.5 * number
            strokes.append(line(LineKind.THIN, (x, at[1]), (x, at[1] + BLANK_MM)))
            labels.append(Label("mm", (x, at[1] + BLANK_MM + 1.0), SMALL_MM, upright=True))
        else:
            y = at[1] - 5.5 * number
            strokes.append(line(LineKind.THIN, (at[0], y), (at[0] + BLANK_MM, y)))
            labels.append(Label("mm", (at[0] + BLANK_MM + 1.0, y), SMALL_MM))
    return strokes, labels


def _add_plug_blanks(strokes: list[Stroke], labels: list[Label], at: Point) -> None:
    x, y = at
    labels.append(Label("inside", at, TYPE_MM))
    for number, name in enumerate(("in", "not in"), 1):
        base = y - 5.5 * number
        strokes.append(line(LineKind.THIN, (x, base), (x + 12.0, base)))
        labels.append(Label(name, (x + 13.0, base), SMALL_MM))


def _hem(coupon: Coupon, at: Point) -> Items:
    x, y = at
    wide = coupon.hem_mm + 22.0
    box = Box(x, y, x + wide, y + 24.0)
    strokes = [
        rectangle(LineKind.CUT, box),
        line(_fold_kind(coupon), (x + coupon.hem_mm, y), (x + coupon.hem_mm, box.top)),
    ]
    blank, unit = _blank((x + 2.0, y + 6.0))
    labels = [
        Label("H   hem", (x + 2.0, box.top - 5.0), TYPE_MM),
        Label(
            f"score {_length(coupon, coupon.hem_mm)} from the left edge",
            (x, box.top + 1.5),
            SMALL_MM,
        ),
        *unit,
    ]
    return [*strokes, *blank], labels


def _tray(coupon: Coupon, stock: Stock, at: Point) -> Items:
    """The tray of the program's own pattern, so that its corners are those of the boxes."""
    recipe = WalledRecipe(
        part="coupon",
        style="tray",
        stock=stock,
        width_mm=coupon.tray_mm,
        length_mm=coupon.tray_mm,
        depth_mm=coupon.wall_mm,
        joint_mm=0.1,
        tabs=Axis.LENGTH,
        tab_setback_mm=0.0,
    )
    plan = plan_of(laid(draw(recipe), coupon.score_face))
    sheet = plan.sheet
    strokes = [rectangle(LineKind.CUT, Box(0.0, 0.0, sheet.width_mm, sheet.length_mm))]
    for kind, lines in ((_fold_kind(coupon), plan.scores), (LineKind.CUT, plan.cuts)):
        for ruled in lines:
            size = sheet.width_mm if ruled.fence.upright else sheet.length_mm
            away = size - ruled.at_mm if ruled.fence.far else ruled.at_mm
            ends = [(away, ruled.start_mm), (away, ruled.stop_mm)]
            if not ruled.fence.upright:
                ends = [(b, a) for a, b in ends]
            strokes.append(line(kind, ends[0], ends[1]))
    strokes += [line(LineKind.CUT, slant.start_mm, slant.stop_mm) for slant in plan.slant_cuts]
    wall, floor = coupon.wall_mm, coupon.tray_mm
    left, top = wall + 2.0, wall + floor
    caption = f"scores {_length(coupon, wall)} and {_length(coupon, wall + floor)},"
    labels = [
        Label(f"K   tray {_length(coupon, floor)}", (left, top - 5.0), TYPE_MM),
        Label("back", (wall + floor / 2, top + wall / 2 - 1.0), SMALL_MM, Anchor.MIDDLE),
        Label("front", (wall + floor / 2, wall / 2 - 1.0), SMALL_MM, Anchor.MIDDLE),
        Label("front to back, at the rim", (left, top - 10.0), SMALL_MM),
        Label(caption, (left, wall + 6.5), SMALL_MM),
        Label("both ways, from one edge", (left, wall + 2.5), SMALL_MM),
    ]
    for row in range(2):
        blank, unit = _blank((left, top - 17.0 - 5.5 * row))
        strokes += blank
        labels += unit
    moved = [stroke.moved(*at) for stroke in strokes]
    return moved, [label.moved(*at) for label in labels]


def _blank(at: Point) -> Items:
    x, y = at
    return (
        [line(LineKind.THIN, (x, y), (x + BLANK_MM, y))],
        [Label("mm", (x + BLANK_MM + 1.0, y), SMALL_MM)],
    )


def _length(coupon: Coupon, mm: float) -> str:
    return show_inches(mm) if coupon.unit.value == "in" else f"{mm:g} mm"
