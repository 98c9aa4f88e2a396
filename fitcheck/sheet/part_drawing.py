"""One part drawn at 1:1 from its pattern and plan, all texts placed where they cover nothing."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.shapes import (
    Box,
    Drawing,
    Label,
    LineKind,
    Stroke,
    arc_stroke,
    line,
    rectangle,
)
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.counted import sheet_by_hand_mm, told_hair_mm
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import Plan, RuledLine, SlantLine
from fitcheck.pattern.sheet import Axis, Fence
from fitcheck.sheet.areas import (
    cutout_boxes,
    glue_outlines,
    hatching,
    on_paper,
    paper_of,
    waste_pieces,
)
from fitcheck.sheet.captions import (
    block_below,
    edge_names,
    grain_arrow,
    panel_places,
    place_block,
)
from fitcheck.sheet.dimensions import (
    SHARES,
    RunningLine,
    line_strokes,
    outside_values,
    running_lines,
    value_places,
)
from fitcheck.sheet.mark_text import score_value
from fitcheck.sheet.scoring import pressed
from fitcheck.stock.tools import USUAL_SCORE_FACE, Tools
from fitcheck.units import Unit, hand_unit, show_hand, show_hands

EDGE_MM = 0.5
"""Room round the outermost line, so that its whole width is on the page."""
ANYWHERE = Box(-1e4, -1e4, 1e4, 1e4)


@dataclass(frozen=True)
class DrawnPart:
    """What is drawn: a part's pattern and plan, and what is written on it."""

    title: str
    pattern: Pattern
    plan: Plan
    unit: Unit
    stock: str
    grain: Axis | None = None
    score_face: str = USUAL_SCORE_FACE
    """The face of folds that the maker presses."""
    tools: Tools | None = None
    """Whose grooves tell what they are marked with; None where all is told in ``unit``."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """The sheet's width and length as the steps say them."""
        return sheet_by_hand_mm(self.plan, self.unit, self.tools)

    def score_value(self, fence: Fence, at_mm: float) -> str:
        """A score's distance from an edge as the steps say it."""
        hair = told_hair_mm(self.plan, fence, at_mm)
        unit = self.tools.told_in(at_mm - hair, self.unit) if self.tools else self.unit
        return score_value(at_mm, hair, unit)


@dataclass
class _Desk:
    """The drawing while it grows."""

    drawn: DrawnPart
    placer: Placer
    strokes: list[Stroke]
    labels: list[Label]

    @property
    def sheet_box(self) -> Box:
        sheet = self.drawn.plan.sheet
        return Box(0.0, 0.0, sheet.width_mm, sheet.length_mm)

    def add(self, strokes: list[Stroke]) -> None:
        self.strokes += strokes
        self.placer.add_strokes(strokes)


def score_kind(scored: RuledLine | SlantLine, up: Face, score_face: str) -> LineKind:
    """How a score is drawn on the face that is up."""
    here = pressed(scored, score_face) is up
    if scored.half_cut:
        return LineKind.HALF_CUT if here else LineKind.HALF_CUT_OVER
    return LineKind.SCORE if here else LineKind.SCORE_OVER


def plan_strokes(
    plan: Plan, up: Face = Face.OUTSIDE, score_face: str = USUAL_SCORE_FACE
) -> list[Stroke]:
    """The lines of a plan: the sheet's edge, cuts and scores, mm from the sheet's bottom left.

    `up` is the face that is up, `score_face` the one of folds that the maker presses.
    """
    sheet = plan.sheet
    strokes = [rectangle(LineKind.CUT, Box(0.0, 0.0, sheet.width_mm, sheet.length_mm))]
    for ruled in (*plan.cuts, *plan.scores):
        kind = LineKind.CUT if ruled.outer is None else score_kind(ruled, up, score_face)
        ends = [
            sheet.spot(ruled.fence, ruled.at_mm, along) for along in (ruled.start_mm, ruled.stop_mm)
        ]
        strokes.append(line(kind, *ends))
    for slant in (*plan.slant_cuts, *plan.slant_scores):
        kind = LineKind.CUT if slant.outer is None else score_kind(slant, up, score_face)
        strokes.append(line(kind, slant.start_mm, slant.stop_mm))
    strokes += [arc_stroke(LineKind.CUT, cut.arc) for cut in plan.arc_cuts]
    return strokes


def machine_drawing(drawn: DrawnPart) -> Drawing:
    """What a laser or a cutting machine follows: lines alone, the sheet's bottom left at nought."""
    sheet = drawn.plan.sheet
    strokes = (
        *plan_strokes(drawn.plan, drawn.pattern.seen, drawn.score_face),
        *hatching(waste_pieces(drawn.pattern), []),
    )
    title = f"{drawn.title}: {drawn.pattern.part}, lines"
    return Drawing(title, sheet.width_mm, sheet.length_mm, strokes, ())


def draw_part(drawn: DrawnPart) -> Drawing:
    """The whole drawing of a part; its size is the sheet's and what had to go beside it."""
    desk = _Desk(drawn, Placer(ANYWHERE), [], [])
    desk.add(plan_strokes(drawn.plan, drawn.pattern.seen, drawn.score_face))
    desk.add(glue_outlines(drawn.pattern))
    for box in cutout_boxes(drawn.pattern):
        desk.placer.add_box(box)
    _dimension(desk)
    _name_edges(desk)
    _name_part(desk)
    _name_panels(desk)
    desk.strokes += hatching(
        waste_pieces(drawn.pattern), [label.box.grown(0.4) for label in desk.labels]
    )
    return _framed(f"{drawn.title}: {drawn.pattern.part}", desk)


def _dimension(desk: _Desk) -> None:
    """Running dimensions, their values inside the sheet if all find room there."""
    inside = _inside_values(desk)
    if inside is not None:
        desk.placer, strokes, labels = inside
        desk.strokes += strokes
        desk.labels += labels
        return
    plan = desk.drawn.plan
    lines = running_lines(plan)
    for running in lines:
        desk.add(line_strokes(plan.sheet, running))
    for running in lines:
        texts = [desk.drawn.score_value(running.fence, at) for at in running.stops_mm]
        values, leaders = outside_values(desk.placer, plan, running, texts)
        desk.strokes += leaders
        desk.labels += values


def _inside_values(desk: _Desk) -> tuple[Placer, list[Stroke], list[Label]] | None:
    """Lines and values of every fence, each line where all its values find room; None if none."""
    plan, placer = desk.drawn.plan, desk.placer
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for number in range(len(running_lines(plan))):
        for share in range(len(SHARES)):
            running = running_lines(plan, share)[number]
            tried = _valued(desk, placer, running)
            if tried is not None:
                break
        else:
            return None
        placer, values = tried
        strokes += line_strokes(plan.sheet, running)
        labels += values
    return placer, strokes, labels


def _valued(desk: _Desk, placer: Placer, running: RunningLine) -> tuple[Placer, list[Label]] | None:
    """A dimension line with all its values inside the sheet; None when one finds no room."""
    sheet = desk.drawn.plan.sheet
    lines = line_strokes(sheet, running)
    if not all(placer.line_is_free(stroke) for stroke in lines):
        return None
    trial = placer.copy()
    trial.add_strokes(lines)
    labels = []
    for at in running.stops_mm:
        text = desk.drawn.score_value(running.fence, at)
        label = trial.place(value_places(sheet, running, at, text), desk.sheet_box)
        if label is None:
            return None
        labels.append(label)
    return trial, labels


def _value(mm: float, unit: Unit) -> str:
    """A length as the steps say it: the line itself is exact."""
    return f"{show_hand(mm, unit)} {hand_unit(unit)}"


def _name_edges(desk: _Desk) -> None:
    sheet = desk.drawn.plan.sheet
    width, length = (_value(size, desk.drawn.unit) for size in desk.drawn.size_mm)
    sizes = {fence: length if fence.upright else width for fence in Fence}
    for labels in edge_names(sheet, sizes).values():
        label = desk.placer.place(labels)
        if label is not None:
            desk.labels.append(label)


def _name_part(desk: _Desk) -> None:
    """The part's name, sheet size, stock and grain, on its root panel if there is room."""
    drawn, unit = desk.drawn, desk.drawn.unit
    size = show_hands(drawn.size_mm, unit, " x ")
    copies = drawn.pattern.copies
    full = (
        drawn.title,
        f"{drawn.pattern.part}: the {drawn.pattern.seen} face is up",
        *((f"this is the {drawn.pattern.panels[0].name}",) if drawn.pattern.lines else ()),
        *(("walls are named as they stand",) if drawn.pattern.seen is Face.OUTSIDE else ()),
        "sheet " + size,
        f"stock {drawn.stock}" + (f", cut {copies}" if copies > 1 else ""),
        *((f"grain along the {drawn.grain}",) if drawn.grain else ()),
    )
    outline = drawn.pattern.outline(drawn.pattern.panels[0], {})
    low, high = outline.min(axis=0), outline.max(axis=0)
    box = Box(float(low[0]), float(low[1]), float(high[0]), float(high[1])).grown(-1.0)
    labels = place_block(desk.placer, box, full)
    if labels is None:
        labels = block_below(desk.placer, full)
    desk.labels += labels
    if drawn.grain:
        _draw_grain(desk, box, drawn.grain)


def _draw_grain(desk: _Desk, box: Box, grain: Axis) -> None:
    """A double arrow along the grain wherever the root panel has room for one."""
    along_length = grain is Axis.LENGTH
    for size in (30.0, 20.0, 12.0):
        width, height = (2.0, size) if along_length else (size, 2.0)
        for x_share, y_share in ((x, y) for x in (0.85, 0.15, 0.7, 0.3) for y in (0.5, 0.2, 0.8)):
            x = box.left + x_share * (box.right - box.left)
            y = box.bottom + y_share * (box.top - box.bottom)
            place = Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if place.inside(box) and desk.placer.is_free(place):
                desk.add([grain_arrow(place, along_length)])
                return


def _name_panels(desk: _Desk) -> None:
    """Every panel's name inside it where there is room; a fold's neighbours tell the others."""
    pattern = desk.drawn.pattern
    for panel in sorted(pattern.panels[1:], key=lambda p: p.name):
        outline = pattern.outline(panel, {})
        low, high = outline.min(axis=0), outline.max(axis=0)
        box = Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        places = panel_places(pattern, panel)
        if not pattern.simple(panel):
            places = on_paper(paper_of(pattern, panel), places)
        label = desk.placer.place(places, box)
        if label is not None:
            desk.labels.append(label)


def _framed(title: str, desk: _Desk) -> Drawing:
    """Everything moved so that it lies between nought and the drawing's size."""
    xs = [x for stroke in desk.strokes for x, _ in stroke.points]
    ys = [y for stroke in desk.strokes for _, y in stroke.points]
    for label in desk.labels:
        xs += [label.box.left, label.box.right]
        ys += [label.box.bottom, label.box.top]
    left, bottom = min(xs) - EDGE_MM, min(ys) - EDGE_MM
    whole = Drawing(
        title=title,
        width_mm=max(xs) + EDGE_MM - left,
        length_mm=max(ys) + EDGE_MM - bottom,
        strokes=tuple(desk.strokes),
        labels=tuple(desk.labels),
    )
    return whole.moved(-left, -bottom)
