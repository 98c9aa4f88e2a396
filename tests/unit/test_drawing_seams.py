"""A drawing longer than a page is parted into overlapping stretches that cut no text."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.drawing.clipping import clip_stroke
from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.seams import OVERLAP_MM, spans
from fitcheck.drawing.shapes import Box, LineKind, Point, Stroke, line


@given(
    st.floats(10.0, 2000.0),
    st.floats(100.0, 400.0),
    st.lists(st.tuples(st.floats(0.0, 1900.0), st.floats(1.0, 60.0)), max_size=8),
)
def test_spans_cover_everything_and_fit_the_page(
    size: float, room: float, texts: list[tuple[float, float]]
) -> None:
    found = spans(size, room, [(at, at + long) for at, long in texts if at + long <= size])
    assert found[0][0] == 0.0
    assert found[-1][1] == pytest.approx(size)
    assert all(0.0 < stop - start <= room + 1e-6 for start, stop in found)
    for before, after in itertools.pairwise(found):
        assert before[1] - after[0] == pytest.approx(OVERLAP_MM)


def test_a_seam_moves_off_a_text() -> None:
    # an even seam would run at 150, through the text
    text = (130.0, 170.0)
    found = spans(300.0, 190.0, [text])
    assert any(start <= text[0] and text[1] <= stop for start, stop in found)
    assert len(found) == 2


def test_another_page_is_taken_when_no_seam_saves_the_text() -> None:
    # two pages of 155 have no slack at all for a drawing of 300
    text = (130.0, 170.0)
    found = spans(300.0, 155.0, [text])
    assert any(start <= text[0] and text[1] <= stop for start, stop in found)
    assert len(found) == 3


def test_clipping_keeps_what_is_inside() -> None:
    def clipped(start: Point, stop: Point) -> list[tuple[Point, ...]]:
        return [piece.points for piece in clip_stroke(line(LineKind.CUT, start, stop), box)]

    box = Box(0.0, 0.0, 10.0, 10.0)
    assert clipped((-5.0, 5.0), (15.0, 5.0)) == [((0.0, 5.0), (10.0, 5.0))]
    assert clipped((15.0, 5.0), (-5.0, 5.0)) == [((10.0, 5.0), (0.0, 5.0))]
    assert clipped((-5.0, 0.0), (5.0, 10.0)) == [((0.0, 5.0), (5.0, 10.0))]
    assert clipped((-5.0, 20.0), (15.0, 20.0)) == []
    assert clipped((-5.0, 5.0), (5.0, -5.0)) == [], "it meets a corner"
    assert clipped((1.0, 1.0), (2.0, 3.0)) == [((1.0, 1.0), (2.0, 3.0))]


def test_a_closed_outline_is_cut_where_it_leaves() -> None:
    box = Box(0.0, 0.0, 10.0, 10.0)
    corners = ((2.0, 3.0), (14.0, 3.0), (14.0, 8.0), (2.0, 8.0))
    pieces = clip_stroke(Stroke(LineKind.GLUE, corners, closed=True), box)
    assert [piece.points for piece in pieces] == [
        ((2.0, 3.0), (10.0, 3.0)),
        ((10.0, 8.0), (2.0, 8.0)),
        ((2.0, 8.0), (2.0, 3.0)),
    ]


def test_a_line_along_an_edge_does_not_cross() -> None:
    placer = Placer(Box(-20.0, -20.0, 20.0, 20.0))
    placer.add_box(Box(0.0, 0.0, 10.0, 10.0))
    assert placer.line_is_free(line(LineKind.THIN, (0.0, -5.0), (0.0, 15.0)))
    assert not placer.line_is_free(line(LineKind.THIN, (1.0, -5.0), (1.0, 15.0)))
