"""The steps a person follows at the board and the table, as values made from the plan.

Each step says one thing to do; the texts are written from these values and a test follows them
literally.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from fitcheck.pattern.bonds import Face, JointKind
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.laid import is_mirrored
from fitcheck.pattern.panes import pane_mm
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.plan import Plan
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.actions import (
    CutAway,
    CutToSize,
    FoldAll,
    GlueCorner,
    GlueSeam,
    LayIn,
    RollSide,
    StandIn,
    StandStrips,
    Step,
)
from fitcheck.sheet.areas import tab_names, waste_pieces
from fitcheck.sheet.best_grain import best_grain
from fitcheck.sheet.cuts import outline_cuts
from fitcheck.sheet.cutting_out import cutting_out
from fitcheck.sheet.layers import TurnInCorner, folded_down, turned_in
from fitcheck.sheet.left_folded import left_folded, oblique
from fitcheck.sheet.scoring import ScoreSides, TurnOver, scoring
from fitcheck.sheet.together import tucked_in
from fitcheck.stock.tools import Tools
from fitcheck.units import Unit


def steps_for(
    pattern: Pattern,
    plan: Plan,
    stock: str,
    grain: Axis | None,
    tools: Tools,
    unit: Unit,
    *,
    knife: bool = False,
) -> tuple[Step, ...]:
    """All steps of one part, in order; its pattern as it lies while it is scored.

    `knife` says that no scissors cut its stock.
    """
    scores = tuple(scoring(pattern, plan, tools, unit))
    left = tuple(left_folded(pattern))
    size = CutToSize(
        part=pattern.part,
        stock=stock,
        sheet=plan.sheet,
        told_mm=sheet_by_hand_mm(plan, unit, tools),
        grain=grain,
        up=pattern.seen,
        sided=is_mirrored(pattern),
        both_faces=any(isinstance(step, TurnOver) for step in scores),
        copies=pattern.copies,
        flat=not pattern.lines,
        askew=_askew(pattern),
        best_grain=best_grain(pattern) if grain is None else None,
    )
    flat = (
        size,
        *scores,
        *outline_cuts(pattern, plan, knife=knife),
        *cutting_out(pattern),
        *_cut_away(pattern),
        *_folds(pattern, tools, told=not left),
    )
    return (
        *_turned_once(flat),
        *left,
        *_corners(pattern),
        *_seams(pattern),
        *_rolls(pattern),
        *folded_down(pattern),
        *((StandIn(pattern.part),) if pattern.on_end else ()),
        *(tuck for tuck in tucked_in(pattern) if not tuck.above),
        *_stood(pattern),
    )


def _turned_once(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The steps up to folding; a sheet that lies for its last scores as it is folded stays so."""
    fold = steps[-1]
    if isinstance(fold, FoldAll) and fold.up is Face.OUTSIDE and steps[-2] == TurnOver(fold.up):
        return (*steps[:-2], replace(fold, up=fold.up.other))
    return steps


def _askew(pattern: Pattern) -> float | None:
    """What each unit between the diagonals of a sheet takes of a box's room along either side.

    Each score lies along its own edge, so that a sheet of a x b with diagonals D that differ by d
    leans by d D / 2 a b, and the floor with it. What is not askew alike and goes into the box or
    over it turns meanwhile, until it loses as much along both sides, W and L: of a lean t that is
    t W L / (W + L).
    """
    floor = pattern.panels[0]
    upright = {corner.x for corner in floor.corners}
    level = {corner.y for corner in floor.corners}
    walls = sum(line.parent == floor.name for line in pattern.creases)
    if floor.role is not Role.FLOOR or walls != 4 or not len(upright) == len(level) == 2:
        return None
    (left, right), (low, high) = (
        sorted(pattern.sheet.position(rule, {}) for rule in rules) for rules in (upright, level)
    )
    width, length = right - left, high - low
    a, b = pattern.sheet.sides_mm
    return math.hypot(a, b) / (2.0 * a * b) * width * length / (width + length)


def _corners(pattern: Pattern) -> Iterator[GlueCorner | TurnInCorner]:
    whole = turned_in(pattern)
    for joint in pattern.corner_joints:
        yield whole.get(joint.panel) or GlueCorner(joint.panel, joint.onto)


def _stood(pattern: Pattern) -> Iterator[StandStrips | LayIn]:
    if pattern.turned or not (pattern.lines or pattern.row):
        yield LayIn(pattern.part, pattern.turned)
    if pattern.row is not None:
        crossed = bool(pattern.panels[0].cutouts)
        yield StandStrips(pattern.part, pattern.row.slots_up, crossed, pattern.row.at_mm)


def _folds(pattern: Pattern, tools: Tools, *, told: bool) -> Iterator[FoldAll]:
    """What is left folded by itself has its angles told then, not here."""
    if pattern.lines:
        away = tuple(line.name for line in pattern.lines if line.angle_rad < 0.0)
        half_cut = sum(line.cut_face is not None for line in pattern.lines)
        beaded = Face(tools.score_face) is Face.OUTSIDE
        yield FoldAll(
            len(pattern.lines),
            pattern.seen,
            beaded,
            away,
            half_cut,
            oblique(pattern) if told else (),
            pane_mm(pattern),
        )


def _cut_away(pattern: Pattern) -> Iterator[CutAway]:
    if waste := waste_pieces(pattern):
        yield CutAway(tuple(piece.place for piece in waste), tab_names(pattern))


def turns_of(steps: tuple[Step, ...]) -> int:
    """How often the sheet is turned, or turned over, while it is scored and cut."""
    sides = [side for step in steps if isinstance(step, ScoreSides) for side in step.sides]
    over = sum(isinstance(step, TurnOver) for step in steps)
    return over + sum(side.quarter_turns != 0 for side in sides)


def _seams(pattern: Pattern) -> Iterator[GlueSeam]:
    for bond in pattern.bonds_of(JointKind.TUBE):
        yield GlueSeam(bond.panel, bond.onto, bond.face, bond.side)


def _rolls(pattern: Pattern) -> Iterator[RollSide]:
    """Rolled sides in the pattern's order: those that lap over others come after them."""
    for joint in pattern.roll_joints:
        panels = tuple(crease.child for crease in pattern.chain(joint.panel)[1:])
        over = tuple(lap.under for lap in pattern.laps if lap.over in panels)
        yield RollSide(joint.panel, joint.onto, panels, over)
