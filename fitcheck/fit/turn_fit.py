"""What is known about a lid in one piece with its walls: how it closes, what it has to spare."""

from __future__ import annotations

import enum
import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from fitcheck.pattern.tucks import Tuck
from fitcheck.styles.mates import Turned

SWING = "swing"
"""What is left beside the lip at its narrowest, pressed where negative."""
RIMS = "rims"
"""How far the closed lid is from being seen to be held up by the rims."""
SEEN_MM = 1.0
"""A lid that the rims hold up by less than this closes (common practice, no source)."""
SIDE = "side"
"""How far the lip is on its own side of the wall that it comes down at, middle to middle."""
BESIDE = "beside"
"""What is left at the flap's ends, to the side walls."""
FRONT = "front"
"""What is left to the wall that it is behind."""
BEHIND = "behind"
"""What is left to the flaps that were turned in first."""
Pair = tuple[str, str]
"""What stays, then what turns."""
ALIKE_DIGITS = 6
"""Lengths that are the same to so many decimals of a mm are alike: the first is named."""
WAY_MM = 0.3
"""A way in with less to spare is told: hands come off it by as much."""
Spot = tuple[str, str, int]
"""What stays, what turns, and at which of the corners that come near."""
Rooms = Mapping[str, Mapping[Spot, float]]
"""By the way: what is left there, mm."""


class Outcome(enum.StrEnum):
    """How a turn goes."""

    FREE = "free"
    BLOCKED = "blocked"
    UNDECIDED = "undecided"


@dataclass(frozen=True)
class Clearance:
    """How near two names come to each other in a turn."""

    pieces: tuple[str, str]
    """What stays, then what turns."""
    apart_mm: float
    """The least distance over the whole turn; negative: how deep they would press, unstopped."""
    angle_rad: float
    """The crease's fold angle there."""


@dataclass(frozen=True)
class Swing:
    """What came of a turn from one fold angle to another."""

    outcome: Outcome
    angle_rad: float | None
    """Up to this fold angle it is free; None where it is all the way."""
    pieces: tuple[str, str] | None
    """What stays and what turns: the pair that blocks it, or that is not decided."""
    at_mm: tuple[float, float, float] | None
    """Where they meet, in the part's own place; None unless it is blocked."""
    clearances: tuple[Clearance, ...]
    """The nearest pairs of names, nearest first."""

    @property
    def least(self) -> Clearance | None:
        """The smallest clearance; None where nothing could ever meet."""
        return self.clearances[0] if self.clearances else None


@dataclass(frozen=True, eq=False)
class TurnFit:
    """How a lid closes."""

    mate: Turned
    swing: Swing
    """With its clearances where it is nearest."""
    closed_rad: float
    """The fold's angle where it is closed."""
    rim_gap_mm: float
    """The lid's inside above the rims of the walls; negative where they hold it up."""
    closed_height_mm: float
    side_mm: float | None = field(default=None, kw_only=True)
    """How far its lip is on its own side of the wall that it comes down at, middle to middle; None
    where the design does not say which side that is."""

    @property
    def verdict(self) -> Outcome:
        """Free, blocked or undecided."""
        return self.swing.outcome

    @property
    def clearance_mm(self) -> float:
        """The least clearance of what hangs on it over the whole turn; negative where it presses,
        infinite where nothing could ever meet."""
        return math.inf if self.swing.least is None else self.swing.least.apart_mm

    @property
    def pieces(self) -> Pair | None:
        """What blocks it, or else what comes nearest."""
        least = self.swing.least
        return self.swing.pieces or (None if least is None else least.pieces)

    @property
    def plays(self) -> Mapping[str, float]:
        """The lengths that decide about it."""
        found = {SWING: self.clearance_mm, RIMS: rim_room(self.rim_gap_mm)}
        return found if self.side_mm is None else {**found, SIDE: self.side_mm}

    @property
    def play_mm(self) -> float:
        """The smallest one."""
        return min(self.plays.values())

    @property
    def blocked(self) -> bool:
        """Never whatever the errors: what presses is as long as it presses."""
        return False


def rim_room(gap_mm: float) -> float:
    """How far a lid is from being seen to be held up, mm."""
    return gap_mm + SEEN_MM


@dataclass(frozen=True, eq=False)
class TuckFit(TurnFit):
    """How a lid is tucked in."""

    tuck: Tuck
    rooms: Rooms
    catch_mm: float | None
    """How far shoulders reach over the flap that they hold; None where only friction does."""
    turned_in: Mapping[str, Swing]
    """How the flaps below are turned in, one after the other; empty where it was not looked at."""

    @property
    def verdict(self) -> Outcome:
        """Of the flaps below and of the way in."""
        found = [one.outcome for one in (*self.turned_in.values(), self.swing)]
        worst = (Outcome.BLOCKED, Outcome.UNDECIDED)
        return next((one for one in worst if one in found), Outcome.FREE)

    @property
    def tightest(self) -> tuple[str, Pair]:
        """The way in which the least is left when it is in, and between which two."""
        own = {(way, spot): mm for way, one in self.rooms.items() for spot, mm in one.items()}
        way, (stays, turns, _) = min(own, key=lambda key: round(own[key], ALIKE_DIGITS))
        return way, (stays, turns)

    @property
    def clearance_mm(self) -> float:
        """What is left when it is in, where least; negative where it presses."""
        return min(mm for own in self.rooms.values() for mm in own.values())

    @property
    def pieces(self) -> Pair | None:
        """Between which two."""
        return self.tightest[1]

    @property
    def plays(self) -> Mapping[str, float]:
        """The lengths that decide about it."""
        found = {way: min(own.values()) for way, own in self.rooms.items()}
        return found | {RIMS: rim_room(self.rim_gap_mm)}

    @property
    def play_mm(self) -> float:
        """The smallest; minus infinity where it has room when it is in, but no way there."""
        return -math.inf if self.blocked else super().play_mm

    @property
    def blocked(self) -> bool:
        """Whether no way in was found though it has room: errors of the hand change nothing."""
        return self.verdict is Outcome.BLOCKED and self.clearance_mm >= 0.0

    @property
    def holds(self) -> bool:
        """Whether shoulders reach over its flap."""
        return self.catch_mm is not None and self.catch_mm > 0.0
