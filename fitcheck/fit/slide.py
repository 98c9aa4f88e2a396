"""A straight slide of one part over or into another: its play, what limits it, and what blocks it.

The outer part encloses the inner one. An outer piece that lies wholly on one side of the middle
has to stay on that side of every inner piece; the play along an axis is the travel that leaves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.travel import Travel
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array
from fitcheck.pattern.sheet import Axis


@dataclass(frozen=True, eq=False)
class Slide:
    """The outcome of a straight slide."""

    width: Travel
    length: Travel
    blocked_by: tuple[str, str] | None
    """A pair (outer, inner) that no sideways move can free; None when the way is open."""

    def travel(self, axis: Axis) -> Travel:
        """The travel along an axis."""
        return self.width if axis is Axis.WIDTH else self.length

    @property
    def tighter(self) -> Travel:
        """The axis with the smaller play, the width when equal."""
        return self.width if self.width.play_mm <= self.length.play_mm + TOUCH_MM else self.length

    @property
    def wider(self) -> Travel:
        """The axis with the larger play."""
        return self.length if self.tighter is self.width else self.width

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
    """Test the whole straight path of the outer part, by `path` (3,) mm from where it ends.

    `start` (3,) is a displacement of the inner part to begin with; the middle of the outer part's
    pieces must be above the origin. Exact for the given convex pieces.
    """
    return slide_all(Pairs.of([(outer, inner)], path), start[None])[0]


def slide_all(pairs: Pairs, starts: Array) -> list[Slide]:
    """The slides of many boxes along one path, each from its own start of (b, 3)."""
    ats = starts.astype(float)
    travels: dict[Axis, list[Travel]] = {}
    for k, axis in ((1, Axis.LENGTH), (0, Axis.WIDTH), (1, Axis.LENGTH)):
        travels[axis] = pairs.travels_at(axis, ats)
        ats[:, k] += [travel.middle_mm for travel in travels[axis]]
    ends = zip(travels[Axis.WIDTH], travels[Axis.LENGTH], pairs.blocked(ats), strict=True)
    return [Slide(wide, long, blocked) for wide, long, blocked in ends]
