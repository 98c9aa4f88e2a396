"""How to read a fold's spring with a coin and a lid's play with a stopwatch: a page of pictures."""

from __future__ import annotations

from fitcheck.drawing.shapes import (
    Anchor,
    Box,
    Drawing,
    Items,
    Label,
    LineKind,
    Stroke,
    line,
    rectangle,
)
from fitcheck.learn.how_to import SHEET_MM, TYPE_MM, Cell, bent, learn_command, page_of_cells, span

LEAN = 0.17
"""The slope of a box that leans by 10 degrees."""
COIN_MM = (7.0, 1.4)


def feel_how_to(stock: str, tools: str, csv_name: str) -> Drawing:
    """What to lay a coin on, and how to let a lid go."""
    title = f"How a fold springs and how a lid sinks: {stock}"
    last = (
        f"Coin readings go into {csv_name}, feature rim, the coin's mass in the note. Then:",
        learn_command(stock, csv_name, tools),
        "Times of a lid are told of its box: fitcheck record DESIGN --outcome slid "
        '--sink "6.2 5.9 6.4 s" --sink "leaning 1.6 s"',
    )
    return page_of_cells("how to time a lid", title, _CELLS, last)


def _arrow_down(x: float, top: float, tip: float) -> list[Stroke]:
    return [
        line(LineKind.THIN, (x, top), (x, tip)),
        line(LineKind.THIN, (x, tip), (x - 1.0, tip + 2.5)),
        line(LineKind.THIN, (x, tip), (x + 1.0, tip + 2.5)),
    ]


def _coin(x: float, y: float) -> Stroke:
    wide, high = COIN_MM
    return rectangle(LineKind.CUT, Box(x - wide / 2, y, x + wide / 2, y + high))


def _rim() -> Items:
    t = SHEET_MM
    lying = bent(
        (50.0, 6.0),
        (20.0, 6.0),
        (20.0, 30.0),
        (52.0, 26.0),
        (52.0, 26.0 - t),
        (20.0 + t, 30.0 - t),
        (20.0 + t, 6.0 + t),
        (50.0, 6.0 + t),
    )
    block = rectangle(LineKind.THIN, Box(6.0, 6.0, 20.0, 30.0))
    level = line(LineKind.THIN, (20.0, 30.0), (60.0, 30.0))
    found, named = span(20.0, 52.0, 1.5, "wall")
    labels = [
        Label("block", (13.0, 17.0), TYPE_MM, Anchor.MIDDLE),
        Label("coin", (49.0, 32.5), TYPE_MM, Anchor.MIDDLE),
        Label("read", (62.0, 27.0), TYPE_MM),
    ]
    gap = [line(LineKind.THIN, (60.0, 30.0), (60.0, 25.5)), *_arrow_down(60.0, 30.0, 25.5)]
    return [lying, block, level, _coin(49.0, 26.6), *gap, *found], [*labels, *named]


def _box(x: float, y: float) -> Stroke:
    """The section of a base that stands at x, y."""
    t = SHEET_MM
    return bent(
        (x, y + 16.0),
        (x, y),
        (x + 34.0, y),
        (x + 34.0, y + 16.0),
        (x + 34.0 - t, y + 16.0),
        (x + 34.0 - t, y + t),
        (x + t, y + t),
        (x + t, y + 16.0),
    )


def _lid(x: float, y: float) -> Stroke:
    """The section of a lid whose rim is at y."""
    t = SHEET_MM
    return bent(
        (x, y),
        (x, y + 13.0),
        (x + 40.0, y + 13.0),
        (x + 40.0, y),
        (x + 40.0 - t, y),
        (x + 40.0 - t, y + 13.0 - t),
        (x + t, y + 13.0 - t),
        (x + t, y),
    )


def _leaning(stroke: Stroke) -> Stroke:
    """Turned a little about the foot of the picture."""
    turned = tuple((x + LEAN * y, y - LEAN * (x - 20.0)) for x, y in stroke.points)
    return Stroke(stroke.kind, turned, closed=stroke.closed)


def _level() -> Items:
    strokes = [_box(23.0, 3.0), _lid(20.0, 17.0), *_arrow_down(70.0, 30.0, 17.0)]
    strokes.append(line(LineKind.THIN, (10.0, 3.0), (74.0, 3.0)))
    return strokes, [Label("let go", (72.0, 24.0), TYPE_MM)]


def _lean() -> Items:
    strokes = [_leaning(_box(23.0, 9.0)), _leaning(_lid(20.6, 23.0))]
    strokes += [
        line(LineKind.THIN, (10.0, 3.0), (74.0, 3.0)),
        _leaning(line(LineKind.THIN, (18.0, 9.0), (64.0, 9.0))),
    ]
    return strokes, [Label("10 degrees", (66.0, 6.0), TYPE_MM)]


def _on_lid() -> Items:
    strokes, _ = _level()
    return [*strokes, _coin(40.0, 30.2)], [Label("coin", (46.0, 32.5), TYPE_MM)]


def _halves() -> Items:
    mark = line(LineKind.THIN, (14.0, 11.0), (68.0, 11.0))
    strokes, _ = _level()
    return [*strokes, mark], [
        Label("upper", (12.0, 14.0), TYPE_MM, Anchor.END),
        Label("lower", (12.0, 6.0), TYPE_MM, Anchor.END),
    ]


def _twice() -> Items:
    strokes, _ = _level()
    labels = [
        Label("before", (6.0, 32.0), TYPE_MM),
        Label("and after", (6.0, 28.0), TYPE_MM),
    ]
    return strokes, labels


_CELLS: tuple[Cell, ...] = (
    (
        "A coin on the edge",
        _rim,
        "C and F. Hold the floor upright against a block, one wall on the table, the other level. "
        "Read how high its free edge is, lay a small coin on the middle of the edge, read again "
        "after a minute: the difference is the reading, the wall's height the nominal.",
    ),
    (
        "Level",
        _level,
        "Box on the table, air of the room. Set the lid on level by its corners, let go without "
        "pushing; start when it moves, stop when it sits. Five times. Only lids that take more "
        "than 2 s tell much.",
    ),
    (
        "Leaning",
        _lean,
        "The same with one corner lowest, on a board that leans by 10 degrees (17 in 100): the lid "
        "then rests in that corner and not anywhere.",
    ),
    (
        "With a coin",
        _on_lid,
        "The same, level, a weighed coin in the middle of the lid. With and without tells what "
        "rubs from what the air carries.",
    ),
    (
        "Two halves",
        _halves,
        "A pencil mark at half the way: the time to it, and from it. Air in the gap takes more "
        "than twice as long for the lower half, air through the paper about as long.",
    ),
    (
        "One box twice",
        _twice,
        "Time it, change something on this very box, time it again: --before tells what changed to "
        "some hundredths of a millimetre, as the model's error is the same both times.",
    ),
)
