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
from fitcheck.pattern.counted import sheet_by_hand_mm, told_off_mm, told_slot_mm
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE
from fitcheck.units import ROUNDED_MM, rounding_mm
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


def as_told(prospect: Prospect) -> Prospect:
    """The prospect of boxes whose sheets and scores are made as steps round them."""
    assembly, workshop = prospect.check.assembly, prospect.workshop
    inputs = tuple(_rounded(assembly, one) for one in workshop.inputs)
    if inputs == workshop.inputs:
        return prospect
    return replace(prospect, workshop=replace(workshop, inputs=inputs))


def _rounded(assembly: Assembly, one: Input) -> Input:
    """An input with its line's rounding added to what it is off by.

    A score that is told in a groove is made as exactly as one that was drawn in it.
    """
    off = printed_off_mm(assembly, one)
    if abs(off) <= ROUNDED_MM:
        return one
    u, tools = one.variate.u, assembly.design.tools
    if one.rule is not None and one.source is Source.SCORE and tools.on_grid(one.rule.at_mm + off):
        u = min(u, tools.score_u_on_grid_mm)
    return replace(one, variate=replace(one.variate, mean=one.variate.mean + off, u=u))


def printed_off_mm(assembly: Assembly, one: Input) -> float:
    """How far the printed length of a sheet's side, a score or a slot is from the exact one."""
    unit, tools = assembly.design.unit, assembly.design.tools
    if one.rule is not None and one.source is Source.SCORE:
        parts = _parts(assembly, one)
        plans = [plan_of(part.pattern) for part in parts]
        return max((told_off_mm(plan, one.rule, unit, tools) for plan in plans), key=abs)
    if one.source is Source.CUT and one.rule in (WIDTH_EDGE, LENGTH_EDGE):
        (part,) = _parts(assembly, one)
        side = 0 if one.rule == WIDTH_EDGE else 1
        told = sheet_by_hand_mm(plan_of(part.pattern), unit, tools)
        return told[side] - part.pattern.sheet.sides_mm[side]
    if one.knife is not None and one.knife.fits_mm is not None:
        if one.knife.takes:
            return rounding_mm(one.knife.fits_mm, unit, math.ceil)
        return told_slot_mm(one.knife.fits_mm, unit) - one.knife.fits_mm
    return 0.0


def _parts(assembly: Assembly, one: Input) -> list[Part]:
    return [part for part in assembly.parts if part.recipe.part in one.parts]
