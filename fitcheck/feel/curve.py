"""How a lid's time to sink changes with its play, and how far it has come at each moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.feel.feel import MIDDLE_AND_CORNER, Feel, as_known, outcomes
from fitcheck.feel.measured import Measured
from fitcheck.folding.pose import Array


@dataclass(frozen=True)
class At:
    """A lid like the one that was measured, with another play."""

    play_mm: float
    """The smaller of its two."""
    force_n: float
    """That moves it."""
    corner_s: float
    """In which it sinks where it rests in a corner; inf where it does not."""
    middle_s: float
    """In which it sinks in the middle of its play."""
    moves: bool
    """Whether its own weight moves it."""


def by_play(own: Measured, steps_mm: Sequence[float]) -> tuple[At, ...]:
    """What lids do whose plays are larger by so much, both ways."""
    steps = np.repeat(np.asarray(steps_mm, dtype=float), 2)
    known = as_known(own, np.tile(MIDDLE_AND_CORNER, (len(steps_mm), 1)))
    plays = known.plays_mm + steps[:, None]
    found = outcomes(own, replace(known, plays_mm=plays))
    least, seconds = plays.min(axis=1), found.seconds
    return tuple(
        At(
            float(least[k]),
            float(found.force_n[k]),
            float(seconds[k + 1]),
            float(seconds[k]),
            bool(found.force_n[k] < found.lid_n),
        )
        for k in range(0, len(steps), 2)
    )


def way_down(feel: Feel) -> Array:
    """When a lid is how far above its seat, (i, 2) s and mm, between middle and corner.

    Both times of each height are met in the middle, as factors.
    """
    sinking = feel.sinking
    middle, corner = sinking.seconds_at
    seconds = np.sqrt(middle * corner)
    above = sinking.overlaps_mm[-1] - sinking.overlaps_mm
    return np.stack([seconds, above], axis=1)
