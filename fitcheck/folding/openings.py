"""How wide a rolled part is open between its inner walls, in its frame and at its floor."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.rolls import RollSection
from fitcheck.pattern.sheet import Axis

APART_MM = 0.5
"""What a metric rule shows (common practice, no source): by less the two are told as one."""


@dataclass(frozen=True)
class Opening:
    """What is free between the inner walls of a rolled part; pairs are (width, length) in mm."""

    frame_mm: tuple[float, float]
    """At the frame's upper face, where one looks in."""
    floor_mm: tuple[float, float]
    """At the foot of the walls."""

    @property
    def differs(self) -> bool:
        """Whether a rule tells one from the other."""
        pairs = zip(self.frame_mm, self.floor_mm, strict=True)
        return any(abs(frame - floor) >= APART_MM for frame, floor in pairs)


def opening_of(part: FoldedPart, inside_mm: tuple[float, float]) -> Opening | None:
    """The opening of a folded part that leaves so much inside; None where not all sides are rolled.

    The wall's foot is in sight from the flap's upper face on, so there it is what is left inside.
    """
    sides: dict[int, list[tuple[float, RollSection]]] = {axis: [] for axis in range(len(Axis))}
    for roll in part.rolls:
        outward, origin = part.layout.outward(roll.wall)[0], part.layout.origin(roll.wall)[0]
        sides[int(abs(outward).argmax())].append((float(origin @ outward), roll))
    if any(len(own) != 2 for own in sides.values()):
        return None
    tops = [sum(score - roll.top_mm for score, roll in own) for own in sides.values()]
    feet = [sum(score - roll.foot_mm for score, roll in own) for own in sides.values()]
    floor = [max(foot, inside) for foot, inside in zip(feet, inside_mm, strict=True)]
    return Opening((tops[0], tops[1]), (floor[0], floor[1]))
