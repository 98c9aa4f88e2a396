"""A mate says which part goes over, into or along which other, and by which motion."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import ClassVar

from fitcheck.pattern.sheet import Axis


class Motion(enum.StrEnum):
    """How a mover moves."""

    STRAIGHT = "straight"
    TURN = "turn"


@dataclass(frozen=True)
class Mate:
    """A part that moves in or over another one until it has its place."""

    mover: str
    """A part by its name."""
    holder: str
    motion: ClassVar[Motion]
    steadied: ClassVar[bool] = False
    """Whether its holder is to keep it from shifting about."""

    @property
    def called(self) -> str:
        """What the mover is called as it goes with its holder."""
        return self.mover

    @property
    def whose(self) -> str:
        """That in the possessive."""
        return f"{self.called}'" if self.called.endswith("s") else f"{self.called}'s"

    @property
    def many(self) -> bool:
        """Whether it is spoken of as many things."""
        return False

    @property
    def movers(self) -> tuple[str, ...]:
        """The parts that move as one."""
        return (self.mover,)

    def held(self, way: str) -> bool:
        """Whether walls hold it along a direction: where none do there is no play to tell."""
        return True


@dataclass(frozen=True)
class Over(Mate):
    """Turned over and lowered straight over the holder until it rests: a lid."""

    motion = Motion.STRAIGHT


@dataclass(frozen=True)
class Into(Mate):
    """Lowered straight into the holder as it stands, until it rests on its floor."""

    together: tuple[str, ...] = ()
    """The parts of a mover that is put together of several."""
    free: Axis | None = None
    """Along which it stands free by design and has to be glued: strips that run one way only."""
    motion = Motion.STRAIGHT

    @property
    def many(self) -> bool:
        """Strips are."""
        return bool(self.together)

    @property
    def movers(self) -> tuple[str, ...]:
        """What it is put together of."""
        return self.together or (self.mover,)

    def held(self, way: str) -> bool:
        """Whether walls hold it along a direction: where none do there is no play to tell."""
        return way != self.free


@dataclass(frozen=True)
class Past(Mate):
    """Lowered straight past the holder, each with its slots over the other: strips of a grid."""

    motion = Motion.STRAIGHT

    @property
    def called(self) -> str:
        """What goes over the other."""
        return "slots"

    @property
    def many(self) -> bool:
        """There is one for each crossing."""
        return True


@dataclass(frozen=True)
class Along(Mate):
    """Drawn level into the holder, which stands round it: a drawer."""

    axis: Axis
    """The way it goes."""
    motion = Motion.STRAIGHT
    steadied = True

    @property
    def called(self) -> str:
        """A drawer, whatever part it is."""
        return "drawer"


@dataclass(frozen=True)
class Turned(Mate):
    """A panel of the holder itself, with all that it carries, turned about its own crease."""

    panel: str
    """The panel whose crease is turned about."""
    start_rad: float
    """The fold's angle where it is open; closed it has the pattern's."""
    over: bool | None = None
    """Whether what hangs on it comes down outside the wall that it turns towards, or behind it."""
    motion = Motion.TURN

    @property
    def called(self) -> str:
        """The panel that turns."""
        return self.panel


@dataclass(frozen=True)
class Tucked(Turned):
    """A lid that is turned while the flap at its end is led in, as its pattern's tuck says."""
