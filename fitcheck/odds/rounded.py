"""What it costs to cut and score what a hand can set instead of what the design says exactly."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fitcheck.design.model import Design
from fitcheck.fit.assembly import Assembly
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.intervals import Chance
from fitcheck.odds.prospect import Prospect, good_chance
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE
from fitcheck.units import ROUNDED_MM, Unit, rounding_mm


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
    off = sum(_off_mm(assembly, one))
    if abs(off) <= ROUNDED_MM:
        return one
    return replace(one, variate=replace(one.variate, mean=one.variate.mean + off))


def _off_mm(assembly: Assembly, one: Input) -> Iterator[float]:
    """How far the printed length of a sheet's side or of a score is from the exact one."""
    unit = hand_unit(assembly.design)
    if one.rule is None or one.source not in (Source.SCORE, Source.CUT):
        return
    if one.source is Source.SCORE:
        yield rounding_mm(one.rule.at_mm, unit)
    elif one.rule in (WIDTH_EDGE, LENGTH_EDGE):
        (part,) = (p for p in assembly.parts if p.recipe.part in one.parts)
        sheet = part.pattern.sheet
        size = sheet.width_mm if one.rule == WIDTH_EDGE else sheet.length_mm
        yield rounding_mm(size, unit)


def hand_unit(design: Design) -> Unit:
    """The unit that a design's steps are told in."""
    return Unit.IN if design.unit is Unit.IN else Unit.MM
