"""Board that is too thick to press into a crease, and what its folds are then made by."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly
from fitcheck.pattern.creases import CreaseKind

THICK_MM = 0.6
"""From about here on board cracks or springs where it is pressed (common practice, no source)."""


def thick_findings(assembly: Assembly) -> Iterator[Finding]:
    """A caution for each board of such a caliper (mm) that a part's scores would press."""
    pressed = {
        part.recipe.stock.name: part.recipe.stock
        for part in assembly.parts
        if any(line.kind is CreaseKind.SCORED for line in part.pattern.lines)
    }
    for stock in pressed.values():
        if stock.caliper_mm >= THICK_MM:
            rests = (
                "score it the way its coupon was"
                if stock.calibrated
                else "the rule of thumb for its crease was made for thinner paper, and all sizes "
                "and the odds rest on it: fold a coupon of it and measure"
            )
            message = (
                f"{stock.name} is {stock.caliper_mm:g} mm thick, too thick to press into a crease: "
                "where steps say to score, cut half through or groove it on the outside of its "
                f"fold, along a steel rule; {rests}"
            )
            numbers = {"caliper_mm": stock.caliper_mm}
            yield Finding("board-thick", message, Severity.CAUTION, stock.name, numbers)
