"""Places on a sheet as a hand finds them again: by its edges and by scores counted from them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.pattern.counted import EXACT_MM, HAIR_MM, beside_mm, counted_from
from fitcheck.pattern.plan import Plan, RuledLine
from fitcheck.pattern.sheet import Fence
from fitcheck.sheet.board import OPPOSITE


@dataclass(frozen=True)
class Mark:
    """How far something lies from an edge, and which score it lies at.

    Scores are counted from that edge, those made with it against the fence; the edge itself is
    number 0.
    """

    fence: Fence
    at_mm: float
    score: int | None = None
    """The number of the score that it lies at, or beside; None for a place away from all."""
    beyond_mm: float = 0.0
    """How far it lies beyond that score, seen from the edge: a hair or nothing."""

    @property
    def exact(self) -> bool:
        """Whether it lies at a score or at the edge."""
        return self.score is not None and not self.beyond_mm

    @property
    def hair(self) -> bool:
        """Whether it lies a hair beside a score."""
        return self.score is not None and bool(self.beyond_mm)

    @property
    def edge(self) -> bool:
        """Whether it is the sheet's edge."""
        return self.score == 0

    def same(self, other: Mark) -> bool:
        """Whether a hand cannot tell two places apart: at one score, or a hair beside it."""
        return self.score is not None and (self.fence, self.score) == (other.fence, other.score)


class Scale:
    """The scores of a plan, counted from each of the sheet's edges as far as they are made."""

    def __init__(self, plan: Plan, made: Sequence[RuledLine] | None = None) -> None:
        """Of all scores, or of those that are `made` so far: none is counted that is not there."""
        self._sheet = plan.sheet
        self._at = {fence: counted_from(plan, fence) for fence in Fence}
        there = plan.scores if made is None else made
        self._there = {fence: self._made(fence, there) for fence in Fence}

    def _made(self, fence: Fence, made: Sequence[RuledLine]) -> int:
        """How many scores from an edge on are made, none of them left out."""
        own = {line.at_mm - self.beside(fence, line.at_mm) for line in made if line.fence is fence}
        near = [any(abs(at - there) <= EXACT_MM for there in own) for at in self._at[fence]]
        return (*near, False).index(False)

    def beside(self, fence: Fence, at_mm: float) -> float:
        """How far a score lies beyond the one that it counts as, mm; nought for that one itself."""
        return beside_mm(self._at[fence], at_mm)

    def mark(self, fence: Fence, at_mm: float) -> Mark:
        """A place so far from an edge, found again in the way that is easiest for a hand.

        An edge comes first, then a score, then a hair beside a score; of two edges the nearer one
        is counted from, and where there is nothing near it is measured from that.
        """
        upright = fence in (Fence.LEFT, Fence.RIGHT)
        size = self._sheet.width_mm if upright else self._sheet.length_mm
        both = ((at_mm, fence), (size - at_mm, OPPOSITE[fence]))
        order = sorted(both, key=lambda one: (round(one[0], 6), list(Fence).index(one[1])))
        for reach in (EXACT_MM, HAIR_MM):
            for away, own in order:
                for mark in self._near(own, round(away, 6), reach):
                    return mark
        return Mark(order[0][1], round(order[0][0], 6))

    def _near(self, fence: Fence, at_mm: float, reach_mm: float) -> Iterator[Mark]:
        """The nearest score within reach, or the edge, which no hair lies beside."""
        if abs(at_mm) <= EXACT_MM:
            yield Mark(fence, at_mm, 0)
            return
        found = [(abs(at_mm - at), number) for number, at in enumerate(self._at[fence], start=1)]
        if not found or min(found)[1] > self._there[fence]:
            return
        if (nearest := min(found))[0] <= reach_mm:
            beyond = at_mm - self._at[fence][nearest[1] - 1]
            yield Mark(fence, at_mm, nearest[1], 0.0 if nearest[0] <= EXACT_MM else beyond)
