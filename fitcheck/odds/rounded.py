"""What it costs to cut and score what a hand can set instead of what the design says exactly."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.fit.assembly import Assembly
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.intervals import Chance
from fitcheck.odds.prospect import Prospect, good_chance
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE
from fitcheck.units import ROUNDED_MM, rounding_mm


def with_rounding(whole: Prospect, boxes: int, seed: int) -> Chance | None:
    """How often boxes come out right whose sheets and scores are rounded as the steps tell them.

    The same boxes as those of the odds, each line off by its rounding as well. None where nothing
    is rounded that matters.
    """
    prospect, forms = whole.asked()
    assembly = prospect.check.assembly
    inputs = tuple(_rounded(assembly, one) for one in forms.inputs)
    if inputs == forms.inputs:
        return None
    forms = replace(forms, inputs=inputs)
    return good_chance(prospect, prospect.draw(forms, boxes, seed))


def _rounded(assembly: Assembly, one: Input) -> Input:
    """An input with its line's rounding added to what it is off by."""
    off = _off_mm(assembly, one)
    if abs(off) <= ROUNDED_MM:
        return one
    return replace(one, variate=replace(one.variate, mean=one.variate.mean + off))


def _off_mm(assembly: Assembly, one: Input) -> float:
    """How far the printed length of a sheet's side or of a score is from the exact one."""
    unit = assembly.design.unit
    if one.rule is not None and one.source is Source.SCORE:
        return rounding_mm(one.rule.at_mm, unit)
    if one.source is Source.CUT and one.rule in (WIDTH_EDGE, LENGTH_EDGE):
        (part,) = (p for p in assembly.parts if p.recipe.part in one.parts)
        sheet = part.pattern.sheet
        size = sheet.width_mm if one.rule == WIDTH_EDGE else sheet.length_mm
        return rounding_mm(size, unit)
    return 0.0
