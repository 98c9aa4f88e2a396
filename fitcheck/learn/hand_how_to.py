"""How to make and read the coupon of a hand: small pictures with a few words to each."""

from __future__ import annotations

from fitcheck.drawing.shapes import (
    Anchor,
    Box,
    Drawing,
    Items,
    Label,
    LineKind,
    Point,
    line,
    rectangle,
)
from fitcheck.learn.how_to import (
    SHEET_MM,
    TYPE_MM,
    Cell,
    bent,
    jaw,
    learn_command,
    page_of_cells,
    span,
)


def hand_how_to(tools: str, csv_name: str, like: str | None = None) -> Drawing:
    """What to cut, score, fold over and read, and what to write where.

    New ``tools`` are ``like`` some that are known.
    """
    title = f"How to make and read the coupon of the hand with {tools}"
    last = (
        f"Write every reading into {csv_name}, one to a row: in mm, with who cut and scored (by), "
        "when, the instrument, its step.",
        f"Rows that were not read stay empty. Then: {learn_command(tools, csv_name, like)}",
        "Cut away from the hand, on a mat, against a metal rule, with a fresh blade; cap it. "
        "Adults cut for children.",
    )
    return page_of_cells("how to read the coupon of the hand", title, _CELLS, last)


def _arrow(start: Point, stop: Point) -> Items:
    (x, y), (a, _) = start, stop
    back = 2.5 if a < x else -2.5
    return (
        [
            line(LineKind.THIN, start, stop),
            line(LineKind.THIN, stop, (a + back, y + 1.0)),
            line(LineKind.THIN, stop, (a + back, y - 1.0)),
        ],
        [],
    )


def _cut() -> Items:
    strokes = [
        rectangle(LineKind.THIN, Box(10.0, 6.0, 14.0, 34.0)),
        rectangle(LineKind.CUT, Box(14.0, 12.0, 70.0, 28.0)),
        line(LineKind.SCORE, (58.0, 6.0), (58.0, 34.0)),
    ]
    found, named = span(14.0, 58.0, 7.0, "the trimmer's mark")
    labels = [
        Label("stop", (8.6, 16.0), TYPE_MM, upright=True),
        Label("blade", (60.0, 31.0), TYPE_MM),
    ]
    return strokes + found, named + labels


def _score() -> Items:
    strokes = [
        rectangle(LineKind.THIN, Box(10.0, 6.0, 14.0, 34.0)),
        rectangle(LineKind.CUT, Box(14.0, 12.0, 58.0, 28.0)),
        line(LineKind.SCORE, (30.0, 12.0), (30.0, 28.0)),
        line(LineKind.SCORE, (44.0, 12.0), (44.0, 28.0)),
    ]
    strokes += [line(LineKind.THIN, (x, 30.0), (x, 33.0)) for x in range(22, 63, 8)]
    labels = [
        Label("fence", (8.6, 16.0), TYPE_MM, upright=True),
        Label("grooves", (64.0, 31.0), TYPE_MM),
        Label("in a groove", (30.0, 8.0), TYPE_MM, Anchor.MIDDLE),
        Label("between", (53.0, 8.0), TYPE_MM, Anchor.MIDDLE),
    ]
    return strokes, labels


def _folded(near: bool) -> Items:
    """Section of a strip folded over; the side that is gripped lies below."""
    t = SHEET_MM
    long, short = (60.0, 40.0) if near else (40.0, 60.0)
    low, tip_at, read_at = (16.0, 12.0, 6.0) if near else (20.0, 20.0 + SHEET_MM, 3.0)
    tip, other = 76.0 - long, 76.0 - short
    strip = bent(
        (tip, low),
        (76.0, low),
        (76.0, low + 2 * t),
        (other, low + 2 * t),
        (other, low + t),
        (tip, low + t),
    )
    strokes = [strip, line(LineKind.THIN, (max(tip, other), low + t), (74.5, low + t))]
    strokes += jaw(tip, tip_at, right=False, up=near) + jaw(76.0, tip_at, right=True, up=near)
    found, named = span(tip, 76.0, read_at, "edge to fold")
    which = "edge that lay at the fence" if near else "the other edge"
    return strokes + found, [*named, Label(which, (4.0, 36.0), TYPE_MM)]


def _near() -> Items:
    return _folded(True)


def _far() -> Items:
    return _folded(False)


def _knife() -> Items:
    strokes = [rectangle(LineKind.CUT, Box(8.0, 8.0, 80.0, 30.0))]
    for k, x in enumerate((20.0, 32.0, 44.0, 56.0, 68.0)):
        strokes.append(line(LineKind.CUT if k < 2 else LineKind.SCORE, (x, 8.0), (x, 30.0)))
    labels = [Label(f"K{k + 1}", (14.0 + 12.0 * k, 17.0), TYPE_MM, Anchor.MIDDLE) for k in range(6)]
    return strokes, labels


def _ruler() -> Items:
    strokes = [
        rectangle(LineKind.CUT, Box(10.0, 16.0, 66.0, 32.0)),
        line(LineKind.SCORE, (46.0, 16.0), (46.0, 32.0)),
        line(LineKind.THIN, (10.0, 14.0), (82.0, 14.0)),
    ]
    strokes += [
        line(LineKind.THIN, (10.0 + 2 * k, 14.0), (10.0 + 2 * k, 10.0 if k % 5 else 8.0))
        for k in range(37)
    ]
    return strokes, [Label("read", (46.0, 3.5), TYPE_MM, Anchor.MIDDLE)]


_CELLS: tuple[Cell, ...] = (
    (
        "Cut",
        _cut,
        "Strips P to Y from one sheet of a box's card. Square one end, then cut each to its length "
        "by the trimmer's own marks, as you cut a box: no second cut, no correcting. Write the "
        "letter on it. Read its length flat with the caliper: feature 'cut'.",
    ),
    (
        "Score",
        _score,
        "The squared end at the fence. One score in a groove, one between grooves, at the numbers "
        "on the sheet, as you score a box. Set each strip anew; do them in a mixed order.",
    ),
    (
        "Fold over, near side",
        _near,
        "Fold right over at one score, rub it closed with the back of a nail. Read from the edge "
        "that lay at the fence to the fold: feature 'fold-near'.",
    ),
    (
        "Fold over, far side",
        _far,
        "The same fold, from the other edge: feature 'fold-far'. Half the difference of both tells "
        "the score's place whatever the fold stands out. Open it, do the other score. Strips P to "
        "S once more when all are done.",
    ),
    (
        "Knife",
        _knife,
        "All pencil marks first, from a straight end of a piece of the card, K1 at that end. Then "
        "six cuts along a metal rule, as for tabs and mitres. Read how wide each piece came out: "
        "feature 'knife'.",
    ),
    (
        "No caliper",
        _ruler,
        "Lay the flat strip along the printed ruler, its end at 0, and read the middle of each "
        "score to half a millimetre: write 'score' for 'fold-near', resolution 0.5, and leave "
        "'fold-far' empty. It tells offsets well, small scatter badly.",
    ),
)
