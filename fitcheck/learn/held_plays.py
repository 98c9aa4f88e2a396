"""A play that a hand measured, held against what the lid did and against what was forecast."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.learn.forecast import FrozenForecast
from fitcheck.learn.made import BoxOutcome, BoxRecord
from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.plain import shown
from fitcheck.units import show_mm

HAND_MM = 0.3
"""A hand measures the play of a lid to some tenths of a millimetre (common practice, no source)."""
LEVELS = (0.025, 0.975)
"""Between them lie the plays of 95 of 100 boxes."""
FAR_CHANCE = 0.001
"""Right odds let a play lie so far out in so few sets of boxes."""


def check_play(
    text: str | None,
    outcome: BoxOutcome,
    play_mm: tuple[float | None, float | None],
    said: FrozenForecast | Design | None,
) -> None:
    """Raise ``InputError`` for a play, as it was typed, that contradicts what the lid did.

    ``play_mm`` is the largest plug that went in and the smallest that did not; ``said``, a frozen
    forecast or the design, has the play from which on a lid is loose.
    """
    go, nogo = play_mm
    if not text or said is None:
        return
    loose_mm = said.bands.loose_mm
    room = "give or take what a hand measures"
    if outcome is BoxOutcome.SLID and go is not None and go > loose_mm + HAND_MM:
        raise InputError(
            f"--play: read {shown(text)} with --outcome slid, and from {show_mm(loose_mm)} of play "
            f"on a lid of this design is loose; allowed: up to {show_mm(loose_mm + HAND_MM)}, "
            f"{room}; measure it again along the side that has less, or write --outcome loose"
        )
    if outcome is BoxOutcome.LOOSE and nogo is not None and nogo < loose_mm - HAND_MM:
        raise InputError(
            f"--play: read {shown(text)} with --outcome loose, and a lid of this design is loose "
            f"from {show_mm(loose_mm)} of play on; allowed: {show_mm(loose_mm - HAND_MM)} or more, "
            f"{room}; measure it again, leave --play out, or write --outcome slid"
        )


@dataclass(frozen=True)
class FarPlay:
    """A play that was measured far outside of what was forecast."""

    box: BoxRecord
    low_mm: float
    """Of 95 of 100 boxes."""
    high_mm: float
    larger: bool
    """Whether it is larger than these, or smaller."""


def far_plays(scored: Sequence[ScoredBox]) -> tuple[FarPlay, ...]:
    """The boxes whose measured play lies further out than luck and a hand explain."""
    return tuple(_far(scored))


def _far(scored: Sequence[ScoredBox]) -> Iterator[FarPlay]:
    chance = FAR_CHANCE / 2.0 / max(len(scored), 1)
    for one in scored:
        box, law = one.box, one.law
        low, high = (float(mm) for mm in np.interp(LEVELS, law.levels, law.values_mm))
        go, nogo = box.go_mm, box.nogo_mm
        if go is not None and go > high + HAND_MM and 1.0 - float(law.below(go)) < chance:
            yield FarPlay(box, low, high, larger=True)
        elif nogo is not None and nogo < low - HAND_MM and float(law.below(nogo)) < chance:
            yield FarPlay(box, low, high, larger=False)
