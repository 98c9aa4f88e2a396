"""The steps a person follows at the board and the table, as values made from the plan.

Each step says one thing to do; the texts are written from these values and a test follows them
literally.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeAlias, TypeVar

from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.plan import Plan, RuledLine, SlantLine
from fitcheck.pattern.sheet import Axis, Fence
from fitcheck.sheet.actions import (
    CloseLid,
    Cut,
    CutAway,
    CutToSize,
    FoldAll,
    GlueCorner,
    GlueSeam,
    Groove,
    LayIn,
    LaySheet,
    RollSide,
    Score,
    SlantedCut,
    SlantedScore,
    StandIn,
    StandStrips,
    Step,
    TuckIn,
    TurnSheet,
)
from fitcheck.sheet.areas import tab_names, waste_pieces
from fitcheck.sheet.board import NEAREST, quarter_turns, seen_from_maker, shortest_round
from fitcheck.sheet.cutting_out import cutting_out
from fitcheck.sheet.layers import TurnInCorner, folded_down, turned_in
from fitcheck.stock.tools import Tools

SLANTS = {Role.TAB: "tab end", Role.FRAME: "mitre"}
"""What a slanted cut is called at the bench."""
WHOLE_MM = 0.005
"""A line that ends this near to an edge runs right up to it."""


def steps_for(
    pattern: Pattern, plan: Plan, stock: str, grain: Axis | None, tools: Tools
) -> tuple[Step, ...]:
    """All steps of one part, in order."""
    sheet = plan.sheet
    scores, at_fence = _ruled(plan, plan.scores, None, tools)
    edges = tuple(cut for cut in plan.cuts if not cut.cutout)
    cuts, _ = _ruled(plan, edges, at_fence, None)
    return (
        CutToSize(pattern.part, stock, sheet.width_mm, sheet.length_mm, grain, pattern.copies),
        *scores,
        *_in_order(
            SlantedScore(*_placed(plan, slant), "score across a corner")
            for slant in plan.slant_scores
        ),
        *cuts,
        *_in_order(
            SlantedCut(
                *_placed(plan, slant), SLANTS.get(pattern.panel(slant.of).role, "slanted end")
            )
            for slant in plan.slant_cuts
            if not slant.cutout
        ),
        *cutting_out(pattern),
        *_cut_away(pattern),
        *_folds(pattern),
        *_corners(pattern),
        *_seams(pattern),
        *_rolls(pattern),
        *folded_down(pattern),
        *((StandIn(pattern.part),) if pattern.on_end else ()),
        *_lids(pattern),
        *_stood(pattern),
    )


def _corners(pattern: Pattern) -> Iterator[GlueCorner | TurnInCorner]:
    whole = turned_in(pattern)
    for joint in pattern.corner_joints:
        yield whole.get(joint.panel) or GlueCorner(joint.panel, joint.onto)


def _stood(pattern: Pattern) -> Iterator[StandStrips | LayIn]:
    if pattern.turned or not (pattern.lines or pattern.row):
        yield LayIn(pattern.part, pattern.turned)
    if pattern.row is not None:
        crossed = bool(pattern.panels[0].cutouts)
        yield StandStrips(pattern.part, pattern.row.slots_up, crossed)


def _folds(pattern: Pattern) -> Iterator[FoldAll]:
    if pattern.lines:
        away = tuple(line.name for line in pattern.lines if line.angle_rad < 0.0)
        yield FoldAll(len(pattern.lines), away)


def _cut_away(pattern: Pattern) -> Iterator[CutAway]:
    if waste := waste_pieces(pattern):
        yield CutAway(tuple(piece.place for piece in waste), tab_names(pattern))


def turns_of(steps: tuple[Step, ...]) -> int:
    """How often the sheet is turned."""
    return sum(isinstance(step, TurnSheet) for step in steps)


def _ruled(
    plan: Plan, lines: tuple[RuledLine, ...], at_fence: Fence | None, tools: Tools | None
) -> tuple[list[Step], Fence | None]:
    """Lines fence by fence, nearest first; scores when the board is given, cuts otherwise."""
    steps: list[Step] = []
    for fence in shortest_round({line.fence for line in lines}, at_fence):
        steps += _brought(at_fence, fence)
        at_fence = fence
        mine = [line for line in lines if line.fence is fence]
        for line in sorted(mine, key=lambda x: (x.at_mm, seen_from_maker(plan.sheet, x))):
            steps.append(_made(plan, line, tools))
    return steps, at_fence


def _brought(before: Fence | None, after: Fence) -> Iterator[Step]:
    if before is None:
        yield LaySheet(after, NEAREST[after])
    elif before is not after:
        yield TurnSheet(quarter_turns(before, after), after, NEAREST[after])


def _made(plan: Plan, line: RuledLine, tools: Tools | None) -> Score | Cut:
    start, stop = seen_from_maker(plan.sheet, line)
    size = plan.sheet.length_mm if line.fence.upright else plan.sheet.width_mm
    from_edge, to_edge = start < WHOLE_MM, stop > size - WHOLE_MM
    if tools is None:
        return Cut(line.fence, line.at_mm, start, stop, from_edge, to_edge)
    return Score(
        line.fence,
        line.at_mm,
        start,
        stop,
        from_edge,
        to_edge,
        _off_groove(line.at_mm, tools),
        line.of,
        line.cut_face,
    )


def _off_groove(at_mm: float, tools: Tools) -> Groove | None:
    """None for a score in a groove, or on a board that has none."""
    if tools.grid_mm is None or tools.on_grid(at_mm):
        return None
    groove = round(at_mm / tools.grid_mm) * tools.grid_mm
    return Groove(groove, at_mm - groove)


Slanted = TypeVar("Slanted", bound=SlantedCut)
_Ends: TypeAlias = tuple[Fence, Fence, tuple[float, float], tuple[float, float]]


def _placed(plan: Plan, slant: SlantLine) -> _Ends:
    """A slanted line's ends, measured from the two edges nearest to it."""
    width, length = plan.sheet.width_mm, plan.sheet.length_mm
    (x0, y0), (x1, y1) = slant.start_mm, slant.stop_mm
    right, top = x0 + x1 > width, y0 + y1 > length
    start, stop = sorted(
        (width - x if right else x, length - y if top else y) for x, y in ((x0, y0), (x1, y1))
    )
    upright, level = Fence.RIGHT if right else Fence.LEFT, Fence.TOP if top else Fence.BOTTOM
    return upright, level, start, stop


def _in_order(lines: Iterable[Slanted]) -> list[Slanted]:
    """Slanted lines, equal ones together."""
    corners = [(Fence.LEFT, Fence.BOTTOM), (Fence.LEFT, Fence.TOP)]
    corners += [(Fence.RIGHT, Fence.TOP), (Fence.RIGHT, Fence.BOTTOM)]
    return sorted(
        lines,
        key=lambda c: (
            c.what,
            [round(v, 3) for v in (*c.start_mm, *c.stop_mm)],
            corners.index((c.upright, c.level)),
        ),
    )


def _seams(pattern: Pattern) -> Iterator[GlueSeam]:
    for bond in pattern.bonds_of(JointKind.TUBE):
        yield GlueSeam(bond.panel, bond.onto, bond.face, bond.side)


def _lids(pattern: Pattern) -> Iterator[CloseLid | TuckIn]:
    for tuck in pattern.tucks:
        yield TuckIn(
            tuck.lid,
            tuck.flap,
            tuck.behind,
            tuck.under,
            tuck.shoulder_mm is not None,
            pattern.panel(tuck.lid).role is Role.LID,
        )
    for panel in () if pattern.tucks else pattern.panels:
        if panel.role is Role.LID:
            yield CloseLid(panel.name, pattern.beyond(panel.name)[1:])


def _rolls(pattern: Pattern) -> Iterator[RollSide]:
    """Rolled sides in the pattern's order: those that lap over others come after them."""
    for joint in pattern.roll_joints:
        panels = tuple(crease.child for crease in pattern.chain(joint.panel)[1:])
        over = tuple(lap.under for lap in pattern.laps if lap.over in panels)
        yield RollSide(joint.panel, joint.onto, panels, over)
