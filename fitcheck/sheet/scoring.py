"""Scores as they are made: side by side, straight through what is cut away or hidden afterwards."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely

from fitcheck.pattern.bonds import Face
from fitcheck.pattern.counted import EXACT_MM, HAIR_MM
from fitcheck.pattern.laid import pressed_face
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.plan import Plan, RuledLine, SlantLine
from fitcheck.pattern.sheet import Fence, Sheet
from fitcheck.sheet.areas import paper_of
from fitcheck.sheet.board import quarter_turns, shortest_round
from fitcheck.sheet.cuts import ScoreSlants, slanted_scores
from fitcheck.sheet.marks import Mark, Scale
from fitcheck.stock.tools import Tools
from fitcheck.units import Unit, rounding_mm

CLEAR_MM = 0.05
"""A score that runs on along a panel's edge does not enter the panel."""
HIDDEN = (Role.TAB,)
"""What is glued behind something else, so that a score across it is never seen."""


@dataclass(frozen=True)
class ScoredLine:
    """One score, from one mark to another along the edge at the fence."""

    at_mm: float
    start: Mark
    stop: Mark
    in_groove: bool | None
    """Whether the place that it is told by lies in a groove; None on a board without grooves."""
    unit: Unit
    """What it is told in: the design's, or the board's where it lies in a groove."""
    beside_mm: float
    """How far it lies beyond another score of that edge, or beyond where it would lie without a
    layer of paper, a hair; nought for one by itself."""
    half_cut: bool
    """Cut half through instead of pressed."""
    of: tuple[str, ...]

    @property
    def through(self) -> bool:
        """Whether it runs from edge to edge."""
        return self.start.edge and self.stop.edge


@dataclass(frozen=True)
class ScoredSide:
    """The scores that are made with one edge against the fence."""

    fence: Fence
    quarter_turns: int
    """Of the sheet before them: +1 a quarter turn anticlockwise, -1 clockwise, 2 half a turn; 0 for
    the first side."""
    lines: tuple[ScoredLine, ...]


@dataclass(frozen=True)
class ScoreSides:
    """The scores that are pressed on one face, or cut half through it."""

    face: Face
    """The face that is up."""
    sides: tuple[ScoredSide, ...]
    half_cut: bool = False
    """Whether all scores of the part are cut half through, and none is pressed."""


@dataclass(frozen=True)
class TurnOver:
    """Turn the sheet over, like the page of a book."""

    up: Face
    """The face that is up afterwards."""


Scoring = ScoreSides | ScoreSlants | TurnOver


def scoring(pattern: Pattern, plan: Plan, tools: Tools, unit: Unit) -> Iterator[Scoring]:
    """All scores, those on the face that is up first; then the sheet lies as it lay before.

    Distances are told in the unit of a rule, so that a score a hair off a groove is set in it. Ends
    are found by scores that are there by then.
    """
    closed, made = _closed_ground(pattern), list[RuledLine]()
    cut = all(one.half_cut for one in plan.scores) and all(s.half_cut for s in plan.slant_scores)
    for face in (pattern.seen, pattern.seen.other):
        ruled = [line for line in plan.scores if pressed(line, tools.score_face) is face]
        slants = [line for line in plan.slant_scores if pressed(line, tools.score_face) is face]
        over = face is not pattern.seen
        if over and (ruled or slants):
            yield TurnOver(face)
        if ruled:
            lines = list(_straight_through(plan.sheet, ruled, closed))
            first = [line for line in lines if _through(plan.sheet, line)]
            scale = Scale(plan, made + first)
            yield ScoreSides(face, tuple(_sides(lines, scale, tools, unit, over=over)), cut)
            made += lines
        yield from slanted_scores(Scale(plan, made), slants)
        if over and (ruled or slants):
            yield TurnOver(pattern.seen)


def pressed(line: RuledLine | SlantLine, score_face: str) -> Face:
    """The face that a score is pressed on, or cut half through."""
    assert line.outer is not None
    return pressed_face(line.outer, score_face, half_cut=line.half_cut)


def _sides(
    lines: Sequence[RuledLine], scale: Scale, tools: Tools, unit: Unit, *, over: bool
) -> Iterator[ScoredSide]:
    """Fence by fence with the fewest turns; nearest the fence first."""
    before: Fence | None = None
    for fence in shortest_round({line.fence for line in lines}, over=over):
        own = sorted(
            (line for line in lines if line.fence is fence), key=lambda x: (x.at_mm, x.start_mm)
        )
        turns = 0 if before is None else quarter_turns(before, fence, over=over)
        yield ScoredSide(fence, turns, tuple(_scored(line, scale, tools, unit) for line in own))
        before = fence


def _scored(line: RuledLine, scale: Scale, tools: Tools, unit: Unit) -> ScoredLine:
    along = Fence.BOTTOM if line.fence.upright else Fence.LEFT
    beside = line.rule.hair_mm or scale.beside(line.fence, line.at_mm)
    place = line.at_mm - beside
    told = place + rounding_mm(place, unit)
    return ScoredLine(
        line.at_mm,
        scale.mark(along, line.start_mm),
        scale.mark(along, line.stop_mm),
        None if tools.grid_mm is None else tools.on_grid(place) or tools.on_grid(told),
        tools.told_in(place, unit),
        beside,
        line.half_cut,
        line.of,
    )


def _closed_ground(pattern: Pattern) -> shapely.Geometry:
    """The paper that a score must not run across: what stays and is seen."""
    seen = [paper_of(pattern, p) for p in pattern.panels if p.role not in HIDDEN]
    return shapely.union_all([paper.buffer(-CLEAR_MM) for paper in seen])


def _straight_through(
    sheet: Sheet, lines: Sequence[RuledLine], closed: shapely.Geometry
) -> Iterator[RuledLine]:
    """The lines run on to each other and to the sheet's edges, wherever nothing is spoilt.

    What is cut half through ends where its hinge ends: it would come apart there. No score runs on
    a hair beside another.
    """
    for _, same in itertools.groupby(lines, key=_track):
        stretches = sorted(same, key=lambda line: line.start_mm)
        if stretches[0].half_cut:
            yield from stretches
            continue
        ground = shapely.union(closed, _beside(sheet, stretches[0], lines))
        size = sheet.length_mm if stretches[0].fence.upright else sheet.width_mm
        joined = [stretches[0]]
        for line in stretches[1:]:
            last = joined[-1]
            if _free(sheet, line, (last.stop_mm, line.start_mm), ground):
                joined[-1] = replace(last, stop_mm=line.stop_mm, of=last.of + line.of)
            else:
                joined.append(line)
        if _free(sheet, joined[0], (0.0, joined[0].start_mm), ground):
            joined[0] = replace(joined[0], start_mm=0.0)
        if _free(sheet, joined[-1], (joined[-1].stop_mm, size), ground):
            joined[-1] = replace(joined[-1], stop_mm=size)
        yield from joined


def _through(sheet: Sheet, line: RuledLine) -> bool:
    """Whether a score runs from edge to edge; such are made before the others."""
    size = sheet.length_mm if line.fence.upright else sheet.width_mm
    return line.start_mm <= EXACT_MM and size - line.stop_mm <= EXACT_MM


def _track(line: RuledLine) -> tuple[Fence, int, bool]:
    """The same for stretches that a hand scores as one line."""
    return line.fence, round(line.at_mm / EXACT_MM), line.half_cut


def _beside(sheet: Sheet, line: RuledLine, lines: Sequence[RuledLine]) -> shapely.Geometry:
    """The ground round scores that lie a hair beside a line."""
    near = [
        shapely.LineString(
            [sheet.spot(x.fence, x.at_mm, along) for along in (x.start_mm, x.stop_mm)]
        )
        for x in lines
        if x.fence is line.fence and EXACT_MM < abs(x.at_mm - line.at_mm) <= HAIR_MM
    ]
    return shapely.union_all(near).buffer(HAIR_MM, cap_style="flat")


def _free(
    sheet: Sheet, line: RuledLine, stretch: tuple[float, float], closed: shapely.Geometry
) -> bool:
    """Whether a score may run on over a stretch of its line."""
    if stretch[1] - stretch[0] <= EXACT_MM:
        return True
    ends = [sheet.spot(line.fence, line.at_mm, along) for along in stretch]
    return not closed.intersects(shapely.LineString(ends))
