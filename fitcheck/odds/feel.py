"""How the lids of boxes made by hand feel: hands set their play, papers how they give.

Nobody knows where a lid floats, so that it is drawn anywhere from the middle of its play to a
corner; the model's own error is drawn too. Some hundred boxes do: a touch is told to the nearest
few of 100.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.feel.feel import drawn_boxes, outcomes
from fitcheck.feel.measured import Measured, measured
from fitcheck.feel.press import PRESS_FACTOR
from fitcheck.feel.sink import MODEL_LOG_U
from fitcheck.feel.touch import Touch, touches
from fitcheck.fit.check import Check
from fitcheck.folding.pose import Array
from fitcheck.odds.intervals import Chance, Interval, chance_of, symmetric_interval
from fitcheck.odds.landing import play_name
from fitcheck.odds.propagate import Samples
from fitcheck.odds.quantities import Outlook
from fitcheck.pattern.sheet import Axis

COARSE = (6, 8)
"""Stations on each side and steps on the way: within 5 per cent of many more."""
FELT = 300
"""So many of the drawn boxes are felt."""
PRESS_LOG_U = float(np.log(PRESS_FACTOR)) / 1.96
FEWEST = 20
"""Of so few that sink no range is told."""
STREAM = 16
"""Tells these draws apart from all others of a seed."""


@dataclass(frozen=True)
class FeelOdds:
    """How often a lid feels how."""

    chances: Mapping[Touch, Chance]
    sink_s: Interval | None
    """In which those sink that do; None where hardly any does."""
    wanted: Chance | None
    """How often it sinks in the time that is wanted; None where nobody asks."""


def feel_odds(check: Check, outlook: Outlook, samples: Samples, seed: int) -> FeelOdds | None:
    """The odds of how a lid feels over some of the boxes that were drawn; None without a lid."""
    own, plays = measured(check, COARSE), lid_plays(outlook, samples)
    if own is None or plays is None:
        return None
    return feel_of_plays(own, plays[:FELT], seed, check.design.want_sink)


def lid_plays(outlook: Outlook, samples: Samples) -> Array | None:
    """The lid's plays (b, 2) in boxes that were drawn, mm; None where it has none."""
    names = [play_name(axis) for axis in Axis]
    if any(name not in outlook.names for name in names):
        return None
    return np.stack([samples.outcomes[outlook.row(name)] for name in names], axis=1)


def feel_of_plays(
    own: Measured, plays_mm: Array, seed: int, want_sink: tuple[float, float] | None
) -> FeelOdds:
    """The odds of how a measured lid feels in boxes of plays (b, 2) mm."""
    count = len(plays_mm)
    rng = np.random.default_rng([seed, STREAM])
    boxes = drawn_boxes(own, plays_mm, rng)
    if own.base.gives == own.lid.gives:
        # one paper is as it is in both
        rest = boxes.lid.rest_deg
        boxes = replace(boxes, lid=replace(boxes.base, rest_deg=rest))
    found = outcomes(own, boxes)
    force = found.slip_n * np.exp(PRESS_LOG_U * rng.standard_normal(count)) + found.rubbing_n
    seconds = found.seconds * np.exp(MODEL_LOG_U * rng.standard_normal(count))
    feels = touches(force, seconds, found.lid_n, found.rest_n, found.splits)
    sinks = (force < found.lid_n) & np.isfinite(seconds)
    counts = np.bincount(feels, minlength=len(Touch)).tolist()
    wanted = None
    if want_sink is not None:
        low, high = want_sink
        wanted = chance_of(sinks & (seconds >= low) & (seconds <= high))
    return FeelOdds(
        {touch: Chance(n, count) for touch, n in zip(Touch, counts, strict=True)},
        symmetric_interval(seconds[sinks]) if sinks.sum() >= FEWEST else None,
        wanted,
    )
