"""A ring that no sheet holds in one piece is made from two strips, each half of it with a flap.

It is drawn from one strip. There the wall that stands on the flap is shorter by what lies under it,
so that the ring closes square; with a seam at two opposite edges both walls of that length stand on
a flap, and the two strips are alike.
"""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.model import Design
from fitcheck.pattern.counted import HAIR_DIGITS
from fitcheck.sheet.instructions import Instruction
from fitcheck.styles.collar import CollarRecipe
from fitcheck.styles.part import Recipe
from fitcheck.styles.walls import SEAM_TAPER_MM
from fitcheck.units import hand_unit, show_hands, show_number


def ring_in_two(recipe: Recipe, design: Design) -> Iterator[Instruction]:
    """How the ring is made from two strips; nothing where a sheet holds neither, or of another."""
    if not isinstance(recipe, CollarRecipe):
        return
    size = strip_mm(recipe)
    if not any(paper.holds(*size) for paper in design.tools.papers):
        return
    unit = hand_unit(design.unit)
    hair = show_number(recipe.lap_mm, HAIR_DIGITS)
    yield Instruction(
        f"No sheet holds the {recipe.part} in one piece: make it from two strips, all alike. Of "
        "the steps that follow, for one strip, only the last stays:",
        (
            f"from {recipe.stock.name}, cut two strips of {show_hands(size, unit, ' x ')}, width x "
            f"length, and lay them with the face up that will be the outside of the {recipe.part}",
            f"score each from edge to edge at {show_hands([recipe.width_mm], unit)} from its left "
            f"edge, and at a hair ({hair} mm) more than {show_hands([recipe.seam_mm], unit)} from "
            "its right edge: what lies beyond that is its flap",
            f"cut both ends of each flap slanting in by {show_hands([SEAM_TAPER_MM], unit)} at the "
            "tip",
            "fold both scores of each up",
            "put adhesive on the outside face of each flap and lay it onto the inside of the other "
            "strip's left end, its crease along that end's edge",
            "the odds are those of a ring from one strip",
        ),
    )


def strip_mm(recipe: CollarRecipe) -> tuple[float, float]:
    """How wide and how long each of the two strips is, mm."""
    return recipe.width_mm + recipe.short_side_mm + recipe.flap_mm, recipe.depth_mm
