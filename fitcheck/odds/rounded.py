"""What it costs to cut and score what a hand can set instead of what the design says exactly."""

from __future__ import annotations

import math
from dataclasses import replace

from fitcheck.fit.assembly import Assembly, Part
from fitcheck.odds.forms import Forms
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.intervals import Chance, chance_of
from fitcheck.odds.propagate import Samples
from fitcheck.odds.prospect import Prospect
from fitcheck.pattern.counted import HAIR_DIGITS, told_beside_mm, told_slot_mm
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Rule
from fitcheck.stock.tools import Tools
from fitcheck.units import ROUNDED_MM, Unit, rounding_mm
from fitcheck.workspace.progress import SILENT, Progress


def drawn_and_rounded(
    prospect: Prospect, forms: Forms, boxes: int, seed: int, progress: Progress = SILENT
) -> tuple[Samples, Chance | None]:
    """Virtual boxes, and how often they are right with sheets and scores rounded as steps tell.

    The very same boxes, each line off by its rounding as well. None where nothing is rounded that
    matters.
    """
    assembly = prospect.check.assembly
    inputs = tuple(_rounded(assembly, one) for one in forms.inputs)
    if inputs == forms.inputs:
        return prospect.draw(forms, boxes, seed, progress), None
    samples, right = prospect.draw_beside(forms, inputs, boxes, seed, progress)
    return samples, chance_of(right)


def _rounded(assembly: Assembly, one: Input) -> Input:
    """An input with its line's rounding added to what it is off by."""
    off = printed_off_mm(assembly, one)
    if abs(off) <= ROUNDED_MM:
        return one
    return replace(one, variate=replace(one.variate, mean=one.variate.mean + off))


def printed_off_mm(assembly: Assembly, one: Input) -> float:
    """How far the printed length of a sheet's side, a score or a slot is from the exact one."""
    unit, tools = assembly.design.unit, assembly.design.tools
    if one.rule is not None and one.source is Source.SCORE:
        parts = _parts(assembly, one)
        return max((_score_off_mm(part, one.rule, unit, tools) for part in parts), key=abs)
    if one.source is Source.CUT and one.rule in (WIDTH_EDGE, LENGTH_EDGE):
        (part,) = _parts(assembly, one)
        sheet = part.pattern.sheet
        size = sheet.width_mm if one.rule == WIDTH_EDGE else sheet.length_mm
        return rounding_mm(size, unit, sheet.to)
    if one.knife is not None and one.knife.fits_mm is not None:
        if one.knife.takes:
            return rounding_mm(one.knife.fits_mm, unit, math.ceil)
        return told_slot_mm(one.knife.fits_mm, unit) - one.knife.fits_mm
    return 0.0


def _parts(assembly: Assembly, one: Input) -> list[Part]:
    return [part for part in assembly.parts if part.recipe.part in one.parts]


def _score_off_mm(part: Part, rule: Rule, unit: Unit, tools: Tools) -> float:
    """A score a hair beside another is told by that one and the hair.

    One in a groove is told as the board has it, in whatever unit the design is.
    """
    hair = told_beside_mm(plan_of(part.pattern), rule)
    at_mm = rule.at_mm - hair
    return rounding_mm(at_mm, tools.told_in(at_mm, unit)) + round(hair, HAIR_DIGITS) - hair
