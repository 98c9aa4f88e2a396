"""One part drawn at 1:1 from its pattern and plan, all texts placed where they cover nothing."""

from __future__ import annotations

from collections.abc import Sequence
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
from fitcheck.pattern.laid import is_mirrored
from fitcheck.pattern.pattern import Panel, Pattern
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
from fitcheck.sheet.callouts import called_out
from fitcheck.sheet.captions import (
    block_below,
    drawn_names,
    edge_names,
    panel_places,
    place_block,
    place_grain,
)
from fitcheck.sheet.cut_text import tabs_by_name
from fitcheck.sheet.cuts import trims_of
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
    edges_inside: bool = False
    """Whether the edges' names stand inside the sheet, as beside it they cost another page."""

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
    on_root = _name_part(desk)
    _name_panels(desk, drawn.pattern.panels[on_root:])
    if not on_root:
        desk.labels += block_below(desk.placer, _block(drawn))
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


def _name_edges(desk: _Desk) -> None:
    """Each edge with its length as the steps say it: the line itself is exact."""
    sheet, unit = desk.drawn.plan.sheet, desk.drawn.unit
    width, length = (f"{show_hand(mm, unit)} {hand_unit(unit)}" for mm in desk.drawn.size_mm)
    sizes = {fence: length if fence.upright else width for fence in Fence}
    for labels in edge_names(sheet, sizes, inside=desk.drawn.edges_inside).values():
        label = desk.placer.place(labels)
        if label is not None:
            desk.labels.append(label)


def _name_part(desk: _Desk) -> bool:
    """The part's name, sheet size, stock and grain on its root panel; whether there is room."""
    pattern, grain = desk.drawn.pattern, desk.drawn.grain
    outline = pattern.outline(pattern.panels[0], {})
    low, high = outline.min(axis=0), outline.max(axis=0)
    box = Box(float(low[0]), float(low[1]), float(high[0]), float(high[1])).grown(-1.0)
    labels = place_block(
        desk.placer, box, _block(desk.drawn, f"this is the {pattern.panels[0].name}")
    )
    desk.labels += labels or []
    if grain and (arrow := place_grain(desk.placer, box, grain is Axis.LENGTH)):
        desk.add([arrow])
    return labels is not None


def _block(drawn: DrawnPart, *root: str) -> tuple[str, ...]:
    """What is written of a part as a whole, a line each."""
    pattern = drawn.pattern
    up = f"the {pattern.seen} face is up" if pattern.lines else "either face up"
    return (
        drawn.title,
        f"{pattern.part}: {up}",
        *root,
        *(("walls are named as they stand",) if is_mirrored(pattern) else ()),
        "sheet " + show_hands(drawn.size_mm, drawn.unit, " x "),
        f"stock {drawn.stock}" + (f", cut {pattern.copies}" if pattern.copies > 1 else ""),
        *((f"grain along the {drawn.grain}",) if drawn.grain else ()),
    )


def _name_panels(desk: _Desk, panels: Sequence[Panel]) -> None:
    """Every panel's name inside it, or beside the sheet where it finds no room."""
    pattern, beside = desk.drawn.pattern, []
    by_name = tabs_by_name(trims_of(pattern).values(), hand_unit(desk.drawn.unit))
    for panel in sorted(panels, key=lambda own: own.name):
        paper, names = paper_of(pattern, panel), drawn_names(pattern, panel, tabs_by_name=by_name)
        labels = desk.placer.place_all(on_paper(paper, panel_places(pattern, panel, names)))
        desk.labels += labels
        if not labels:
            beside.append((paper, names[0][0]))
    for paper, name in beside:
        strokes, labels_beside = called_out(desk.placer, desk.sheet_box, paper, name)
        desk.strokes += strokes
        desk.labels += labels_beside


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
