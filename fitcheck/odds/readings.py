"""A made box is read as families of limits: each pair of pieces that may stop something, apart.

A play ends at whichever pair meets first. Which one that is changes from box to box, so the pairs
are kept apart, by their names, and the first is picked anew for every box.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple, Protocol

from fitcheck.odds.making import Made

Member = tuple[str, str]
"""The names of the outer and the inner piece; or what a single length is."""
Family = dict[Member, float]
Readings = dict[str, Family]
"""Families by name. All are read so that the least of a family is what counts."""
Wanted = Mapping[str, Collection[Member]]
"""The members to read of each family, as a mapping with what they are in the box as designed; None
in place of it reads all within reach."""

SIDES = ("low", "high")
LINE, NEAREST = " past the arc in corners ", " up to the crease in corners "
FAR_MM = 1.0e6
"""Stands for the travel where nothing is in the way."""
SEAT = "lid seat"
LID_HEIGHT = "lid height"
LID_CALIPER = "lid caliper"
BASE_RISE = "base rise"
BASE_CALIPER = "base caliper"


def family_name(what: str, direction: str, side: str) -> str:
    """The family that ends a travel along a named direction on one side."""
    return f"{what} {direction} {side}"


class InCorners(NamedTuple):
    """The travels that what stands in the corners on one side is stopped at, beside other pairs."""

    family: str
    """Of the travel."""
    way: str
    """On which side of the other direction the corners are."""
    nearest: bool
    """How far it is to the crease, before which the line does not count; else to the line."""

    @property
    def name(self) -> str:
        """The family of these limits."""
        return f"{self.family}{NEAREST if self.nearest else LINE}{self.way}"

    @classmethod
    def of(cls, name: str) -> InCorners | None:
        """Which of these a family is; None for all others."""
        for mark in (LINE, NEAREST):
            family, there, way = name.rpartition(mark)
            if there:
                return cls(family, way, mark == NEAREST)
        return None


class Reader(Protocol):
    """Reads some of a box's families."""

    @property
    def moved_by(self) -> frozenset[str]:
        """The parts and items whose inputs may change what is read."""

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """The families of each box; pairs more than `within_mm` behind the first are left out."""
