"""What a sheet of the workshop holds in one piece, and which ring is made from two strips."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.design.model import Design
from fitcheck.pattern.counted import sheet_needs_mm
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import plan_of
from fitcheck.styles import draw
from fitcheck.styles.collar import CollarRecipe, half_ring
from fitcheck.styles.part import Recipe


def as_cut(recipe: Recipe, design: Design) -> Recipe:
    """The recipe, a ring's from two strips where no sheet holds it and one holds half of it."""
    if not isinstance(recipe, CollarRecipe):
        return recipe
    whole = replace(recipe, two_strips=False)
    halved = not is_held(draw(whole), design) and held_half(recipe, design) is not None
    return replace(whole, two_strips=halved)


def half_of(recipe: Recipe) -> Pattern | None:
    """One of the two strips that a ring may be made from; None for any other part."""
    return half_ring(recipe) if isinstance(recipe, CollarRecipe) else None


def held_half(recipe: Recipe, design: Design) -> Pattern | None:
    """The half of a ring where a sheet of the workshop holds it, otherwise None."""
    half = half_of(recipe)
    return half if half is not None and is_held(half, design) else None


def is_held(pattern: Pattern, design: Design) -> bool:
    """Whether a sheet of the workshop holds it in one piece."""
    papers = design.tools.papers
    if any(paper.holds(*pattern.sheet.sides_mm) for paper in papers):
        return True
    sides = needs_mm(pattern, design)
    return any(paper.holds(*sides) for paper in papers)


def needs_mm(pattern: Pattern, design: Design) -> tuple[float, float]:
    """The width and the length, mm, that a bought sheet has to have for it."""
    return sheet_needs_mm(plan_of(pattern), design.unit, design.tools)
