"""Tiles of waste alone have no page; what is printed still shows all there is to cut and read."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pytest
import shapely

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import PAPER_SIZES, Paper
from fitcheck.drawing.pages import lay_on_pages, overview_page, room_on
from fitcheck.drawing.shapes import Box, Drawing, Label, LineKind, Stroke, line, rectangle
from fitcheck.sheet.job import sheet_job

MODELS = Path(__file__).resolve().parents[2] / "models"
WIDE, TALL = room_on(PAPER_SIZES[Paper.A4])
ARM = 90.0
SIZE = (2.5 * WIDE, 2.5 * TALL)


def hatched(box: Box) -> list[Stroke]:
    """A waste corner: hatching 3 mm apart."""
    steps = int((box.top - box.bottom) / 3.0)
    levels = [box.bottom + 3.0 * n for n in range(steps + 1)]
    return [line(LineKind.HATCH, (box.left, y), (box.right, y)) for y in levels]


def cross(*labels: Label) -> Drawing:
    """A cross that leaves the four corners of its sheet as waste, as a tall tray does."""
    width, length = SIZE
    left, right = 0.5 * (width - ARM), 0.5 * (width + ARM)
    low, high = 0.5 * (length - ARM), 0.5 * (length + ARM)
    strokes = [rectangle(LineKind.CUT, Box(0.0, 0.0, width, length))]
    for x, y in itertools.product((left, right), (0.0, high)):
        strokes.append(line(LineKind.CUT, (x, y), (x, y + low)))
    for x, y in itertools.product((0.0, right), (low, high)):
        strokes.append(line(LineKind.CUT, (x, y), (x + left, y)))
    for x, y in itertools.product((0.0, right), (0.0, high)):
        strokes += hatched(Box(x, y, x + left, y + low))
    return Drawing("Cross", width, length, tuple(strokes), labels)


def cut_length(windows: list[Box], drawing: Drawing) -> float:
    """How much of the inner cuts the windows show between them, by shapely."""
    lines = shapely.MultiLineString([s.points for s in drawing.strokes[1:9]])
    shown = shapely.union_all([shapely.box(w.left, w.bottom, w.right, w.top) for w in windows])
    return float(shapely.length(shapely.intersection(lines, shown)))


def test_corners_of_waste_have_no_page_and_nothing_to_cut_is_lost() -> None:
    drawing = cross()
    pages = lay_on_pages(drawing, Paper.A4)
    width, length = SIZE
    assert len(pages) == 5, "of nine tiles the four corners are waste"
    assert [(page.number, page.total) for page in pages] == [(n, 5) for n in range(1, 6)]
    whole = 4 * 0.5 * (width - ARM) + 4 * 0.5 * (length - ARM)
    assert cut_length([page.window for page in pages], drawing) == pytest.approx(whole)
    foot = [label.text for page in pages for label in page.labels if "row" in label.text]
    assert foot[0].endswith("page 1 of 5 (row 1, column 2)")
    assert foot[2].endswith("page 3 of 5 (row 2, column 2)")


def test_the_overview_says_so() -> None:
    drawing = cross()
    overview = overview_page(drawing, lay_on_pages(drawing, Paper.A4), Paper.A4)
    words = [label.text for label in overview.labels]
    assert words.count("not printed") == 4
    assert [w for w in words if w.startswith("page ")] == [f"page {n}" for n in range(1, 6)]
    assert any("4 tiles without anything to cut, score or read are not printed" in w for w in words)


def test_every_register_mark_has_its_twin() -> None:
    """A mark's circle has 24 corners; each is seen whole on two pages or on none."""
    drawing = cross()
    pages = lay_on_pages(drawing, Paper.A4)
    places: dict[tuple[int, int], int] = {}
    for page in pages:
        for stroke in page.strokes:
            if stroke.closed and len(stroke.points) == 24:
                x, y = stroke.points[0]
                key = (round(x - page.offset[0]), round(y - page.offset[1]))
                places[key] = places.get(key, 0) + 1
    assert places and set(places.values()) == {2}


@pytest.mark.parametrize(
    "more",
    [
        line(LineKind.SCORE, (10.0, 20.0), (60.0, 20.0)),
        line(LineKind.GLUE, (10.0, 20.0), (60.0, 20.0)),
    ],
)
def test_a_corner_with_a_line_to_follow_is_printed(more: Stroke) -> None:
    drawing = cross()
    assert len(lay_on_pages(replace(drawing, strokes=(*drawing.strokes, more)), Paper.A4)) == 6


def test_a_corner_with_something_to_read_is_printed() -> None:
    assert len(lay_on_pages(cross(Label("read me", (20.0, 20.0))), Paper.A4)) == 6


def test_a_corner_of_paper_is_printed_for_its_edge() -> None:
    """The same sheet without hatching: its corners belong to the part."""
    drawing = cross()
    plain = tuple(stroke for stroke in drawing.strokes if stroke.kind is not LineKind.HATCH)
    pages = lay_on_pages(replace(drawing, strokes=plain), Paper.A4)
    boxes = [page.window for page in pages]
    shown = shapely.union_all([shapely.box(w.left, w.bottom, w.right, w.top) for w in boxes])
    edge = shapely.box(0.0, 0.0, *SIZE).exterior
    assert shapely.length(shapely.intersection(edge, shown)) == pytest.approx(edge.length)


def test_an_empty_tile_that_joins_others_is_printed() -> None:
    """A long strip, lines at its two ends only, its rim waste: the middle holds it together."""
    strokes = [rectangle(LineKind.CUT, Box(0.0, 0.0, 3.0 * WIDE, 40.0))]
    strokes += hatched(Box(0.0, 0.0, 3.0 * WIDE, 40.0))
    strokes += [line(LineKind.CUT, (x, 5.0), (x + 40.0, 5.0)) for x in (5.0, 3.0 * WIDE - 45.0)]
    pages = lay_on_pages(Drawing("Strip", 3.0 * WIDE, 40.0, tuple(strokes), ()), Paper.A4)
    windows = sorted((page.window.left, page.window.right) for page in pages)
    assert all(a[1] > b[0] for a, b in itertools.pairwise(windows)), "each shares a strip"
    assert windows[0][0] == 0.0 and windows[-1][1] == pytest.approx(3.0 * WIDE)


def test_a_strip_beyond_the_sheet_is_no_page_of_a_shipped_design() -> None:
    """On letter paper the rope box's sheet fits; only the drawing's margin does not."""
    job = sheet_job(read_design(MODELS / "rope.toml"), Paper.LETTER, (), 1)
    (page,) = job.sheets[0].pages
    assert job.sheets[0].overview is None
    assert page.window.right > job.sheets[0].plan.sheet.width_mm
    assert not any("circled cross" in label.text for label in page.labels)
