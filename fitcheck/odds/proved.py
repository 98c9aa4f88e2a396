"""What boxes that are folded anew say of those that were only counted."""

from __future__ import annotations

import numpy as np

from fitcheck.design.model import Design
from fitcheck.folding.pose import Array
from fitcheck.odds.agreement import Agreement, LinearOrSampled
from fitcheck.odds.forms import Forms
from fitcheck.odds.intervals import Chance
from fitcheck.odds.proof import fold_again
from fitcheck.odds.propagate import Samples, Spreads, streams_of
from fitcheck.odds.prospect import Prospect, deciding, right_flags
from fitcheck.workspace.progress import Progress

FEWEST_FOLDED, MOST_PIECES_PUT = 4, 400
"""Where very many pieces are put into each box that is folded anew, fewer are."""


def boxes_to_fold(design: Design, asked: int) -> int:
    """How many boxes are folded anew where so many are asked for: fewer with very many pieces."""
    pieces = sum(content.count for content in design.contents)
    return min(asked, max(FEWEST_FOLDED, MOST_PIECES_PUT // max(pieces, 1)))


def agreement_of(
    prospect: Prospect,
    forms: Forms,
    laws: tuple[LinearOrSampled, ...],
    spreads: Spreads,
    asked: int,
    seed: int,
    progress: Progress,
) -> tuple[Agreement, Array]:
    """How far folding anew agrees, and the lengths (q, n) of boxes that could not be folded."""
    check, rng = prospect.check, streams_of(seed)[1]
    count = boxes_to_fold(check.design, asked)
    again = fold_again(
        check, prospect.workshop, prospect.outlook, forms, spreads, count, rng, progress
    )
    agreement = Agreement(
        laws=laws,
        refolded=again.refolded,
        verdicts_alike=again.verdicts_alike,
        boxes=again.boxes,
        unfoldable=again.unfoldable,
        contents_alike=again.contents_alike,
        close=again.close,
        problem=again.problem,
        lost=again.lost.shape[1],
    )
    return agreement, again.lost


def folded_too(
    prospect: Prospect, counted: Chance, lost: Array, agreement: Agreement
) -> Chance | None:
    """How often a box is right where more than a few cannot be folded; None where all can.

    No length says when a box cannot be folded. So those are counted among the boxes that were
    folded anew as hands make them.
    """
    if not agreement.loses_many:
        return None
    drawn = agreement.boxes + agreement.lost
    taken = right_flags(prospect, deciding(prospect, Samples(lost)), agreement.lost)
    share = counted.share - float(np.count_nonzero(taken)) / drawn
    return Chance(round(max(0.0, share) * drawn), drawn, counted.known)
