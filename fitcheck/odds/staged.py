"""All that is told of odds, in the order in which it is known.

Odds of few boxes come soon and need no proof; those that are proved also say what the rounding of
the steps costs; then come what was assumed before the tools were measured, the change that helps
most, and more boxes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fitcheck.fit.check import Check
from fitcheck.odds.advice import advise
from fitcheck.odds.assumed import with_assumed_hand
from fitcheck.odds.inputs import Humidity
from fitcheck.odds.intervals import Chance
from fitcheck.odds.kept_upright import kept_upright
from fitcheck.odds.odds import hands_for, odds_from, prospect_of
from fitcheck.odds.result import Advice, Odds
from fitcheck.workspace.progress import SILENT, Progress


def staged(
    check: Check,
    boxes: int,
    seed: int = 0,
    humidity: Humidity | None = None,
    *,
    few: int | None = None,
    many: int | None = None,
    progress: Progress = SILENT,
) -> Iterator[Odds]:
    """The odds of a checked design: of `few` boxes, of `boxes`, those with advice, of `many`.

    What is None is left out. Raises InputError for a number of boxes that is out of range.
    """
    prospect = prospect_of(check, boxes, seed, humidity, progress=progress)
    if few is not None:
        yield odds_from(prospect, few, seed, folded_again=0, progress=progress)
    hands = hands_for(prospect, boxes, seed)
    odds = odds_from(prospect, boxes, seed, hands=hands, progress=progress)
    yield odds
    before = with_assumed_hand(check, boxes, seed, humidity, progress=progress)
    # where many cannot be folded, no length says how often others can
    advice = None if odds.agreement.loses_many else advise(prospect, hands, progress)
    upright = None
    if not odds.agreement.loses_many:
        upright = kept_upright(prospect, hands, seed, progress)
    odds = replace(odds, assumed=before, advice=_beside(advice, odds.good), uprights=upright)
    yield odds
    if many is not None:
        more = odds_from(prospect, many, seed, folded_again=0, progress=progress)
        if odds.agreement.loses_many:  # more boxes that are only counted do not say so
            more = replace(more, good=odds.good, rounded=odds.rounded)
        yield replace(
            odds,
            boxes=more.boxes,
            lid=more.lid,
            mates=more.mates,
            above=more.above,
            contents=more.contents,
            good=more.good,
            rounded=more.rounded,
            at_ease=more.at_ease,
            advice=_beside(advice, more.good),
        )


def _beside(advice: Advice | None, good: Chance) -> Advice | None:
    """The advice, whose boxes may be fewer than were counted, from what is told of the box."""
    return None if advice is None else replace(advice, before=good)
