"""What it was worth to measure a hand: the same boxes with the hand that was assumed before."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.errors import FitcheckError
from fitcheck.fit.check import Check, check
from fitcheck.odds.inputs import Humidity
from fitcheck.odds.intervals import Chance
from fitcheck.odds.odds import prospect_of
from fitcheck.odds.prospect import good_chance
from fitcheck.workspace.progress import SILENT, Progress


def with_assumed_hand(
    found: Check,
    boxes: int,
    seed: int = 0,
    humidity: Humidity | None = None,
    *,
    progress: Progress = SILENT,
) -> Chance | None:
    """How often boxes come out right with what was assumed before the tools were measured.

    None where nobody measured them, or where such boxes cannot be folded.
    """
    assumed = found.design.tools.assumed
    if assumed is None:
        return None
    design = replace(found.design, tools=assumed)
    try:
        prospect = prospect_of(check(design, progress), boxes, seed, humidity, progress=progress)
    except FitcheckError:
        return None
    asked, forms = prospect.asked()
    return good_chance(asked, asked.draw(forms, boxes, seed))
