"""What a lid, a base and what goes in weigh, from their papers and what their files say."""

from __future__ import annotations

from fitcheck.design.model import Design
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check


def paper_g(part: Part) -> float:
    """Mass of a part's paper, g: the flat area of its panels times its grammage.

    The folded volume over the caliper is that area where folds neither stretch nor upset the
    sheet (k = 1/2); else they differ by less than papers' own grammage does.
    """
    area_mm2 = part.folded.volume_mm3 / part.recipe.stock.caliper_mm
    return area_mm2 * part.recipe.stock.mass_gsm * 1e-6 * part.pattern.copies


def part_g(part: Part, design: Design) -> float:
    """Mass of a part with what is stuck on it, g."""
    spec = design.part(part.recipe.part)
    return paper_g(part) + (0.0 if spec is None else spec.decoration_g)


def contents_g(check: Check) -> float | None:
    """Mass of all that goes in, into every compartment, g; None where some of it is not known."""
    masses = [(content.count, content.item.mass_g) for content in check.design.contents]
    if any(mass is None for _, mass in masses):
        return None
    return check.assembly.rooms * sum(count * mass for count, mass in masses if mass is not None)
