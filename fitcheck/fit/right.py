"""What makes a box right: one predicate that the check, the odds, suggestions and records share.

A box is right when its lid's band is one that the design wants, neither lid nor drawer shifts
about, the lid's rim is off the table and meets the base's where it is to, the contents fit, every
mate goes and no part fights itself. The lengths that decide are numbers for one box or arrays for
many, so that a drawn box is judged by the very words that judge the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.folding.pose import Array

Lengths: TypeAlias = float | Array
"""One length in mm, or one for each of many boxes (n,)."""
Flags: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

SHIFTY = 2.0
"""A lid or a drawer shifts about from so many times the play on that it is loose from."""


@dataclass(frozen=True, eq=False)
class Deciding:
    """The lengths that decide about one box or many; what is not in question is left out."""

    play_mm: Lengths | None = None
    """The lid's smaller play; minus infinity where the lid cannot come down at all."""
    wider_mm: Lengths | None = None
    """The largest play of what is not to shift about: along either axis of the lid's, across the
    way of a drawer's and up."""
    rim_mm: Lengths | None = None
    """How far the lid's rim is from lifting off the table by more than it gives: `rim_room`."""
    lands_mm: Lengths | None = None
    """How much of the lid's rim finds the base's to meet; it goes down inside it below 0."""
    slacks_mm: tuple[Lengths, ...] = ()
    """The room that each content has to spare; minus infinity where it was not placed."""
    ease_mm: tuple[Lengths, ...] = ()
    """How far each part is from fighting itself."""
    mates_mm: tuple[Lengths, ...] = ()
    """The smaller play of each mate beside the lid; minus infinity where its way is blocked."""


def right(box: Deciding, bands: Bands, want: frozenset[LidVerdict]) -> Flags:
    """Whether each box is right, (n,) or a single flag."""
    good = np.asarray(True)
    if box.play_mm is not None:
        wanted = np.array([verdict in want for verdict in LidVerdict])
        good = good & wanted[band_of(box.play_mm, bands)]
    if box.wider_mm is not None and LidVerdict.LOOSE not in want:
        good = good & ~shifts_about(box.wider_mm, bands)
    if box.rim_mm is not None:
        good = good & enough(box.rim_mm)
    if box.lands_mm is not None:
        good = good & enough(box.lands_mm)
    for length in (*box.slacks_mm, *box.ease_mm):
        good = good & enough(length)
    for length in box.mates_mm:
        good = good & goes(length, bands, want)
    return good


def goes(play_mm: Lengths, bands: Bands, want: frozenset[LidVerdict]) -> Flags:
    """Whether a mate of a play goes: freely, or pressing like a tight lid where that is wanted."""
    return enough(np.asarray(play_mm) - going_from(bands, want))


def going_from(bands: Bands, want: frozenset[LidVerdict]) -> float:
    """The play from which a mate goes, mm; negative where it may press."""
    return -bands.tight_mm if LidVerdict.TIGHT in want else 0.0


def enough(length_mm: Lengths) -> Flags:
    """Whether a length that must not be missing is there; touching counts."""
    return reaches(length_mm, 0.0)


def reaches(length_mm: Lengths, bound_mm: float) -> Flags:
    """Whether a length is its bound or more.

    It is taken for its bound where it lies so near below it that only the sums of floats that it
    is made of can have taken it there.
    """
    return np.asarray(length_mm) >= _from(bound_mm)


def _from(bound_mm: float) -> float:
    """The length from which a bound is reached, mm."""
    return bound_mm - TOUCH_MM


def loose(play_mm: Lengths, bands: Bands) -> Flags:
    """Whether a play is one that is loose."""
    return reaches(play_mm, bands.loose_mm)


def shifts_about(play_mm: Lengths, bands: Bands) -> Flags:
    """Whether what has a play along either axis shifts about."""
    return reaches(play_mm, shifty_from(bands))


def shifty_from(bands: Bands) -> float:
    """The play along either axis from which a lid, or a drawer in what it goes along, shifts about,
    mm, however snug the other one is.

    The band goes by the smaller play, which keeps the lid on (common practice, no source).
    """
    return SHIFTY * bands.loose_mm


def band_edges(bands: Bands) -> tuple[float, float, float, float]:
    """The plays from which the next band is reached, mm, from binds to loose."""
    bounds = -bands.tight_mm, 0.0, bands.snug_mm, bands.loose_mm
    tight, snug, slides, too_much = (_from(bound) for bound in bounds)
    return tight, snug, slides, too_much


def band_of(play_mm: Lengths, bands: Bands) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """The place of each play's band among the verdicts, from binds to loose."""
    return np.searchsorted(band_edges(bands), play_mm, side="right")


def verdict_of_play(play_mm: float, bands: Bands) -> LidVerdict:
    """The band of a play in mm.

    >>> usual = Bands(0.15, 0.20, 1.50)
    >>> [str(verdict_of_play(play, usual)) for play in (-0.2, -0.1, 0.0, 0.2, 1.5)]
    ['binds', 'tight', 'snug', 'slides', 'loose']
    """
    return tuple(LidVerdict)[int(band_of(play_mm, bands))]


def rim_room(reveal_mm: Lengths, lid_caliper_mm: Lengths) -> Lengths:
    """How far a lid's rim is from standing on the table, mm; it is right from 0 on.

    A rim that meets the table lifts the lid by what it is too deep; less than the lid's own caliper
    is neither seen nor felt (common practice, no source), so that a lid cut as deep as its base is
    right.
    """
    return reveal_mm + lid_caliper_mm
