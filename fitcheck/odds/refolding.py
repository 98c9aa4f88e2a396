"""A recipe that was only rated is folded anew, and must be right as it is drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitcheck.design.model import Design
from fitcheck.design.rules import design_problems
from fitcheck.errors import FitcheckError
from fitcheck.findings import Severity
from fitcheck.fit.check import Check
from fitcheck.folding.pose import Array
from fitcheck.odds.changes import can_be_written
from fitcheck.odds.prospect import Prospect
from fitcheck.odds.resized import folded_anew
from fitcheck.odds.sizes import design_of
from fitcheck.odds.start import felt, made_with


@dataclass(frozen=True, eq=False)
class Refolding:
    """Recipes near a checked design, each folded by itself."""

    original: Check
    start: Prospect
    """The limits that rows were rated by."""

    def of_row(self, row: Array) -> Prospect | None:
        """The prospect of a row of lengths (s,); None where it cannot be made or does not fit."""
        try:
            recipe = design_of(self.original.assembly, row)
        except FitcheckError:
            return None
        if any(design_problems(recipe)):
            return None
        return self.of(recipe) if all(map(can_be_written, recipe.parts)) else None

    def of(self, recipe: Design) -> Prospect | None:
        """The prospect of a design; None where it does not fit, or something new is amiss."""
        tools = self.original.design.tools
        again = folded_anew(self.start, replace(recipe, tools=felt(tools)))
        if again is None or not again.check.fits or _worse(again.check, self.original):
            return None
        return made_with(again, tools)


def _worse(found: Check, before: Check) -> bool:
    """Whether there is a caution about a box that there was none of before."""
    known = {(one.code, one.piece) for one in before.findings}
    return any(
        one.severity is not Severity.NOTE and (one.code, one.piece) not in known
        for one in found.findings
    )
