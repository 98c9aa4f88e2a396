"""The flat sheets as small pictures: the drawings that are printed at 1:1, scaled down."""

from __future__ import annotations

import base64
from dataclasses import dataclass

from fitcheck.design.model import Design
from fitcheck.drawing.pages import Page
from fitcheck.drawing.shapes import Box
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.sheets import by_hand_mm, cut_pattern
from fitcheck.outputs.write_svg import svg_page
from fitcheck.sheet.job import drawing_of
from fitcheck.units import show_hands


@dataclass(frozen=True)
class Thumbnail:
    """A sheet to be shown as an image."""

    part: str
    words: str
    """What there is to see."""
    image: str
    """A data address, SVG."""


def thumbnails_of(check: Check) -> tuple[Thumbnail, ...]:
    """The sheets of base and lid."""
    return tuple(_thumbnail(check.design, part) for part in check.assembly.parts)


def _thumbnail(design: Design, part: Part) -> Thumbnail:
    name, stock = part.recipe.part, part.recipe.stock.name
    pattern = cut_pattern(part, design)
    drawing = drawing_of(design, part, pattern)
    page = Page(
        title=f"{name}, sheet",
        width_mm=drawing.width_mm,
        height_mm=drawing.length_mm,
        strokes=drawing.strokes,
        labels=drawing.labels,
        number=1,
        total=1,
        window=Box(0.0, 0.0, drawing.width_mm, drawing.length_mm),
        offset=(0.0, 0.0),
    )
    packed = base64.b64encode(svg_page(page).encode("utf-8")).decode("ascii")
    size = show_hands(by_hand_mm(pattern, design), design.unit, " by ")
    what = "Flat sheet" if pattern is part.pattern else f"One of {pattern.copies} strips"
    words = (
        f"{what} of the {name} from {stock}, {size}, with {len(pattern.creases)} folds. "
        "Not to scale here: print it at 1:1 with the sheet command."
    )
    return Thumbnail(name, words, f"data:image/svg+xml;base64,{packed}")
