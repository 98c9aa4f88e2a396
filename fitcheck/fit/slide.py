"""A straight slide of one part over or into another: its play, what limits it, and what blocks it.

The whole path is looked at at once. Where the inner part starts free, its play along a direction
is the room to the nearest contact each way. Where it presses, it is measured by sides if the outer
part encloses it; else a free place is looked for nearby.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.free_place import Openings
from fitcheck.fit.pairs import Block, Pairs
from fitcheck.fit.travel import Travel
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, Flags


@dataclass(frozen=True, eq=False)
class Slide:
    """The outcome of a straight slide."""

    travels: tuple[Travel, Travel]
    """Along the two directions across the path."""
    blocked_by: tuple[str, str] | None
    """A pair (outer, inner) that no sideways move can free; None when the way is open."""
    overlap_mm: float
    """How deep that pair stays in each other, where it does so least; 0 when the way is open."""
    place_mm: Array
    """(3,) displacement of the inner part, in its own frame, in the middle of its plays."""

    def travel(self, name: str) -> Travel:
        """The travel along a direction. Raises ValueError where none is called so."""
        return self.travels[[one.axis for one in self.travels].index(name)]

    @property
    def tighter(self) -> Travel:
        """The direction with the smaller play, the first when equal."""
        first, second = self.travels
        return first if first.play_mm <= second.play_mm + TOUCH_MM else second

    @property
    def wider(self) -> Travel:
        """The direction with the larger play."""
        first, second = self.travels
        return second if self.tighter is first else first

    @property
    def play_mm(self) -> float:
        """The smaller play, mm."""
        return self.tighter.play_mm

    @property
    def free(self) -> bool:
        """True when it goes: nothing blocks and nothing presses."""
        return self.blocked_by is None and self.play_mm >= -TOUCH_MM


def slide(
    outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], path: Array, start: Array
) -> Slide:
    """Test the whole upright path of an outer part that encloses the inner one.

    It ends `path` (3,) mm from where it stands, the middle of its pieces above the origin.
    `start` (3,) is a displacement of the inner part to begin with. Exact for the given convex
    pieces.
    """
    return slide_all(Pairs.of([(outer, inner)], path), start[None])[0]


def slide_all(
    pairs: Pairs, starts: Array, near_mm: float = 0.0, by_sides: Flags | None = None
) -> list[Slide]:
    """The slides of many boxes along one path, each from its own start of (b, 3).

    Where the start is not free and sides do not find a place that is, one is looked for up to
    `near_mm` away along both directions; what presses or is blocked then does so everywhere near.
    Boxes of `by_sides` (b,) are measured by sides though nothing may meet in them.
    """
    ats = pairs.frame.into(starts.astype(float))
    free = pairs.free(ats)
    if by_sides is not None:
        free &= ~by_sides
    if not pairs.enclosing:
        return _slides(pairs, ats, free, _opened(pairs, ats, free, np.zeros_like(free), near_mm))
    slides = _slides(pairs, ats, free, {})
    if near_mm <= 0.0 or free.all():
        return slides
    # sides know nothing of what stands on none: what they found is asked again, and does for
    # most without a look at areas
    places = pairs.frame.into(np.array([one.place_mm for one in slides]))
    settled = ~free & pairs.free(places)
    ats[settled], free[settled] = places[settled], True
    presses = np.array([one.blocked_by is None and not one.free for one in slides])
    return _slides(pairs, ats, free, _opened(pairs, ats, free, presses, near_mm))


def _opened(
    pairs: Pairs, ats: Array, free: Flags, measured: Flags, near_mm: float
) -> dict[int, Block]:
    """Move inner parts that are not free into the nearest opening, or where they overlap least.

    Says what blocks those that find none; where the press of one (b,) is measured it stays where
    it is. The places (b, 3) and what is free (b,) are changed.
    """
    blocks = {}
    for box in np.flatnonzero(~free).tolist():
        openings = Openings(pairs, box, ats[box], near_mm)
        place = openings.nearest()
        if place is not None:
            ats[box, :2], free[box] = place, True
        elif not measured[box]:
            ats[box, :2], blocks[box] = openings.least_overlap()
    return blocks


def _slides(pairs: Pairs, starts: Array, free: Flags, blocks: dict[int, Block]) -> list[Slide]:
    """The slides from starts (b, 3) in the frame of the path."""
    ats = starts.copy()
    travels = {}
    for k in (1, 0, 1):
        travels[k] = pairs.travels_at(pairs.frame.across[k], ats, free)
        ats[:, k] += [travel.middle_mm for travel in travels[k]]
    found: list[Block | None] = [None] * pairs.boxes
    if pairs.enclosing and not free.all():
        found = pairs.blocked(ats)
    slides = []
    for box, both in enumerate(zip(travels[0], travels[1], strict=True)):
        block = blocks.get(box, found[box])
        slides.append(
            Slide(
                both,
                None if block is None else block.pieces,
                0.0 if block is None else block.overlap_mm,
                pairs.frame.back(ats[box]),
            )
        )
    return slides
