"""Boxes drawn as hands make them, each folded with its own errors."""

from __future__ import annotations

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.odds.making import Made, offsets_of
from fitcheck.odds.propagate import drawn_together
from fitcheck.odds.prospect import take_prospect


def boxes_drawn(check: Check, boxes: int, seed: int) -> list[Made | None]:
    """So many boxes of a checked design; None where one cannot be folded."""
    workshop = take_prospect(check).workshop
    variates = [one.variate for one in workshop.inputs]
    drawn = drawn_together(variates, boxes, np.random.default_rng(seed))
    return workshop.make_all([offsets_of(workshop.inputs, own.tolist()) for own in drawn.T])
