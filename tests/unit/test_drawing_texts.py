"""No text of a drawing covers a line or another text, whatever the size of the box."""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.metrics import REPLACEMENT, runs, text_width_mm
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import Page, lay_on_pages
from fitcheck.drawing.shapes import Anchor, Box, Drawing, Label, LineKind, Stroke, line
from fitcheck.drawing.text_pages import text_pages
from fitcheck.pattern.pattern import Role
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.part_drawing import DrawnPart, draw_part
from fitcheck.styles import draw
from fitcheck.styles.walled import WalledRecipe as Recipe
from fitcheck.units import Unit
from tests.boxes import paper, shadow_box, shadow_boxes, tray, trays

TINY = tray(3.0, 3.0, 2.0, paper(0.2), setback=0.3)
SMALL = shadow_box(14.0, 16.0, 6.0, paper(0.2), frame=4.0)
LARGE = shadow_box(380.0, 430.0, 55.0, paper(0.4), frame=28.0, setback=0.4)
TOLD = re.compile(r"([\d.]+) mm( [+-] [\d.]+)?")
SIDES = ("left", "bottom", "right", "top")
EXTREMES = {"tiny": TINY, "small": SMALL, "large": LARGE}


def drawing_of(recipe: Recipe, unit: Unit = Unit.IN) -> Drawing:
    pattern = draw(recipe)
    return draw_part(
        DrawnPart("A box with a name", pattern, plan_of(pattern), unit, "card", Axis.LENGTH)
    )


def covered(strokes: tuple[Stroke, ...], labels: tuple[Label, ...]) -> list[str]:
    """Texts that cover something, found by a geometry library."""
    lines = shapely.STRtree([shapely.LineString(s) for k in strokes for s in k.segments()])
    boxes = [shapely.box(b.left, b.bottom, b.right, b.top) for b in (x.box for x in labels)]
    tree = shapely.STRtree(boxes)
    bad = []
    for number, (label, box) in enumerate(zip(labels, boxes, strict=True)):
        inner = box.buffer(-1e-6)
        others = [n for n in tree.query(inner, predicate="intersects") if n != number]
        if others or len(lines.query(inner, predicate="intersects")):
            bad.append(label.text)
    return bad


def everything(drawing: Drawing, paper_size: Paper) -> tuple[Page, ...]:
    pages = lay_on_pages(drawing, paper_size)
    for page in pages:
        assert covered(page.strokes, page.labels) == []
        for label in page.labels:
            assert label.box.inside(Box(0.0, 0.0, page.width_mm, page.height_mm)), label.text
    return pages


@given(st.one_of(trays(), shadow_boxes()), st.sampled_from([Unit.IN, Unit.MM]))
@settings(max_examples=12, deadline=None)
def test_no_text_covers_anything(recipe: Recipe, unit: Unit) -> None:
    drawing = drawing_of(recipe, unit)
    assert covered(drawing.strokes, drawing.labels) == []


@pytest.mark.parametrize(
    "recipe", [tray(83.0, 131.0, 34.0), tray(131.0, 83.0, 34.0), shadow_box(90.0, 140.0, 30.0)]
)
def test_every_panel_with_room_has_its_name_inside_it(recipe: Recipe) -> None:
    """In the place that the pattern gives the panel: the sheet's left and bottom edges show how far
    the drawing was moved."""
    pattern = draw(recipe)
    drawing = drawing_of(recipe)
    cuts = [s for s in drawing.strokes if s.kind is LineKind.CUT]
    outlines = {panel.name: pattern.outline(panel, {}) for panel in pattern.panels[1:]}
    roots = [pattern.outline(panel, {}) for panel in pattern.panels]
    off = np.array([p for s in cuts for p in s.points]).min(axis=0)
    off -= np.concatenate(roots).min(axis=0)
    tabs = 0
    for panel in pattern.panels[1:]:
        area = shapely.Polygon(outlines[panel.name] + off).buffer(1e-6)
        word = "x tab" if panel.role is Role.TAB else panel.name
        inside = [
            label
            for label in drawing.labels
            if label.text == word
            and area.covers(shapely.box(*(getattr(label.box, side) for side in SIDES)))
        ]
        low, high = outlines[panel.name].min(axis=0), outlines[panel.name].max(axis=0)
        if min(high - low) > 7.0:
            assert len(inside) == 1, panel.name
        tabs += panel.role is Role.TAB
    assert tabs == 4


@pytest.mark.parametrize("recipe", EXTREMES.values(), ids=EXTREMES)
@pytest.mark.parametrize("size", [Paper.LETTER, Paper.A3])
def test_no_text_on_a_page_covers_anything(recipe: Recipe, size: Paper) -> None:
    everything(drawing_of(recipe), size)


@pytest.mark.parametrize("recipe", EXTREMES.values(), ids=EXTREMES)
@pytest.mark.parametrize("size", Paper)
def test_every_text_is_whole_on_some_page(recipe: Recipe, size: Paper) -> None:
    drawing = drawing_of(recipe)
    pages = lay_on_pages(drawing, size)
    for label in drawing.labels:
        shown = [
            page
            for page in pages
            if any(
                other.text == label.text
                and abs(other.at[0] - page.offset[0] - label.at[0]) < 1e-9
                and abs(other.at[1] - page.offset[1] - label.at[1]) < 1e-9
                for other in page.labels
            )
        ]
        assert shown, label.text


@given(st.one_of(trays(), shadow_boxes()))
@settings(max_examples=10, deadline=None)
def test_every_score_has_its_distance_written_once_for_its_fence(recipe: Recipe) -> None:
    """A score a hair beside another one is written as that one and the hair, as steps tell it."""
    drawing = drawing_of(recipe, Unit.MM)
    told = [TOLD.fullmatch(label.text) for label in drawing.labels]
    written = sorted(float(own[1]) + float((own[2] or "0").replace(" ", "")) for own in told if own)
    rules = {score.rule for score in plan_of(draw(recipe)).scores}
    assert len(written) == len(rules)
    for mm, at in zip(written, sorted(rule.at_mm for rule in rules), strict=True):
        assert abs(mm - at) <= 0.25 + 0.05 + 1e-9


@pytest.mark.parametrize("recipe", [SMALL, tray(), shadow_box()], ids=["small", "tray", "frame"])
def test_all_four_edges_are_named_with_their_length(recipe: Recipe) -> None:
    """As a hand cuts it: the inmost scores and the floor between them, each to 0.5 mm."""
    drawing = drawing_of(recipe, Unit.MM)
    plan = plan_of(draw(recipe))
    score = max(line.at_mm for line in plan.scores)
    texts = [label.text for label in drawing.labels]
    for edge, size in (("left", plan.sheet.length_mm), ("top", plan.sheet.width_mm)):
        told = 2 * round(2 * score) / 2 + round(2 * (size - 2 * score)) / 2
        assert f"{edge} edge, {told:g} mm" in texts


def test_everything_lies_within_the_drawings_size() -> None:
    for recipe in EXTREMES.values():
        drawing = drawing_of(recipe)
        whole = Box(0.0, 0.0, drawing.width_mm, drawing.length_mm)
        assert all(label.box.inside(whole) for label in drawing.labels)
        points = [point for stroke in drawing.strokes for point in stroke.points]
        assert all(Box(x, y, x, y).inside(whole) for x, y in points)


def test_a_placer_takes_the_first_free_place() -> None:
    placer = Placer(Box(0.0, 0.0, 100.0, 100.0))
    placer.add_strokes([line(LineKind.CUT, (0.0, 0.0), (100.0, 100.0))])
    on_line, free = Label("aa", (49.0, 50.0)), Label("aa", (10.0, 50.0))
    assert placer.place([on_line, free]) == free
    assert placer.place([on_line, free]) is None
    assert placer.place([Label("aa", (99.0, 10.0))]) is None


def test_a_slanted_line_beside_a_box_leaves_it_free() -> None:
    # the line's own upright box covers the text, the line does not
    placer = Placer(Box(0.0, 0.0, 100.0, 100.0))
    placer.add_strokes([line(LineKind.CUT, (0.0, 0.0), (100.0, 100.0))])
    assert placer.is_free(Box(60.0, 10.0, 80.0, 20.0))
    assert not placer.is_free(Box(15.0, 10.0, 80.0, 20.0))


@pytest.mark.parametrize("anchor", Anchor)
def test_a_turned_text_keeps_its_size(anchor: Anchor) -> None:
    flat = Label("size", (10.0, 20.0), 3.0, anchor).box
    turned = Label("size", (10.0, 20.0), 3.0, anchor, upright=True).box
    assert turned.top - turned.bottom == pytest.approx(flat.right - flat.left)
    assert turned.right - turned.left == pytest.approx(flat.top - flat.bottom)


def test_letters_of_other_scripts_are_measured_and_none_is_lost() -> None:
    text = "a \u6e2f \u306f\u3053 \ud55c \u0398 \U0001f381"
    assert "".join(bit for _, bit in runs(text)) == text[:-1] + REPLACEMENT
    assert text_width_mm("\u6e2f", 10.0) == 10.0  # a full-width letter is as wide as its type


@pytest.mark.parametrize("size", Paper)
def test_long_text_stays_on_its_pages(size: Paper) -> None:
    lines = ["", "word " * 300, "x" * 900, "    - " + "detail " * 60] * 9
    pages = text_pages("A title that is longer than the page is wide " * 8, lines, size)
    assert len(pages) > 1
    for page in pages:
        assert covered(page.strokes, page.labels) == []
        frame = Box(0.0, 0.0, page.width_mm, page.height_mm)
        assert all(label.box.inside(frame) for label in page.labels)
    letters = "".join(label.text for page in pages for label in page.labels)
    assert letters.count("x") >= 8100
    assert letters.count("word") == 2700


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_the_legend_stays_on_the_page_whatever_it_explains(paper: Paper) -> None:
    """All kinds of line in one drawing: a printer cuts off what reaches over its edge."""
    kinds = [
        line(kind, (2.0, 2.0 + 3.0 * n), (40.0, 2.0 + 3.0 * n)) for n, kind in enumerate(LineKind)
    ]
    (page,) = lay_on_pages(Drawing("all kinds", 60.0, 60.0, tuple(kinds), ()), paper)
    edges = [(label.text, label.box.right) for label in page.labels]
    assert max(right for _, right in edges) <= page.width_mm - 5.0, max(edges, key=lambda x: x[1])
    boxes = [shapely.box(b.left, b.bottom, b.right, b.top) for b in (x.box for x in page.labels)]
    assert shapely.union_all(boxes).area == pytest.approx(sum(box.area for box in boxes))
