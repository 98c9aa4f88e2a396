"""The steps a person follows at the board and the table, as values made from the plan.

Each step says one thing to do; the texts are written from these values and a test follows them
literally.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TypeAlias, TypeVar

from fitcheck.pattern.bonds import Face, JointKind
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.plan import Plan, RuledLine, SlantLine
from fitcheck.pattern.sheet import Axis, Fence
from fitcheck.sheet.areas import tab_names, waste_pieces
from fitcheck.sheet.board import NEAREST, quarter_turns, seen_from_maker, shortest_round
from fitcheck.sheet.cutting_out import CutOut, RoundCorners, RoundEdge, cutting_out
from fitcheck.sheet.layers import FoldDown, TurnInCorner, folded_down, turned_in
from fitcheck.stock.tools import Tools

SLANTS = {Role.TAB: "tab end", Role.FRAME: "mitre"}
"""What a slanted cut is called at the bench."""
WHOLE_MM = 0.005
"""A line that ends this near to an edge runs right up to it."""


@dataclass(frozen=True)
class CutToSize:
    """Cut a rectangle, lay it with the inside face up, and mark its edges."""

    part: str
    stock: str
    width_mm: float
    length_mm: float
    grain: Axis | None
    copies: int = 1
    """How many alike, all of which the other steps are done with."""


@dataclass(frozen=True)
class LaySheet:
    """Put the first edge against the fence; `nearest` is the edge nearest the maker."""

    fence: Fence
    nearest: Fence


@dataclass(frozen=True)
class TurnSheet:
    """Turn the sheet, never over: +1 a quarter turn anticlockwise, -1 clockwise, 2 half a turn."""

    quarter_turns: int
    fence: Fence
    """The edge that is at the fence afterwards."""
    nearest: Fence


@dataclass(frozen=True)
class Groove:
    """The groove nearest to a score that lies off the grooves."""

    at_mm: float
    beyond_mm: float
    """How far the score lies beyond it, away from the fence; negative when short of it."""


@dataclass(frozen=True)
class Score:
    """One score as the sheet lies now, start and stop measured from the nearest edge."""

    fence: Fence
    at_mm: float
    start_mm: float
    stop_mm: float
    from_edge: bool
    to_edge: bool
    off_groove: Groove | None
    of: tuple[str, ...]
    cut_face: Face | None = None
    """The face that is cut half through instead of pressed."""


@dataclass(frozen=True)
class Cut:
    """One straight cut as the sheet lies now, start and stop measured from the nearest edge."""

    fence: Fence
    at_mm: float
    start_mm: float
    stop_mm: float
    from_edge: bool
    to_edge: bool


@dataclass(frozen=True)
class SlantedCut:
    """A cut from point to point; both points are measured from the same two edges."""

    upright: Fence
    level: Fence
    start_mm: tuple[float, float]
    """Distance from the upright edge, then from the level edge."""
    stop_mm: tuple[float, float]
    what: str
    """What it makes: a tab's end or a frame's mitre."""


@dataclass(frozen=True)
class SlantedScore(SlantedCut):
    """A score from point to point, measured as a slanted cut is."""


@dataclass(frozen=True)
class CutAway:
    """The hatched pieces that must have come off, and the tabs that must not."""

    places: tuple[str, ...]
    tabs: tuple[str, ...]


@dataclass(frozen=True)
class FoldAll:
    """Fold every score towards the face that is up, or away from it, and flatten it again."""

    scores: int
    away: tuple[str, ...] = ()
    """The creases that are folded the other way."""


@dataclass(frozen=True)
class GlueCorner:
    """Adhesive on the outside face of a tab; it goes behind the wall, on the inside of it."""

    tab: str
    wall: str


@dataclass(frozen=True)
class GlueSeam:
    """A flap closes a tube: glued on the panel at the tube's other end."""

    flap: str
    onto: str
    face: Face
    """Of the flap, which gets the adhesive."""
    side: Face
    """Of what it is glued on."""


@dataclass(frozen=True)
class RollSide:
    """Adhesive on the outside face of a flap; roll the side inwards and press the flap down."""

    flap: str
    onto: str
    panels: tuple[str, ...]
    """What is rolled, from the wall's rim to the flap."""
    over: tuple[str, ...]
    """The frames that it comes to lie over at the corners."""


@dataclass(frozen=True)
class StandIn:
    """A ring that is glued shut is stood up and pressed down into the base."""

    part: str


@dataclass(frozen=True)
class CloseLid:
    """A lid in one piece with the walls is closed when all else is done."""

    lid: str
    hung: tuple[str, ...]
    """What hangs on it, nearest first."""


@dataclass(frozen=True)
class StandStrips:
    """Strips of a grid are put together and let down into the base."""

    part: str
    slots_up: bool
    """Whether the others come onto them from above."""
    crossed: bool
    """Whether there are others; else they are glued in."""


@dataclass(frozen=True)
class LayIn:
    """An insert is laid on the base's floor, or turned over and stood there on its legs."""

    part: str
    on_legs: bool


Step: TypeAlias = (
    CutToSize
    | LaySheet
    | TurnSheet
    | Score
    | Cut
    | SlantedCut
    | SlantedScore
    | CutOut
    | RoundCorners
    | RoundEdge
    | CutAway
    | FoldAll
    | GlueCorner
    | GlueSeam
    | RollSide
    | StandIn
    | CloseLid
    | TurnInCorner
    | FoldDown
    | StandStrips
    | LayIn
)


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


def _lids(pattern: Pattern) -> Iterator[CloseLid]:
    for panel in pattern.panels:
        if panel.role is Role.LID:
            yield CloseLid(panel.name, pattern.beyond(panel.name)[1:])


def _rolls(pattern: Pattern) -> Iterator[RollSide]:
    """Rolled sides in the pattern's order: those that lap over others come after them."""
    for joint in pattern.roll_joints:
        panels = tuple(crease.child for crease in pattern.chain(joint.panel)[1:])
        over = tuple(lap.under for lap in pattern.laps if lap.over in panels)
        yield RollSide(joint.panel, joint.onto, panels, over)
