"""A new design takes the better sizes that its own check would name."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.cli.odds_options import odds_with_advice
from fitcheck.design.model import LidVerdict
from fitcheck.fit.mates import MateFit
from fitcheck.proposals.proposal import Proposal, deeper, towards
from fitcheck.proposals.wish import Wish

if TYPE_CHECKING:
    from fitcheck.design.items import ItemTables
    from fitcheck.odds.result import Odds

ROUNDS = 2
"""So often better sizes are taken at the most."""
GAIN = 0.04
"""Boxes that come out right besides, of all: fewer are no reason for a larger box."""


def bettered(
    found: Proposal,
    wish: Wish,
    roots: Sequence[Path],
    own: ItemTables | None,
    boxes: int,
) -> tuple[Proposal, Odds]:
    """A proposal, or the better one that its odds lead to, and the odds of what is returned."""
    odds = odds_with_advice(found.check, boxes)
    for _ in range(ROUNDS):
        advice = odds.advice
        if advice is None or advice.design is None:
            break
        better = towards(found, advice.design, wish, roots, own)
        if better is not None and _rattles(better) and not _rattles(found):
            # room for what goes in comes from depth, not from a drawer that rattles
            better = deeper(found, wish, roots, own)
        if better is None:
            break
        theirs = odds_with_advice(better.check, boxes)
        if theirs.good.share < odds.good.share + GAIN:
            break
        found, odds = better, theirs
    return found, odds


def _rattles(found: Proposal) -> bool:
    """Whether a part goes into another one loosely."""
    check = found.check
    own = [fit.verdict for fit in check.mates if isinstance(fit, MateFit)]
    return LidVerdict.LOOSE in own
