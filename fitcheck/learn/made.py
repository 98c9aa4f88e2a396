"""A box that was made: what its maker saw and measured, and what had been said of it."""

from __future__ import annotations

import enum
from dataclasses import dataclass, field


class BoxOutcome(enum.StrEnum):
    """What a lid did on the box that was made."""

    BOUND = "bound"
    TIGHT = "tight"
    """It went on with a press."""
    SLID = "slid"
    LOOSE = "loose"


class Corner(enum.StrEnum):
    """A glued corner of a part, by the fences of its sheet that meet there."""

    LEFT_TOP = "left-top"
    RIGHT_TOP = "right-top"
    LEFT_BOTTOM = "left-bottom"
    RIGHT_BOTTOM = "right-bottom"


@dataclass(frozen=True)
class Forecast:
    """What was said of a box, as it stands beside what came of it.

    Of a box with a frozen forecast it is a copy for the eye; scores are made from the frozen one.
    """

    verdict: str
    """The verdict on the nominal box."""
    play_mm: float
    """Its smaller play."""
    chances: tuple[float, float, float] | None
    """Of bound, slid (with a press or without) and loose; None where there were no odds."""
    right: float | None = None
    """The share of boxes that come out right; None where it was not kept."""


@dataclass(frozen=True)
class Frozen:
    """Which frozen forecast a box is scored against."""

    name: str
    """Of its file."""
    sha256: str
    """Of the file's bytes when the box was recorded."""


@dataclass(frozen=True)
class BoxRecord:
    """One box that was made."""

    date: str
    by: str
    design: str
    title: str
    outcome: BoxOutcome
    go_mm: float | None
    """Largest plug that went between lid and base, or the play that was measured."""
    nogo_mm: float | None
    """Smallest plug that did not; the same as ``go_mm`` for a play that was measured."""
    contents: str
    """What was in it, in the maker's words."""
    forecast: Forecast
    note: str = ""
    fitted: bool | None = None
    """Whether the contents went in; None where nobody tried, or said."""
    split: tuple[Corner, ...] | None = None
    """The glued corners that split; None where nobody said."""
    right: bool | None = None
    """Whether it came out right by its maker's word; None where that is for the rest to say."""
    frozen: Frozen | None = None
    """The forecast it is scored against; None for a box that had none and is kept apart."""
    number: int = field(default=0, compare=False)
    """Its place among the boxes of its workspace, from 1; 0 before it is kept."""
    aside: bool = field(default=False, compare=False)
    """Whether it was recorded by mistake and counts no more."""
