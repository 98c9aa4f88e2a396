"""A bond lays a face of one panel on a face of another; what that makes of them is derived."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Lengths = TypeVar("Lengths", float, "NDArray[np.float64]")
"""One length or those of many boxes, mm."""


class Face(enum.StrEnum):
    """A face of a panel: the pattern is drawn as seen on the inside faces."""

    INSIDE = "inside"
    OUTSIDE = "outside"

    @property
    def other(self) -> Face:
        """The face behind it."""
        return Face.OUTSIDE if self is Face.INSIDE else Face.INSIDE


class JointKind(enum.StrEnum):
    """What a bond makes, derived from the creases between its two panels."""

    CORNER = "corner"
    """The creases are not parallel: the wall is pushed until the faces meet."""
    ROLL = "roll"
    """Parallel creases closed to a tube whose foot is pressed home."""
    TUBE = "tube"
    """Parallel creases closed to a tube that settles as its creases pull it."""
    LINING = "lining"
    """Parallel creases that fold a panel back over what carries them."""
    HEM = "hem"
    """One fold of half a turn."""


@dataclass(frozen=True)
class Bond:
    """A face of one panel on a face of another, the glue between; the creases between them give."""

    panel: str
    onto: str
    face: Face = Face.OUTSIDE
    """Of the panel."""
    side: Face = Face.INSIDE
    """Of what it lies on."""
    glued: bool = True
    """Held at the joint's thickness; else it only lies there and may stand off."""
    home: bool = False
    """Of a tube: the maker presses its foot home, towards the wall that it begins with."""
    between: int = 0
    """How many more sheets of the same paper are glued in between."""

    def gap_mm(self, caliper_mm: Lengths, joint_mm: Lengths) -> Lengths:
        """How far apart the two faces lie: the glue, or nothing, and what is in between."""
        own = joint_mm if self.glued else 0.0 * joint_mm
        return own + self.between * (caliper_mm + joint_mm) if self.between else own


def corner(tab: str, wall: str, *, between: int = 0) -> Bond:
    """A tab glued by its outside face to the inside of the neighbouring wall."""
    return Bond(tab, wall, between=between)


def roll(flap: str, onto: str) -> Bond:
    """A rolled side's flap glued by its outside face to the inside of what the roll began on."""
    return Bond(flap, onto, home=True)


def seam(flap: str, onto: str, *, outside: bool = False) -> Bond:
    """A tube's flap glued inside, or outside, the panel at the tube's other end."""
    return Bond(flap, onto, Face.INSIDE, Face.OUTSIDE) if outside else Bond(flap, onto)


def lining(panel: str, wall: str, *, glued: bool = True, between: int = 0) -> Bond:
    """A wall folded down inside the wall that carries it, inside face on inside face."""
    return Bond(panel, wall, Face.INSIDE, Face.INSIDE, glued, between=between)
