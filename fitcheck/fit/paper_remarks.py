"""What is to be said of a design's papers: creases nobody measured, board too thick to press."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly
from fitcheck.pattern.creases import CreaseKind
from fitcheck.plain import joined


def thick_findings(assembly: Assembly) -> Iterator[Finding]:
    """A caution for each board of such a caliper (mm) that a part's scores would press."""
    pressed = {
        part.recipe.stock.name: part.recipe.stock
        for part in assembly.parts
        if any(line.kind is CreaseKind.SCORED for line in part.pattern.lines)
    }
    for stock in pressed.values():
        if stock.half_cut:
            rests = (
                "cut it the way its coupon was"
                if stock.calibrated
                else "all sizes and the odds rest on the rule of thumb for a fold cut half "
                "through: fold a coupon of it, cut the same way, and measure"
            )
            message = (
                f"{stock.name} is {stock.caliper_mm:g} mm thick, too thick to press into a crease: "
                "cut half through or groove it on the outside of its fold, along a steel rule, as "
                f"the steps say; {rests}"
            )
            numbers = {"caliper_mm": stock.caliper_mm}
            yield Finding("board-thick", message, Severity.CAUTION, stock.name, numbers)


def paper_findings(assembly: Assembly) -> Iterator[Finding]:
    """A paper whose crease was never measured is judged by a rule, and that has to be said."""
    guessed = {p.recipe.stock.name: p.recipe.stock for p in assembly.parts}
    for stock in guessed.values():
        if stock.lost_records:
            message = (
                f"{stock.name}: its file names readings that are not there, "
                f"{joined(stock.lost_records)}: its values cannot be worked out anew; put them "
                "into calibration/records"
            )
            yield Finding("readings-not-there", message, Severity.NOTE, stock.name)
        if not stock.calibrated:
            message = (
                f"{stock.name}: its crease was not measured; {stock.crease_allowance_mm:.2f} mm of "
                f"allowance is a rule of thumb, give or take {stock.crease_allowance_u_mm:.2f} mm: "
                "fold a coupon to know"
            )
            yield Finding("crease-not-measured", message, Severity.NOTE, stock.name)
            continue
        grain = stock.by_grain
        if grain is not None and grain.not_measured is not None:
            allowance, u = stock.allowance(grain.not_measured == "along")
            message = (
                f"{stock.name}: its creases {grain.not_measured} the grain were not measured; "
                f"{allowance:.2f} mm of allowance is a rule of thumb, give or take {u:.2f} mm: "
                "fold that half of the coupon to know"
            )
            yield Finding("crease-not-measured", message, Severity.NOTE, stock.name)
        if not stock.half_cut and stock.score_face not in (None, assembly.tools.score_face):
            message = (
                f"{stock.name}: its crease was measured on folds whose {stock.score_face} was "
                f"pressed, and {assembly.tools.name} presses the {assembly.tools.score_face}; the "
                "allowance depends on it: score the way the coupon was, or fold a new one"
            )
            yield Finding("scored-otherwise", message, Severity.CAUTION, stock.name)
