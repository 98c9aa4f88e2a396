"""The coupon's lines against the sizes written on it: what is measured is what is drawn."""

from __future__ import annotations

import re

import pytest
import shapely

from fitcheck.drawing.shapes import Box, Drawing, Label, LineKind
from fitcheck.learn.coupon_drawing import coupon_drawing
from fitcheck.learn.paper_coupon import Coupon, coupon_for
from fitcheck.stock.profile_files import find_stock, find_tools
from fitcheck.workspace.paths import shipped_workspace

ROOTS = (shipped_workspace(),)
STOCK = find_stock("cardstock-270", ROOTS)


@pytest.fixture(params=["metric", "inch"])
def coupon(request: pytest.FixtureRequest) -> Coupon:
    return coupon_for(STOCK.name, find_tools(f"score-board-{request.param}", ROOTS))


@pytest.fixture
def drawing(coupon: Coupon) -> Drawing:
    return coupon_drawing(coupon, STOCK)


def lines(drawing: Drawing, kind: LineKind) -> list[shapely.LineString]:
    return [
        shapely.LineString([*s.points, s.points[0]] if s.closed else s.points)
        for s in drawing.strokes
        if s.kind is kind
    ]


def rectangles(drawing: Drawing) -> list[shapely.Polygon]:
    return [
        shapely.Polygon(s.points) for s in drawing.strokes if s.kind is LineKind.CUT and s.closed
    ]


def label(drawing: Drawing, start: str) -> Label:
    (found,) = (x for x in drawing.labels if x.text.startswith(start))
    return found


def middle(box: Box) -> shapely.Point:
    return shapely.Point(0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top))


def scores_in(drawing: Drawing, area: shapely.Polygon) -> list[shapely.LineString]:
    return [score for score in lines(drawing, LineKind.SCORE) if area.buffer(1e-6).contains(score)]


def test_each_channel_has_its_two_scores_right_across(coupon: Coupon, drawing: Drawing) -> None:
    for strip in coupon.strips:
        named = label(drawing, f"{strip.piece}   outside")
        (area,) = (r for r in rectangles(drawing) if r.contains(middle(named.box)))
        left, bottom, right, top = area.bounds
        long, wide = (right - left, top - bottom) if strip.along else (top - bottom, right - left)
        assert (long, wide) == pytest.approx((strip.floor_mm + 2 * coupon.wall_mm, 20.0))
        scores = scores_in(drawing, area)
        assert [score.length for score in scores] == pytest.approx([wide] * 2)
        start = left if strip.along else bottom
        places = sorted((s.bounds[0] if strip.along else s.bounds[1]) - start for s in scores)
        assert places == pytest.approx([coupon.wall_mm, coupon.wall_mm + strip.floor_mm])
        # a line for each reading, below or beside the name and on the strip
        blanks = [x for x in lines(drawing, LineKind.THIN) if area.contains(x)]
        gauged = strip is coupon.gauged
        assert sorted(b.length for b in blanks) == pytest.approx([12.0] * 2 * gauged + [17.0] * 2)
        words = {x.text for x in drawing.labels if area.contains(middle(x.box))}
        assert {"mm", named.text} <= words
        assert ({"inside", "in", "not in"} <= words) == gauged


def test_the_hem_is_scored_so_far_from_the_left_edge(coupon: Coupon, drawing: Drawing) -> None:
    named = label(drawing, "H   hem")
    (area,) = (r for r in rectangles(drawing) if r.contains(middle(named.box)))
    (score,) = scores_in(drawing, area)
    assert score.bounds[0] - area.bounds[0] == pytest.approx(coupon.hem_mm)
    assert score.length == pytest.approx(area.bounds[3] - area.bounds[1]) == 24.0


def test_the_tray_is_one_that_folds_up(coupon: Coupon, drawing: Drawing) -> None:
    """Scores at wall and wall + floor both ways; tabs are hinged and slanted as a tray's are."""
    named = label(drawing, "K   tray")
    (area,) = (r for r in rectangles(drawing) if r.contains(middle(named.box)))
    side = coupon.tray_mm + 2 * coupon.wall_mm
    left, bottom, right, top = area.bounds
    assert (right - left, top - bottom) == pytest.approx((side, side))
    scores = shapely.union_all(scores_in(drawing, area))
    near, far = coupon.wall_mm, coupon.wall_mm + coupon.tray_mm
    floor = shapely.box(left + near, bottom + near, left + far, bottom + far)
    assert scores.buffer(1e-6).contains(floor.exterior)
    tabs = [s for s in shapely.get_parts(shapely.line_merge(scores)) if s.length > 0]
    beyond = shapely.union_all(tabs).difference(floor.exterior.buffer(1e-6))
    # four tabs, each hinged over the depth of its wall
    assert beyond.length == pytest.approx(4 * coupon.wall_mm, abs=1e-3)
    slants = [
        x
        for x in lines(drawing, LineKind.CUT)
        if len(x.coords) == 2
        and area.buffer(1e-6).contains(x)
        and min(x.bounds[2] - x.bounds[0], x.bounds[3] - x.bounds[1]) > 1e-6
    ]
    assert len(slants) == 8
    words = {x.text for x in drawing.labels if area.contains(middle(x.box))}
    assert {"back", "front", "mm"} <= words
    for text, y in (("front", bottom + near / 2), ("back", bottom + far + near / 2)):
        (named,) = (x for x in drawing.labels if x.text == text)
        at = middle(named.box)
        assert at.x == pytest.approx(0.5 * (left + right), abs=0.2)
        assert at.y == pytest.approx(y, abs=1.0)


def test_the_stack_is_ten_slips_with_a_letter_each(drawing: Drawing) -> None:
    letters = [x for x in drawing.labels if x.text == "A"]
    assert len(letters) == 10
    spots = sorted(middle(x.box).x for x in letters)
    (area,) = (r for r in rectangles(drawing) if r.contains(middle(letters[0].box)))
    left, bottom, right, top = area.bounds
    assert (right - left) / 10 == pytest.approx(11.0) and top - bottom == pytest.approx(42.0)
    assert spots == pytest.approx([left + 11.0 * (k + 0.5) for k in range(10)], abs=0.1)
    inner = [
        x.bounds[0]
        for x in lines(drawing, LineKind.CUT)
        if len(x.coords) == 2 and area.contains(x.centroid)
    ]
    assert sorted(inner) == pytest.approx([left + 11.0 * k for k in range(1, 10)])
    blanks = [x for x in lines(drawing, LineKind.THIN) if x.length == 17.0 and x.bounds[0] > right]
    beside = [x for x in blanks if bottom < x.bounds[1] < top]
    assert len(beside) == 5


def test_no_line_runs_through_a_text_and_pieces_keep_off_each_other(drawing: Drawing) -> None:
    texts = [shapely.box(x.box.left, x.box.bottom, x.box.right, x.box.top) for x in drawing.labels]
    for kind in (LineKind.CUT, LineKind.SCORE, LineKind.THIN):
        for line in lines(drawing, kind):
            assert not any(line.crosses(text) for text in texts)
    pieces = rectangles(drawing)
    for k, piece in enumerate(pieces):
        assert all(piece.distance(other) > 2.0 for other in pieces[k + 1 :])


def test_sizes_on_the_drawing_are_those_of_the_coupon(coupon: Coupon, drawing: Drawing) -> None:
    """Whole and broken inches or millimetres, read back from the text."""

    def mm(text: str) -> float:
        if "mm" in text:
            return float(text.removesuffix(" mm"))
        whole, _, part = text.strip().removesuffix(" in").partition(" ")
        if "/" in whole:
            whole, part = "0", whole
        top, _, below = part.partition("/")
        return 25.4 * (float(whole) + (float(top) / float(below) if below else 0.0))

    told = [x.text for x in drawing.labels if x.text.startswith("channel")]
    sizes = sorted(
        tuple(round(mm(m), 6) for m in re.findall(r"\d[\d /.]* (?:mm|in)", text)) for text in told
    )
    expected = sorted(
        tuple(round(v, 6) for v in (s.floor_mm, coupon.wall_mm, coupon.wall_mm + s.floor_mm))
        for s in coupon.strips
    )
    assert sizes == expected
