"""How a sheet lies, what is named where on it, and its small strokes: by turning a real rectangle.

Sheets are wider than long or longer than wide and lines start and stop anywhere, so that an axis,
an end or a turn taken for another shows.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.shapes import Box, LineKind
from fitcheck.pattern.plan import Plan, RuledLine
from fitcheck.pattern.sheet import Fence, Rule, Sheet
from fitcheck.sheet.areas import WastePiece, glue_outlines, hatching, waste_pieces
from fitcheck.sheet.board import quarter_turns, shortest_round
from fitcheck.sheet.captions import (
    block_below,
    drawn_names,
    edge_names,
    grain_arrow,
    panel_places,
    place_block,
)
from fitcheck.sheet.dimensions import (
    RunningLine,
    outside_values,
    running_lines,
    value_places,
)
from fitcheck.styles import draw
from tests.boxes import shadow_box, tray
from tests.readers import overlap

SHEET = Sheet(200.0, 120.0)


def edge(fence: Fence, sheet: Sheet = SHEET) -> shapely.LineString:
    w, h = sheet.width_mm, sheet.length_mm
    ends = {
        Fence.LEFT: [(0, 0), (0, h)],
        Fence.RIGHT: [(w, 0), (w, h)],
        Fence.BOTTOM: [(0, 0), (w, 0)],
        Fence.TOP: [(0, h), (w, h)],
    }
    return shapely.LineString(ends[fence])


def turned_to(fence: Fence) -> int:
    """Quarter turns anticlockwise that bring an edge to the maker's left, by turning the sheet."""
    for turns in range(4):
        brought = affinity.rotate(edge(fence), 90.0 * turns, origin=(100.0, 60.0))
        whole = affinity.rotate(shapely.box(0, 0, 200, 120), 90.0 * turns, origin=(100.0, 60.0))
        if np.ptp(brought.xy[0]) < 1e-6 and abs(brought.bounds[0] - whole.bounds[0]) < 1e-6:
            return turns
    raise AssertionError


@pytest.mark.parametrize("fence", Fence)
def test_the_edge_at_the_fence_is_that_of_the_turned_sheet(fence: Fence) -> None:
    turns = turned_to(fence)
    ends = [SHEET.spot(fence, 13.0, v) for v in (17.0, 61.0)]
    assert shapely.LineString(ends).distance(edge(fence)) == pytest.approx(13.0)
    drawn = affinity.rotate(shapely.LineString(ends), 90.0 * turns, origin=(0, 0))
    whole = affinity.rotate(shapely.box(0, 0, 200, 120), 90.0 * turns, origin=(0, 0))
    assert drawn.bounds[0] - whole.bounds[0] == pytest.approx(13.0)


@pytest.mark.parametrize(("before", "after"), [*itertools.product(Fence, Fence)])
def test_quarter_turns_are_those_of_the_sheet(before: Fence, after: Fence) -> None:
    turns = (turned_to(after) - turned_to(before)) % 4
    assert quarter_turns(before, after) == {0: 0, 1: 1, 2: 2, 3: -1}[turns]


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_no_other_order_of_fences_turns_the_sheet_less(count: int, *, over: bool) -> None:
    def cost(order: tuple[Fence, ...]) -> tuple[int, int]:
        walk = [turned_to(fence) for fence in order]
        turns = [min((b - a) % 4, (a - b) % 4) for a, b in itertools.pairwise(walk)]
        return sum(t != 0 for t in turns), sum(turns)

    for fences in itertools.combinations(Fence, count):
        found = shortest_round(fences, over=over)
        assert sorted(found) == sorted(fences)
        assert cost(found) == min(map(cost, itertools.permutations(fences)))
        assert shortest_round([*fences, *fences], over=over) == found


def test_names_of_places_are_thirds_of_the_sheet() -> None:
    """A tray's waste lies in its corners; a frame's notches where their middles are."""
    for recipe in (tray(60.0, 110.0, 20.0), shadow_box(70.0, 120.0, 18.0)):
        pattern = draw(recipe)
        w, h = pattern.sheet.width_mm, pattern.sheet.length_mm
        pieces = waste_pieces(pattern)
        assert {"bottom left", "bottom right", "top left", "top right"} <= {p.place for p in pieces}
        for piece in pieces:
            x, y = piece.area.centroid.x, piece.area.centroid.y
            across = ["left", "", "right"][int(np.searchsorted([w / 3, 2 * w / 3], x))]
            along = ["bottom", "", "top"][int(np.searchsorted([h / 3, 2 * h / 3], y))]
            assert piece.place == (f"{along} {across}".strip() or "middle")
        kept = sum(shapely.Polygon(pattern.outline(p, {})).area for p in pattern.panels)
        assert sum(piece.area.area for piece in pieces) == pytest.approx(w * h - kept, rel=1e-6)


def test_hatching_is_even_slanted_and_off_the_texts() -> None:
    """45 degrees, 3.5 mm from line to line, so an area of A holds about A / 3.5 mm of lines."""
    area = shapely.Polygon([(10, 20), (90, 20), (90, 60), (40, 75)])
    text = Box(50.0, 30.0, 70.0, 36.0)
    strokes = hatching([WastePiece(area, "top")], [text])
    free = area.difference(shapely.box(50, 30, 70, 36))
    lines = [shapely.LineString(stroke.points) for stroke in strokes]
    assert {stroke.kind for stroke in strokes} == {LineKind.HATCH}
    assert all(free.buffer(1e-6).contains(each) for each in lines)
    offsets = set()
    for (x0, y0), (x1, y1) in (each.coords for each in lines):
        assert x1 - x0 == pytest.approx(y1 - y0)
        offsets.add(round((x0 - y0) / math.sqrt(2.0), 6))
    steps = np.diff(sorted(offsets))
    assert steps == pytest.approx(np.full(len(steps), 3.5), abs=1e-5)
    assert sum(each.length for each in lines) == pytest.approx(free.area / 3.5, rel=0.03)
    assert hatching([], [text]) == []


def test_adhesive_is_outlined_a_millimetre_inside_each_tab_and_flap() -> None:
    pattern = draw(shadow_box(70.0, 120.0, 18.0))
    glued = {j.panel for j in pattern.corner_joints} | {j.panel for j in pattern.roll_joints}
    drawn = [shapely.Polygon(stroke.points) for stroke in glue_outlines(pattern)]
    assert len(drawn) == len(glued) == 8
    for name in glued:
        whole = shapely.Polygon(pattern.outline(pattern.panel(name), {}))
        (inner,) = (each for each in drawn if whole.contains(each))
        assert inner.exterior.distance(whole.exterior) == pytest.approx(1.0)
        assert inner.area == pytest.approx(whole.buffer(-1.0, join_style="mitre").area)


@pytest.mark.parametrize("along_length", [True, False])
def test_the_grain_arrow_points_both_ways_from_its_middle(along_length: bool) -> None:
    stroke = grain_arrow(Box(10.0, 30.0, 34.0, 46.0), along_length)
    points = np.array(stroke.points) - [22.0, 38.0]
    points = points[:, ::-1] if along_length else points
    half = 8.0 if along_length else 12.0
    assert points[:, 0].max() == half and points[:, 0].min() == -half
    spots = {tuple(np.round(p, 9)) for p in points}
    assert spots == {(-x, y) for x, y in spots} == {(x, -y) for x, y in spots}
    assert {tuple(p) for p in points[np.abs(points[:, 0]) == half]} == {(half, 0.0), (-half, 0.0)}
    assert len(spots) == 6 and np.abs(points[:, 1]).max() < 1.0
    # one stroke of the pen: head, shaft once, tail
    shaft = [abs(a[0] - b[0]) > half for a, b in itertools.pairwise(points)]
    assert sum(shaft) == 1


def test_edges_are_named_along_themselves_beside_the_sheet() -> None:
    sizes = {fence: f"{number} mm" for number, fence in enumerate(Fence)}
    sheet = shapely.box(0, 0, 200, 120)
    for fence, labels in edge_names(SHEET, sizes).items():
        assert {label.text for label in labels} == {f"{fence.value} edge, {sizes[fence]}"}
        assert {label.upright for label in labels} == {fence.upright}
        boxes = [shapely.box(b.left, b.bottom, b.right, b.top) for b in (x.box for x in labels)]
        assert not any(box.intersects(sheet) for box in boxes)
        assert boxes[0].distance(edge(fence)) == pytest.approx(1.0, abs=0.3)
        middle = boxes[0].centroid.y - 60.0 if fence.upright else boxes[0].centroid.x - 100.0
        assert middle == pytest.approx(0.0, abs=1e-6)


def test_edges_that_are_named_inside_say_that_they_are_the_sheets() -> None:
    sheet = shapely.box(0, 0, 200, 120)
    for fence, labels in edge_names(SHEET, dict.fromkeys(Fence, "9 mm"), inside=True).items():
        first = labels[0].box
        drawn = shapely.box(first.left, first.bottom, first.right, first.top)
        assert labels[0].text == f"sheet's {fence.value} edge, 9 mm"
        assert sheet.contains(drawn)
        assert drawn.distance(edge(fence)) == pytest.approx(1.0, abs=0.3)


def test_names_of_panels_stand_inside_them_along_the_longer_side() -> None:
    pattern = draw(tray(60.0, 110.0, 20.0))
    for panel in pattern.panels:
        outline = shapely.Polygon(pattern.outline(panel, {}))
        left, bottom, right, top = outline.bounds
        names = drawn_names(pattern, panel, tabs_by_name=False)
        (first,), *_ = spots = list(panel_places(pattern, panel, names))
        assert first.upright == (top - bottom > right - left)
        assert first.text == ("x tab" if "tab" in panel.name else panel.name)
        box = first.box
        middle = 0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top)
        assert middle == pytest.approx((0.5 * (left + right), 0.5 * (bottom + top)), abs=0.3)
        # in one line or in two, and larger type before smaller
        heights = [labels[0].height_mm for labels in spots]
        assert sorted(set(heights)) == [1.5, 1.8, 2.2, 2.6]
        assert heights.index(1.8) > max(n for n, mm in enumerate(heights) if mm > 2.0)
        texts = 1 if panel.name == "floor" else 2
        assert len(spots) == texts * 4 * 2 * 49


@pytest.mark.parametrize("turned", [False, True])
def test_a_name_in_two_lines_is_read_from_the_first_to_the_second(turned: bool) -> None:
    """Turned letters have their tops to the left."""
    pattern = draw(tray(60.0, 110.0, 20.0))
    panel = pattern.panel("left wall")
    one, other = next(
        labels
        for labels in panel_places(pattern, panel, (("left", "wall"),))
        if labels[0].upright is turned
    )
    assert (one.text, other.text) == ("left", "wall")
    if turned:
        assert one.box.right <= other.box.left + 0.1 and one.at[1] == other.at[1]
    else:
        assert one.box.bottom >= other.box.top - 0.1 and one.at[0] == other.at[0]


def test_texts_are_of_a_height_that_can_be_read() -> None:
    """ISO 3098-1 begins at 1.8 mm (value from memory); names inside small panels may be 1.5."""
    sizes = dict.fromkeys(Fence, "1 mm")
    edges = [x for labels in edge_names(SHEET, sizes).values() for x in labels]
    running = RunningLine(Fence.LEFT, 31.0, (12.0, 40.0))
    values = list(value_places(SHEET, running, 12.0, "12"))
    beside, _ = outside_values(placer(), plan(), running_lines(plan())[0], ["1", "2", "3"])
    for label in (*edges, *values, *beside):
        assert 1.8 <= label.height_mm <= 3.5
    # the larger type is tried first
    assert values[0].height_mm > values[-1].height_mm
    assert {x.height_mm for x in (*edges, *beside)} == {values[0].height_mm}


def placer() -> Placer:
    return Placer(Box(-100.0, -100.0, 300.0, 250.0))


def test_a_block_of_lines_stands_in_its_box_one_below_the_other() -> None:
    free, box = placer(), Box(20.0, 30.0, 90.0, 60.0)
    labels = place_block(free, box, ("first line", "second", "third"))
    assert labels is not None and [x.text for x in labels] == ["first line", "second", "third"]
    assert all(label.box.inside(box) for label in labels)
    assert {label.height_mm for label in labels} == {3.6}
    downs = [a.at[1] - b.at[1] for a, b in itertools.pairwise(labels)]
    assert downs == pytest.approx([1.4 * 3.6] * 2)
    # nothing overlaps, and what is there now is in the way of the next
    assert not overlap(label.box for label in labels)
    assert not free.is_free(labels[1].box)
    assert place_block(placer(), Box(0.0, 0.0, 10.0, 4.0), ("much too long a line",)) is None


def test_what_found_no_place_stands_below_everything() -> None:
    full = placer()
    full.add_box(Box(10.0, -7.0, 40.0, 30.0))
    labels = block_below(full, ("one", "two"))
    tops = [label.box.top for label in labels]
    assert tops[0] <= -7.0 - 1.0 and tops[1] < tops[0]
    assert labels[0].at[1] - labels[1].at[1] == pytest.approx(1.4 * 2.6)
    assert not any(full.is_free(label.box) for label in labels)


def plan() -> Plan:
    scores = [
        RuledLine(Rule(Fence.LEFT, 20.0), 10.0, 90.0),
        RuledLine(Rule(Fence.LEFT, 21.0), 30.0, 110.0),
        RuledLine(Rule(Fence.LEFT, 22.5), 0.0, 100.0),
        RuledLine(Rule(Fence.TOP, 15.0), 40.0, 60.0),
        RuledLine(Rule(Fence.TOP, 30.0), 80.0, 150.0),
    ]
    return Plan("base", SHEET, tuple(scores), (), ())
