"""A drawing goes on pages of a paper: whole where it fits, otherwise tiled with register marks."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.drawing.clipping import clip_stroke, parted
from fitcheck.drawing.furniture import (
    ADVICE,
    JOIN_ADVICE,
    TYPE_MM,
    bars_width_mm,
    check_bars,
    legend,
    page_text,
    register_mark,
)
from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.page_sizes import PAPER_SIZES, Paper, PaperSize
from fitcheck.drawing.seams import OVERLAP_MM, Span, spans
from fitcheck.drawing.shapes import (
    Anchor,
    Box,
    Drawing,
    Items,
    Label,
    LineKind,
    Stroke,
    rectangle,
)
from fitcheck.drawing.tiles import needed
from fitcheck.errors import InputError

MARGIN_MM = 7.0
"""What few printers can print on."""
FOOT_MM = 19.0
"""Height of the strip below the drawing."""
MARK_MM = 3.0
MOST_PAGES = 60
"""Pages of one drawing: nobody joins more, and marks are looked for on every one."""
OVERVIEW_MOST = 0.7
"""No overview is larger, so that nobody takes it for the sheet."""
OVERVIEW_TYPE_MM = 5.0
LEFT_OUT = "not printed"
"""What the overview says of a tile that has no page."""


@dataclass(frozen=True)
class Page:
    """One page to print at 1:1, all in mm from its bottom left."""

    title: str
    width_mm: float
    height_mm: float
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    number: int
    total: int
    window: Box
    """What it shows of the drawing, in the drawing's own place."""
    offset: tuple[float, float]
    """Added to a place on the drawing gives the place on the page."""


def lay_on_pages(drawing: Drawing, paper: Paper) -> tuple[Page, ...]:
    """Put a drawing on as few pages as it needs, the paper upright or on its side.

    Tiles that show nothing to cut, score, glue or read are left out.

    Raises InputError when they are more than 60.
    """
    _refuse_too_many(drawing, paper)
    tiling = _tiling(drawing, paper)
    places = _places(tiling.windows) if sum(tiling.kept) > 1 else [""] * len(tiling.windows)
    tiles = zip(tiling.windows, places, tiling.kept, strict=True)
    kept = [(window, place) for window, place, stays in tiles if stays]
    marks = _marks(drawing, tiling)
    return tuple(
        _page(drawing, tiling.size, window, marks, ((number, len(kept)), place))
        for number, (window, place) in enumerate(kept, start=1)
    )


@dataclass(frozen=True)
class _Tiling:
    """How a drawing is parted, and which of its tiles are printed."""

    size: PaperSize
    windows: list[Box]
    kept: list[bool]


def _tiling(drawing: Drawing, paper: Paper) -> _Tiling:
    size = PAPER_SIZES[paper]
    choices = []
    for way in (size, size.turned):
        windows = _windows(drawing, way)
        kept = [True] if len(windows) == 1 else needed(drawing, windows)
        choices.append(_Tiling(way, windows, kept))
    return min(choices, key=lambda tiling: (sum(tiling.kept), len(tiling.windows)))


def _refuse_too_many(drawing: Drawing, paper: Paper) -> None:
    fewest = min(
        math.ceil(drawing.width_mm / across) * math.ceil(drawing.length_mm / along)
        for across, along in map(room_on, (PAPER_SIZES[paper], PAPER_SIZES[paper].turned))
    )
    if fewest > MOST_PAGES:
        raise InputError(
            f"{drawing.title}: its drawing of {drawing.width_mm:.0f} x {drawing.length_mm:.0f} mm "
            f"takes {fewest} pages of {paper}; allowed: up to {MOST_PAGES}; ask for a larger "
            "--paper, for --format dxf alone, which is whole, or make the part smaller"
        )


def room_on(size: PaperSize) -> tuple[float, float]:
    """Width and height that a page leaves for a drawing, mm."""
    return size.width_mm - 2 * MARGIN_MM, size.height_mm - 2 * MARGIN_MM - FOOT_MM


def page_furniture(
    title: str, size: PaperSize, kinds: Iterable[LineKind], pages: tuple[int, int], place: str = ""
) -> Items:
    """The strip at the foot of a page: title, page, scale, check bars and legend.

    `place` says which part of a tiled drawing the page shows.
    """
    left, right, base = MARGIN_MM, size.width_mm - MARGIN_MM, MARGIN_MM + 1.0
    labels = page_text(title, f"page {pages[0]} of {pages[1]}{place}", left, right, base)
    advice = f"{ADVICE} {JOIN_ADVICE}" if place else ADVICE
    labels.append(Label(advice, (left, base + 4.2), TYPE_MM))
    beside = left + bars_width_mm()
    rows = (left, base + 8.4), (beside, base + 12.0), (beside, base + 15.6)
    strokes, names = legend(kinds, rows, right)
    bars, lengths = check_bars(left, base + 14.2)
    return strokes + bars, labels + names + lengths


def _windows(drawing: Drawing, size: PaperSize) -> list[Box]:
    """What each page shows, row by row from the top."""
    boxes = [label.box for label in drawing.labels]
    room = room_on(size)
    columns = spans(drawing.width_mm, room[0], [(box.left, box.right) for box in boxes])
    rows = spans(drawing.length_mm, room[1], [(box.bottom, box.top) for box in boxes])
    return [Box(x[0], y[0], x[1], y[1]) for y in reversed(rows) for x in columns]


def _places(windows: list[Box]) -> list[str]:
    """Which row and column each window is in; nothing for a drawing on one page."""
    if len(windows) == 1:
        return [""]
    rows = sorted({window.bottom for window in windows}, reverse=True)
    columns = sorted({window.left for window in windows})
    return [
        f" (row {rows.index(w.bottom) + 1}, column {columns.index(w.left) + 1})" for w in windows
    ]


def _marks(drawing: Drawing, tiling: _Tiling) -> list[Stroke]:
    """Register marks in the strips that neighbouring pages share, clear of every text."""
    windows = tiling.windows
    printed = [window for window, stays in zip(windows, tiling.kept, strict=True) if stays]
    placer = Placer(Box(0.0, 0.0, drawing.width_mm, drawing.length_mm))
    for label in drawing.labels:
        placer.add_label(label)
    columns = sorted({(window.left, window.right) for window in windows})
    rows = sorted({(window.bottom, window.top) for window in windows})
    marks: list[Stroke] = []
    for strip in _shared(columns):
        for row in rows:
            for at in _clear_places(placer, strip, row, level=False):
                marks += register_mark(at) if _on_two(at, printed) else []
    for strip in _shared(rows):
        for column in columns:
            for at in _clear_places(placer, strip, column, level=True):
                marks += register_mark(at) if _on_two(at, printed) else []
    return marks


def _on_two(at: tuple[float, float], printed: Sequence[Box]) -> bool:
    """Whether a mark has a twin to be laid on."""
    own = Box(at[0], at[1], at[0], at[1]).grown(MARK_MM)
    return sum(own.inside(window) for window in printed) > 1


def _shared(stretches: list[Span]) -> list[Span]:
    return [(after[0], before[1]) for before, after in itertools.pairwise(stretches)]


def _clear_places(
    placer: Placer, strip: Span, along: Span, *, level: bool
) -> list[tuple[float, float]]:
    """One place near either end of a shared strip."""
    middle = 0.5 * (strip[0] + strip[1])
    low, high = along[0] + OVERLAP_MM + MARK_MM, along[1] - OVERLAP_MM - MARK_MM
    steps = [low + n * (high - low) / 60 for n in range(61)]
    found = []
    for order in (steps, steps[::-1]):
        for place in order:
            x, y = (place, middle) if level else (middle, place)
            if placer.is_free(Box(x - MARK_MM, y - MARK_MM, x + MARK_MM, y + MARK_MM)):
                found.append((x, y))
                break
    return found


def _page(
    drawing: Drawing,
    size: PaperSize,
    window: Box,
    marks: list[Stroke],
    numbered: tuple[tuple[int, int], str],
) -> Page:
    pages, place = numbered
    room = room_on(size)
    dx = MARGIN_MM - window.left + 0.5 * (room[0] - (window.right - window.left))
    dy = MARGIN_MM + FOOT_MM - window.bottom + 0.5 * (room[1] - (window.top - window.bottom))
    strokes, labels = page_furniture(
        drawing.title, size, {stroke.kind for stroke in drawing.strokes}, pages, place
    )
    for stroke in (*drawing.strokes, *marks):
        strokes += [piece.moved(dx, dy) for piece in clip_stroke(stroke, window)]
    labels += [label.moved(dx, dy) for label in drawing.labels if label.box.inside(window)]
    return Page(
        title=drawing.title,
        width_mm=size.width_mm,
        height_mm=size.height_mm,
        strokes=tuple(strokes),
        labels=tuple(labels),
        number=pages[0],
        total=pages[1],
        window=window,
        offset=(dx, dy),
    )


def overview_page(drawing: Drawing, pages: Sequence[Page], paper: Paper) -> Page:
    """A tiled drawing as a whole, small, with the outline and the number of each of its pages."""
    size = PAPER_SIZES[paper]
    room = room_on(size)
    by = min(room[0] / drawing.width_mm, room[1] / drawing.length_mm, OVERVIEW_MOST)
    small = drawing.scaled(by)
    left_out = (LineKind.THIN, LineKind.GLUE, LineKind.GLUE_HERE)
    strokes = [stroke for stroke in small.strokes if stroke.kind not in left_out]
    labels = []
    tiling = _tiling(drawing, paper)
    printed = iter(pages)
    for box, stays in zip(tiling.windows, tiling.kept, strict=True):
        tile = Box(by * box.left, by * box.bottom, by * box.right, by * box.top)
        middle = 0.5 * (tile.left + tile.right), 0.5 * (tile.bottom + tile.top)
        if stays:
            strokes.append(rectangle(LineKind.THIN, tile))
            name = f"page {next(printed).number}"
            labels.append(Label(name, middle, OVERVIEW_TYPE_MM, Anchor.MIDDLE))
        else:
            labels.append(Label(LEFT_OUT, middle, TYPE_MM, Anchor.MIDDLE))
    unprinted = tiling.kept.count(False)
    texts = [label.box.grown(1.0) for label in labels]
    strokes = [
        piece
        for stroke in strokes
        for piece in (parted(stroke, texts) if stroke.kind is LineKind.HATCH else [stroke])
    ]
    dx = 0.5 * (size.width_mm - small.width_mm)
    dy = size.height_mm - MARGIN_MM - small.length_mm
    words = f"Overview of {len(pages)} pages, not to scale: cut nothing from this page."
    if unprinted:
        tiles = "1 tile without" if unprinted == 1 else f"{unprinted} tiles without"
        verb = "is" if unprinted == 1 else "are"
        words += f" {tiles} anything to cut, score or read {verb} not printed."
    foot = page_text(drawing.title, "overview", MARGIN_MM, size.width_mm - MARGIN_MM, MARGIN_MM)
    foot.append(Label(words, (MARGIN_MM, MARGIN_MM + 4.2), TYPE_MM))
    return Page(
        title=f"{drawing.title}, overview",
        width_mm=size.width_mm,
        height_mm=size.height_mm,
        strokes=tuple(stroke.moved(dx, dy) for stroke in strokes),
        labels=tuple([*(label.moved(dx, dy) for label in labels), *foot]),
        number=0,
        total=len(pages),
        window=Box(0.0, 0.0, drawing.width_mm, drawing.length_mm),
        offset=(dx, dy),
    )
