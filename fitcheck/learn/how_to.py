"""How to make and read a coupon: one page of small pictures with a few words to each."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fitcheck.drawing.shapes import (
    Anchor,
    Box,
    Drawing,
    Items,
    Label,
    LineKind,
    Point,
    Stroke,
    line,
    paragraph,
    rectangle,
)
from fitcheck.drawing.text_pages import wrapped

WIDTH_MM, LENGTH_MM = 194.0, 242.0
"""Fits on A4 and on US letter with the strip at the foot."""
CELL_MM = (97.0, 75.0)
PICTURE_MM = 40.0
TYPE_MM = 2.7
SHEET_MM = 1.6
"""Paper is drawn thicker than it is."""
JAW_MM = (4.0, 17.0)
Cell = tuple[str, Callable[[], Items], str]
"""A heading, a picture and the words below it."""


def how_to_drawing(
    stock: str,
    tools: str,
    csv_name: str,
    score_face: str,
    *,
    in_grooves: bool = True,
    half_cut: bool = False,
) -> Drawing:
    """What to fold, where the caliper goes and how hard to press."""
    where = "in the groove" if in_grooves else "along a rule"
    said = HALF_CUT if half_cut else SCORED[score_face] | {"stroke": f"One stroke {where}"}
    title = f"How to make and read the coupon of {stock}"
    cells = [(head.format(**said), drawn, words.format(**said)) for head, drawn, words in _CELLS]
    last = _last(csv_name, learn_command(stock, csv_name, tools))
    return page_of_cells("how to read the coupon", title, cells, last)


def learn_command(name: str, csv_name: str, tools: str | None) -> str:
    """What is typed when all is read: the name, its readings, the tools that made the coupon."""
    made_with = "" if tools is None else f" --tools {tools}"
    return f"fitcheck learn {name} {csv_name}{made_with}"


def page_of_cells(name: str, title: str, cells: Sequence[Cell], last: Sequence[str]) -> Drawing:
    """Up to six small pictures with a few words to each, and lines at the foot."""
    strokes: list[Stroke] = []
    labels: list[Label] = [Label(title, (0.0, 238.0), 3.4)]
    for number, (head, picture, words) in enumerate(cells):
        column, row = number % 2, number // 2
        x, y = column * CELL_MM[0], LENGTH_MM - 8.0 - (row + 1) * CELL_MM[1]
        drawn, named = picture()
        strokes += [stroke.moved(x, y + CELL_MM[1] - PICTURE_MM - 8.0) for stroke in drawn]
        labels += [label.moved(x, y + CELL_MM[1] - PICTURE_MM - 8.0) for label in named]
        labels.append(Label(f"{number + 1}  {head}", (x, y + CELL_MM[1] - 5.0), 3.0))
        text = wrapped(words, TYPE_MM, CELL_MM[0] - 8.0)
        labels += [
            Label(label.text.strip(), label.at, label.height_mm)
            for label in paragraph(text, (x, y + CELL_MM[1] - PICTURE_MM - 12.0), TYPE_MM)
        ]
    labels += paragraph(tuple(last), (0.0, 8.0), TYPE_MM)
    return Drawing(name, WIDTH_MM, LENGTH_MM, tuple(strokes), tuple(labels))


def _last(csv_name: str, command: str) -> tuple[str, ...]:
    return (
        f"Write every reading into {csv_name}, one to a row: in mm, with who, when, the instrument "
        "and its step (a caliper: 0.01).",
        f"Then: {command}",
        "Cut away from the hand, on a mat, against a metal rule, with a fresh blade; cap it. "
        "Adults cut for children.",
    )


def jaw(x: float, tip: float, *, right: bool, up: bool = True) -> list[Stroke]:
    """One jaw of a caliper that touches at x, its tip at y = ``tip``."""
    wide, tall = JAW_MM
    out = x + (wide if right else -wide)
    end = tip + (tall if up else -tall)
    return [
        Stroke(
            LineKind.CUT,
            ((x, tip), (x, end), (out, end), (out, tip + (2 if up else -2))),
            closed=True,
        )
    ]


def span(left: float, right: float, y: float, text: str) -> Items:
    """A dimension line with its word."""
    strokes = [line(LineKind.THIN, (left, y), (right, y))]
    for x, way in ((left, 1.0), (right, -1.0)):
        strokes += [
            line(LineKind.THIN, (x, y), (x + 2.0 * way, y + 0.7)),
            line(LineKind.THIN, (x, y), (x + 2.0 * way, y - 0.7)),
        ]
    return strokes, [Label(text, ((left + right) / 2, y + 0.9), TYPE_MM, Anchor.MIDDLE)]


def bent(*points: Point) -> Stroke:
    """A piece of paper, seen from its edge."""
    return Stroke(LineKind.CUT, points, closed=True)


def _channel(left: float, right: float, base: float, wall: float) -> Stroke:
    """Section of a channel: outside, then back along the inside."""
    t = SHEET_MM
    return bent(
        (left, base + wall),
        (left, base),
        (right, base),
        (right, base + wall),
        (right - t, base + wall),
        (right - t, base + t),
        (left + t, base + t),
        (left + t, base + wall),
    )


def _stack() -> Items:
    strokes = [
        rectangle(LineKind.CUT, Box(28.0 + SHEET_MM * k, 8.0, 28.0 + SHEET_MM * (k + 1), 36.0))
        for k in range(10)
    ]
    strokes += jaw(28.0, 14.0, right=False) + jaw(44.0, 14.0, right=True)
    found, named = span(28.0, 44.0, 3.5, "read")
    return strokes + found, named


def _fold() -> Items:
    t = SHEET_MM
    floor = bent(
        (10.0, 8.0),
        (52.0, 8.0),
        (52.0, 30.0),
        (52.0 - t, 30.0),
        (52.0 - t, 8.0 + t),
        (10.0, 8.0 + t),
    )
    block = rectangle(LineKind.THIN, Box(22.0, 8.0 + t, 52.0 - t, 24.0))
    arrow = [
        line(LineKind.THIN, (64.0, 20.0), (53.0, 20.0)),
        line(LineKind.THIN, (53.0, 20.0), (55.5, 21.0)),
        line(LineKind.THIN, (53.0, 20.0), (55.5, 19.0)),
    ]
    labels = [
        Label("block", (36.0, 15.5), TYPE_MM, Anchor.MIDDLE),
        Label("press", (65.5, 19.2), TYPE_MM),
    ]
    return [floor, block, *arrow], labels


def _outside() -> Items:
    strokes = [_channel(18.0, 62.0, 14.0, 20.0)]
    strokes += jaw(18.0, 20.0, right=False, up=False) + jaw(62.0, 20.0, right=True, up=False)
    found, named = span(18.0, 62.0, 9.0, "at the crease")
    return strokes + found, named


def _inside() -> Items:
    plug = [
        rectangle(LineKind.THIN, Box(40.0 - half, base, 40.0 + half, base + 6.0))
        for half, base in ((18.6, 12.0), (19.8, 18.0), (21.6, 24.0))
    ]
    walls = [
        rectangle(LineKind.CUT, Box(x, 3.0, x + SHEET_MM, 24.0)) for x in (18.3, 61.7 - SHEET_MM)
    ]
    shown = [*walls, *plug]
    labels = [
        Label("in", (40.0, 14.0), TYPE_MM, Anchor.MIDDLE),
        Label("in", (40.0, 20.0), TYPE_MM, Anchor.MIDDLE),
        Label("not in", (40.0, 26.0), TYPE_MM, Anchor.MIDDLE),
        Label("seen from above", (66.0, 4.0), TYPE_MM),
    ]
    return shown, labels


def _hem() -> Items:
    t = SHEET_MM
    strip = bent(
        (20.0, 16.0),
        (62.0, 16.0),
        (62.0, 16.0 + 2 * t),
        (30.0, 16.0 + 2 * t),
        (30.0, 16.0 + t),
        (20.0, 16.0 + t),
    )
    strokes = [strip, line(LineKind.THIN, (30.0, 16.0 + t), (60.5, 16.0 + t))]
    strokes += jaw(20.0, 12.0, right=False) + jaw(62.0, 12.0, right=True)
    found, named = span(20.0, 62.0, 7.0, "cut edge to fold")
    return strokes + found, named


def _rim() -> Items:
    t = SHEET_MM
    outer, inner = Box(24.0, 4.0, 56.0, 36.0), Box(24.0 + t, 4.0 + t, 56.0 - t, 36.0 - t)
    strokes = [rectangle(LineKind.CUT, outer), rectangle(LineKind.CUT, inner)]
    for x, y in ((inner.left, inner.bottom), (inner.left, inner.top - 9.0)):
        strokes.append(rectangle(LineKind.GLUE, Box(x, y, x + t, y + 9.0)))
    for x, y in ((inner.right - t, inner.bottom), (inner.right - t, inner.top - 9.0)):
        strokes.append(rectangle(LineKind.GLUE, Box(x, y, x + t, y + 9.0)))
    strokes += jaw(outer.left, 14.0, right=False) + jaw(outer.right, 14.0, right=True)
    labels = [
        Label("tabs", (40.0, 27.0), TYPE_MM, Anchor.MIDDLE),
        Label("seen from above", (64.0, 4.0), TYPE_MM),
    ]
    return strokes, labels


SCORED = {
    "outside": {
        "make": "Score",
        "score": "on what will be the outside; turn the strip over.",
        "way": "towards the bead",
    },
    "inside": {
        "make": "Score",
        "score": "on what will be the inside.",
        "way": "towards the score",
    },
}
"""What a maker does who presses that face of folds."""
HALF_CUT = {
    "make": "Cut",
    "stroke": "Half through in light strokes along a steel rule",
    "score": "on what will be the outside; turn the strip over.",
    "way": "away from the cut",
}
"""What a maker does whose board is too thick to press."""
_CELLS: tuple[Cell, ...] = (
    (
        "Stack",
        _stack,
        "Ten strips A, edges level. Close the jaws on the middle with the thumb wheel until they "
        "just hold the stack when you lift it, about the weight of an apple (1 N): harder squeezes "
        "the paper. Five readings, the strips shuffled in between.",
    ),
    (
        "{make} and fold",
        _fold,
        "{stroke}, {score} Fold up to 90 degrees, {way}, against the printed block, "
        "press the wall with the flat of a finger about as hard as you ring a door bell (10 N), "
        "and let it stand five minutes.",
    ),
    (
        "Channel, outside",
        _outside,
        "B to G. Both walls against a block or held upright. The jaws touch the outside at the "
        "crease, no higher than 3 mm; they must not dent it. One reading near either end. On a "
        "later day, write the air of both days into note: made at 45 % rh, 60 % rh.",
    ),
    (
        "Channel, inside",
        _inside,
        "C. Lay the plug on the floor between the walls and push it along, narrow end first, with "
        "the tip of a finger until it stops. Write the widest step that went in as go_mm, the "
        "next one as nogo_mm: what they measure with a caliper, not what is engraved.",
    ),
    (
        "Hem",
        _hem,
        "H. Fold right over and rub the fold closed with the back of a nail. Read from the cut "
        "edge that lay at the fence to the outside of the fold.",
    ),
    (
        "Tray corner",
        _rim,
        "K. Glue the tabs as on a box, inside the front and the back wall, and let it dry. Read "
        "from front to back at the rim, near either corner: the tabs push these walls out.",
    ),
)
