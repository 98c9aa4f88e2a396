"""Where the lines of a pattern come to lie with tools that were measured: what they always do."""

from __future__ import annotations

from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import scored_rules
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Line, Shifts
from fitcheck.stock.tools import Tools


def habitual(pattern: Pattern, tools: Tools | None) -> Shifts:
    """How far each edge and score lies beyond its place, mm; nothing where nobody measured.

    A maker sets trimmer and board to the numbers of the plan, so that each sheet comes out too
    large by the trimmer's offset and each score lies where the board's fence and scale put it.
    """
    if tools is None or not tools.habits.known:
        return {}
    habits = tools.habits
    shifts: dict[Line, float] = {
        rule: habits.score_mm(rule.at_mm, in_groove=tools.on_grid(rule.at_mm))
        for rule in scored_rules(pattern)
    }
    return shifts | {WIDTH_EDGE: habits.cut_mm, LENGTH_EDGE: habits.cut_mm}
