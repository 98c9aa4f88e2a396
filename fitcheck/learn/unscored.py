"""Boxes without a forecast that came out much otherwise than was said of them afterwards.

It is no score, as nothing had been frozen; but where most boxes of a design are wrong and nearly
all were said to be right, something is off that is worth measuring before the next one is made.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.held_plays import FAR_CHANCE
from fitcheck.learn.looks import yes_steps
from fitcheck.learn.made import BoxOutcome, BoxRecord
from fitcheck.learn.watch import SLIP_RIGHT

LEAST_BOXES = 3
_AS_DRAWN = {
    "binds": BoxOutcome.BOUND,
    "tight": BoxOutcome.TIGHT,
    "loose": BoxOutcome.LOOSE,
}


@dataclass(frozen=True)
class Otherwise:
    """Boxes of one design, none with a forecast, most of them wrong where they were said right."""

    design: str
    boxes: int
    right: int
    said: float
    """The mean share of right boxes that was said of them."""
    came: dict[BoxOutcome, int]
    """What their lids did, what never happened left out."""
    stayed_out: int
    """Whose contents did not go in."""


def otherwise(boxes: Iterable[BoxRecord]) -> tuple[Otherwise, ...]:
    """The designs whose boxes without a forecast came out much otherwise, as first recorded.

    A design whose last box had a forecast is left to the scores.
    """
    of: dict[str, list[BoxRecord]] = {}
    for box in boxes:
        if not box.aside:
            of.setdefault(box.design, []).append(box)
    found = [_otherwise(design, own) for design, own in of.items() if own[-1].frozen is None]
    return tuple(one for one in found if one is not None)


def came_right(box: BoxRecord) -> bool:
    """Whether a box came out right: by its maker's word, else by what lid and contents did.

    What a design wants of its lid is not kept; a lid that did what it does as drawn is right where
    most boxes were said to be.
    """
    if box.right is not None:
        return box.right
    said = (box.forecast.right or 0.0) >= 0.5
    as_drawn = said and _AS_DRAWN.get(box.forecast.verdict) is box.outcome
    lid = box.outcome is BoxOutcome.SLID or as_drawn
    return lid and box.fitted is not False and not box.split


def _otherwise(design: str, own: list[BoxRecord]) -> Otherwise | None:
    told = [box for box in own if box.frozen is None and box.forecast.right is not None]
    right, law = sum(map(came_right, told)), np.ones(1)
    if len(told) < LEAST_BOXES or 2 * right >= len(told):
        return None
    shares = [box.forecast.right or 0.0 for box in told]
    for share in shares:
        law = np.convolve(law, yes_steps(min(share, 1.0 - SLIP_RIGHT)).chances)
    if float(law[: right + 1].sum()) >= FAR_CHANCE:
        return None
    did = [box.outcome for box in told]
    return Otherwise(
        design,
        len(told),
        right,
        sum(shares) / len(shares),
        {one: did.count(one) for one in BoxOutcome if one in did},
        sum(box.fitted is False for box in told),
    )
