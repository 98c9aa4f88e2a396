"""Pictures of a sheet while it is scored and cut: what is there in grey, what is new strong."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import shapely

from fitcheck.arcs import facet_weights
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.svg import Drawing
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.counted import counted_from
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis, Fence, Sheet
from fitcheck.sheet.actions import CutAway, CutToSize, FoldAll, Step
from fitcheck.sheet.areas import hatching, paper_of, waste_pieces
from fitcheck.sheet.cuts import CutOutline, ScoreSlants
from fitcheck.sheet.cutting_out import CutOut, RoundCorners, RoundEdge
from fitcheck.sheet.job import PartSheet
from fitcheck.sheet.marks import Mark
from fitcheck.sheet.scoring import ScoreSides, TurnOver

WIDE_MM, TALL_MM = 150.0, 110.0
"""The largest a sheet is drawn."""
MARGIN = 11.0
BAR_OFF, NUMBER_OFF = 2.2, 6.5
"""How far from the sheet the fence and its number are drawn."""
COUNT_OFF = 4.2
"""How far below the sheet the numbers of its scores stand."""
NARROWEST = 2.6
"""Numbers that are nearer to each other would run together: the second is left out."""
Line = tuple[tuple[float, float], ...]
FLAT = (CutToSize, ScoreSides, ScoreSlants, TurnOver, CutOutline, CutOut, RoundCorners, RoundEdge)


@dataclass
class FlatPictures:
    """The sheet of one part as it comes to be, a picture for each instruction."""

    part: PartSheet
    scored: list[Line] = field(default_factory=list)
    cut: list[Line] = field(default_factory=list)

    @property
    def pattern(self) -> Pattern:
        """As it lies while it is scored."""
        return self.part.pattern

    def of(self, name: str, steps: Sequence[Step], words: str) -> Drawing | None:
        """The picture of an instruction, if it is one at the board or with the knife.

        Creases that fold both ways at a corner are shown on the flat sheet, too: half folded, they
        would hide each other. So are those of one strip of several, which is not the part yet.
        """
        for step in steps:
            if isinstance(step, FoldAll) and (self.pattern.webs or self.pattern.alike > 1):
                return self._folds(name, words, step)
        if not all(isinstance(step, (*FLAT, CutAway)) for step in steps):
            return None
        return self._drawn(name, words, *self._new(steps), steps)

    def _new(self, steps: Sequence[Step]) -> tuple[list[Line], list[Line]]:
        """What is scored, and what is cut, by these steps."""
        scores = [line for step in steps for line in _scores(self.pattern.sheet, step)]
        cuts: list[Line] = []
        for step in steps:
            if isinstance(step, CutOutline):
                cuts += _outline_cuts(self.pattern)
            elif isinstance(step, CutOut | RoundCorners | RoundEdge):
                cuts += _own_cuts(self.pattern, step.panel, getattr(step, "name", ""))
        return scores, cuts

    def _drawn(
        self, name: str, words: str, scores: list[Line], cuts: list[Line], steps: Sequence[Step]
    ) -> Drawing:
        sheet = self.pattern.sheet
        over = any(isinstance(step, TurnOver) for step in steps)
        page = _Page(sheet, mirrored=over)
        marks = [svg.outline("plain-edge", page.points(_corners(sheet)))]
        gone = any(isinstance(step, CutAway) for step in steps)
        if gone:
            waste = hatching(waste_pieces(self.pattern), [])
            marks += [_stroke("gone", page, stroke.points) for stroke in waste]
            marks += list(_crosses(self.pattern, page))
        marks += [_stroke("was-score", page, line) for line in self.scored]
        marks += [_stroke("was-cut", page, line) for line in self.cut]
        marks += [_stroke("new-score", page, line) for line in scores]
        marks += [_stroke("new-cut", page, line) for line in cuts]
        if any(isinstance(step, CutToSize) for step in steps):
            marks.append(svg.outline("new-cut", page.points(_corners(sheet))))
            marks += list(_edges(self.part, page))
        marks += list(_fences(steps, page))
        if any(isinstance(step, CutOutline) for step in steps):
            marks += list(_counted(self.pattern, page))
        self.scored += scores
        self.cut += cuts
        return Drawing(name, f"{self.part.name}: sheet", words, *page.size, tuple(marks))

    def _folds(self, name: str, words: str, step: FoldAll) -> Drawing:
        """All creases of the sheet, its inside up; what folds down is named so."""
        sheet = self.pattern.sheet
        page = _Page(sheet, mirrored=self.pattern.seen is Face.OUTSIDE)
        marks = [svg.outline("plain-edge", page.points(_corners(sheet)))]
        marks += [_stroke("was-cut", page, line) for line in self.cut]
        for line in self.pattern.lines:
            ends = sheet.place(line.start, {}), sheet.place(line.stop, {})
            marks.append(_stroke("new-score", page, ends))
            if line.name in step.away:
                x, y = page.point([0.5 * (a + b) for a, b in zip(*ends, strict=True)])
                marks.append(svg.text("down", x, y + 1.3, "middle strong"))
        return Drawing(name, f"{self.part.name}: folding", words, *page.size, tuple(marks))


class _Page:
    """Places on the sheet become places on paper, y downwards."""

    def __init__(self, sheet: Sheet, *, mirrored: bool) -> None:
        self.sheet, self.mirrored = sheet, mirrored
        self.scale = min(WIDE_MM / sheet.width_mm, TALL_MM / sheet.length_mm)
        self.size = (
            self.scale * sheet.width_mm + 2 * MARGIN,
            self.scale * sheet.length_mm + 2 * MARGIN,
        )

    def point(self, at: Sequence[float]) -> tuple[float, float]:
        """One place."""
        x = self.sheet.width_mm - at[0] if self.mirrored else at[0]
        return MARGIN + self.scale * x, MARGIN + self.scale * (self.sheet.length_mm - at[1])

    def points(self, places: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
        """Many places."""
        return [self.point(at) for at in places]


def _corners(sheet: Sheet) -> Line:
    width, length = sheet.width_mm, sheet.length_mm
    return ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length))


def _stroke(kind: str, page: _Page, line: Sequence[Sequence[float]]) -> str:
    points = " L ".join(f"{svg.number(x)},{svg.number(y)}" for x, y in page.points(line))
    return svg.tag("path", kind, d=f"M {points}")


def _place(sheet: Sheet, mark: Mark) -> float:
    """Where a mark lies, from the sheet's left or bottom edge."""
    size = sheet.width_mm if mark.fence.upright else sheet.length_mm
    return size - mark.at_mm if mark.fence.far else mark.at_mm


def _scores(sheet: Sheet, step: Step) -> Iterator[Line]:
    """The scores of a step, as far as they are made."""
    if isinstance(step, ScoreSides):
        for side in step.sides:
            for line in side.lines:
                ends = (_place(sheet, mark) for mark in (line.start, line.stop))
                yield tuple(sheet.spot(side.fence, line.at_mm, along) for along in ends)
    elif isinstance(step, ScoreSlants):
        for slant in step.lines:
            yield tuple(
                (_place(sheet, across), _place(sheet, along))
                for across, along in (slant.start, slant.stop)
            )


def _outline_cuts(pattern: Pattern) -> list[Line]:
    plan, sheet = plan_of(pattern), pattern.sheet
    lines: list[Line] = [
        tuple(sheet.spot(cut.fence, cut.at_mm, along) for along in (cut.start_mm, cut.stop_mm))
        for cut in plan.cuts
        if not cut.cutout
    ]
    return lines + [(cut.start_mm, cut.stop_mm) for cut in plan.slant_cuts if not cut.cutout]


def _own_cuts(pattern: Pattern, panel: str, cutout: str) -> list[Line]:
    """The lines of one cut-out, or the arcs of a panel's own edge."""
    boundary, sheet = pattern.boundary(pattern.panel(panel)), pattern.sheet
    found: list[Line] = []
    for ring in (boundary.outer, *boundary.holes, *boundary.slits):
        for edge in ring:
            if edge.cutout != cutout or not (cutout or edge.bulge):
                continue
            start, stop = sheet.place(edge.start, {}), sheet.place(edge.stop, {})
            a, chord = complex(*start), complex(*stop) - complex(*start)
            between = [a + weight * chord for weight in facet_weights(start, stop, edge.bulge)]
            found.append((start, *((at.real, at.imag) for at in between), stop))
    return found


def _crosses(pattern: Pattern, page: _Page) -> Iterator[str]:
    """The x on what is kept."""
    for panel in pattern.panels:
        if panel.role is Role.TAB:
            middle = shapely.centroid(paper_of(pattern, panel))
            x, y = page.point((middle.x, middle.y))
            yield svg.text("x", x, y + 1.3, "middle strong")


def _edges(part: PartSheet, page: _Page) -> Iterator[str]:
    """The edges' names, and the way of the grain."""
    width, length = page.size
    yield svg.text("bottom", 0.5 * width, length - MARGIN + 6.0, "middle")
    yield svg.text("top", 0.5 * width, MARGIN - 3.0, "middle")
    yield svg.text("left", MARGIN - 3.0, 0.5 * length, "middle", turn=-90.0)
    yield svg.text("right", width - MARGIN + 6.0, 0.5 * length, "middle", turn=-90.0)
    if part.grain is not None:
        along = part.grain is Axis.LENGTH
        reach = 0.2 * (length if along else width)
        x, y = 0.5 * width, 0.5 * length
        ends = [(x, y - reach), (x, y + reach)] if along else [(x - reach, y), (x + reach, y)]
        yield svg.line("quiet", *ends)
        for tip, way in ((ends[0], -1.0), (ends[1], 1.0)):
            yield svg.arrow("tip", tip, (0.0, way) if along else (way, 0.0))
        yield svg.text("grain", x + 3.0, y + 1.3)


def _counted(pattern: Pattern, page: _Page) -> Iterator[str]:
    """The numbers by which cuts are found: scores counted from each edge, beside the sheet."""
    plan, sheet = plan_of(pattern), pattern.sheet
    for fence in Fence:
        before = None
        for number, at in enumerate(counted_from(plan, fence), start=1):
            x, y = page.point(sheet.spot(fence, at, 0.0))
            along = x if fence.upright else y
            if before is not None and abs(along - before) < NARROWEST:
                continue
            before = along
            # below the sheet, and to its left or, where it is turned over, to its right
            across = (
                (x, y + COUNT_OFF) if fence.upright else (x + (-1, 1)[page.mirrored] * 2.6, y + 1.0)
            )
            yield svg.text(str(number), *across, "middle strong")


def _fences(steps: Sequence[Step], page: _Page) -> Iterator[str]:
    """A bar along each edge that is held against the fence, numbered in the order of turning."""
    sheet = page.sheet
    for step in steps:
        if not isinstance(step, ScoreSides):
            continue
        for number, side in enumerate(step.sides, start=1):
            run = sheet.length_mm if side.fence.upright else sheet.width_mm
            start, stop = page.points([sheet.spot(side.fence, 0.0, at) for at in (0.0, run)])
            out = _outward(side.fence, page)
            bar = [(x + out[0] * BAR_OFF, y + out[1] * BAR_OFF) for x, y in (start, stop)]
            yield svg.line("fence", *bar)
            if len(step.sides) > 1:
                x, y = (0.5 * (a + b) for a, b in zip(start, stop, strict=True))
                at = (x + out[0] * NUMBER_OFF, y + out[1] * NUMBER_OFF + 1.4)
                yield svg.text(str(number), *at, "middle strong")


def _outward(fence: Fence, page: _Page) -> tuple[float, float]:
    """Away from the sheet on paper."""
    if not fence.upright:
        return 0.0, -1.0 if fence.far else 1.0
    right = fence.far != page.mirrored
    return (1.0 if right else -1.0), 0.0
