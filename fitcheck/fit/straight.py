"""A straight mate: one part goes into or over another along a line, in any direction.

Which of the two encloses the other only says how a press is measured; neither need.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.frames import PathFrame, frame_of
from fitcheck.fit.motions import Straight
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.slide import Slide, slide_all
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array

NEAR_MM = 5.0
"""A free place is looked for so far from where a part was drawn."""


class Mating(enum.StrEnum):
    """How a mover goes with its holder."""

    INTO = "into"
    """The holder is round it, as a sleeve round its drawer."""
    OVER = "over"
    """It is round the holder, as a lid."""
    PAST = "past"
    """Neither is round the other, as of slotted strips."""


@dataclass(frozen=True, eq=False)
class StraightMate:
    """How two parts mate along a straight line."""

    motion: Straight
    """Of the mover, from where its pieces stand."""
    frame: PathFrame
    mating: Mating
    middle: Array | None
    """(3,) a point inside the part that is enclosed; None where none is."""
    near_mm: float = NEAR_MM
    """How far along both directions a free place is looked for where sides do not tell the way."""

    def ordered(self, mover: Pieces, holder: Pieces) -> tuple[Pieces, Pieces]:
        """The outer and the inner pieces; the holder's count as outer where none is."""
        return (mover, holder) if self.mating is Mating.OVER else (holder, mover)

    @property
    def path(self) -> Array:
        """The whole way of the outer part as seen from the inner one, (3,) mm."""
        way = self.motion.path
        return way if self.mating is Mating.OVER else -way

    def pairs(self, mover: Pieces, holder: Pieces) -> Pairs:
        """All pairs of pieces of each box that may meet on the way."""
        return Pairs(*self.ordered(mover, holder), self.path, self.frame, self.middle)

    def slides(self, mover: Pieces, holder: Pieces, starts: Array | None = None) -> list[Slide]:
        """What becomes of the mover of each box on the whole of its way.

        `starts` (b, 3) are displacements of the mover to begin with; as it stands where not said.
        """
        pairs = self.pairs(mover, holder)
        ats = np.zeros((pairs.boxes, 3)) if starts is None else starts
        return slide_all(pairs, self._sign * ats, self.near_mm)

    def place_of(self, found: Slide) -> Array:
        """Where the mover has equal room on both sides: its displacement, (3,) mm."""
        return self._sign * found.place_mm

    def lowest(self, found: Slide, name: str) -> Array:
        """The same with the mover as far down as it goes along a direction, as a drawer lies."""
        travel = found.travel(name)
        stop = travel.high if self.mating is Mating.OVER else travel.low
        reach = 0.0 if stop is None else stop.travel_mm - travel.middle_mm
        return self._sign * (found.place_mm + reach * self.frame.direction(name))

    @property
    def _sign(self) -> float:
        return -1.0 if self.mating is Mating.OVER else 1.0


def straight_mate(
    motion: Straight,
    mover: Pieces,
    holder: Pieces,
    mating: Mating,
    near_mm: float = NEAR_MM,
) -> StraightMate:
    """The mate of two parts as they stand in the first box, in the frame of the motion."""
    enclosed = (holder if mating is Mating.OVER else mover).of_box(0)
    low, high = enclosed.bounds
    middle = 0.5 * (low.min(axis=0) + high.max(axis=0))
    return StraightMate(
        motion, frame_of(motion.unit), mating, None if mating is Mating.PAST else middle, near_mm
    )
