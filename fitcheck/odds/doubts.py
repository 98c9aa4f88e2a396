"""Whether boxes of a recipe that are folded anew come out as those of it that are counted."""

from __future__ import annotations

from fitcheck.odds.prospect import Prospect
from fitcheck.odds.proved import agreement_of
from fitcheck.odds.remarks import distrust
from fitcheck.workspace.progress import SILENT, Progress

FOLDED, COUNTED = 30, 4_000
"""So many boxes are folded anew, and as many close calls, enough to see odds that are another box's
(a check folds more of them); and so many are counted beside them."""


def doubtful(folded: Prospect, seed: int, progress: Progress = SILENT) -> bool:
    """Whether its odds are to be trusted less, by what a check asks of boxes folded anew."""
    prospect, forms = folded.asked()
    spreads = prospect.draw(forms, COUNTED, seed).spreads
    agreement, _ = agreement_of(prospect, forms, (), spreads, FOLDED, seed, progress)
    return bool(distrust(agreement))
