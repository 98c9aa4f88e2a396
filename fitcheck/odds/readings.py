"""A made box is read as families of limits: each pair of pieces that may stop something, apart.

A play ends at whichever pair meets first. Which one that is changes from box to box, so the pairs
are kept apart, by their names, and the first is picked anew for every box.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fitcheck.design.model import Axis
from fitcheck.fit.lid import lid_pose, seat_height, sliding_pieces
from fitcheck.fit.rest import rest_heights
from fitcheck.fit.slide import DIRECTIONS, Pairs
from fitcheck.fit.way_in import CLEAR_MM, UP
from fitcheck.folding.bends import Bend
from fitcheck.folding.fold import FoldedPart
from fitcheck.folding.pieces import ConvexPiece, Plate, moved
from fitcheck.folding.pose import Array
from fitcheck.odds.making import Made

Member = tuple[str, str]
"""The names of the outer and the inner piece; or what a single length is."""
Family = dict[Member, float]
Readings = dict[str, Family]
"""Families by name. All are read so that the least of a family is what counts."""
Wanted = Mapping[str, Collection[Member]]
"""The members to read of each family; None in place of it reads all within reach."""

SIDES = ("low", "high")
FAR_MM = 1.0e6
"""Stands for the travel where nothing is in the way."""
LID = "lid"
SEAT = "lid seat"
LID_HEIGHT = "lid height"
LID_CALIPER = "lid caliper"
BASE_RISE = "base rise"
BASE_CALIPER = "base caliper"


def family_name(what: str, axis: Axis, side: str) -> str:
    """The family that ends a travel on one side."""
    return f"{what} {axis} {side}"


class Reader(Protocol):
    """Reads some of a box's families."""

    @property
    def moved_by(self) -> frozenset[str]:
        """The parts and items whose inputs may change what is read."""

    def read(self, made: Made, within_mm: float, wanted: Wanted | None) -> Readings:
        """The families of one box; pairs more than `within_mm` behind the first are left out."""


class Travels(Protocol):
    """Pairs that may stop a travel, as a slide or a passage holds them."""

    def travels(
        self, axis: Axis, at: Array, within_mm: float, only: Collection[Member] | None = None
    ) -> tuple[Family, Family]:
        """The travel that each pair allows to the low and to the high side, mm."""


@dataclass(frozen=True, eq=False)
class Path:
    """A straight slide whose pairs are read one by one."""

    what: str
    path: Array
    """(3,) the whole way of the outer part, mm."""
    at: Array
    """(3,) where the inner part stands in the middle of its play."""

    def read(
        self,
        outer: Sequence[ConvexPiece],
        inner: Sequence[ConvexPiece],
        within_mm: float,
        wanted: Wanted | None,
    ) -> Readings:
        """The travel to both sides along both axes, from the middle of the play outwards."""

        def pairs(names: Collection[Member] | None) -> Pairs | None:
            here, there = outer, inner
            if names is not None:
                here = _named(outer, {name for name, _ in names})
                there = _named(inner, {name for _, name in names})
            return Pairs(here, there, self.path) if here and there else None

        return self.read_pairs(pairs, within_mm, wanted)

    def read_pairs(
        self,
        pairs_of: Callable[[Collection[Member] | None], Travels | None],
        within_mm: float,
        wanted: Wanted | None,
    ) -> Readings:
        """The same of any pairs; `pairs_of` gives those that are asked for, None for all."""
        found: Readings = {}
        ends = {axis: [family_name(self.what, axis, side) for side in SIDES] for axis in Axis}
        only: dict[Axis, set[Member] | None] = dict.fromkeys(Axis)
        asked = None
        if wanted is not None:
            only = {a: {pair for name in ends[a] for pair in wanted.get(name, ())} for a in Axis}
            asked = set().union(*(only[axis] or () for axis in Axis))
        pairs = pairs_of(asked)
        for axis, names in ends.items():
            low: Family = {}
            high: Family = {}
            if pairs is not None:
                low, high = pairs.travels(axis, self.at, within_mm, only[axis])
            k = int(np.argmax(DIRECTIONS[axis]))
            middle = float(self.at[k])
            found[names[0]] = {pair: -(value + middle) for pair, value in low.items()}
            found[names[1]] = {pair: value + middle for pair, value in high.items()}
            for name in names:
                if not found[name] and wanted is None:
                    found[name] = {("nothing", "nothing"): FAR_MM}
        return found


@dataclass(frozen=True, eq=False)
class LidReader:
    """Reads how a lid sits and slides."""

    slide: Path

    @property
    def moved_by(self) -> frozenset[str]:
        """Both parts."""
        return frozenset(["base", "lid"])

    def read(self, made: Made, within_mm: float, wanted: Wanted | None) -> Readings:
        """Lateral limits, seat, and the heights that say whether the rim is off the table."""
        lid, base = made.lid, made.base
        assert lid is not None, "a lid is read where there is one"
        only = None if wanted is None else wanted[SEAT]
        seats = seat_limits(base, lid, within_mm, only)
        found = self.slide.read(
            sliding_pieces(lid, -min(seats.values())), base.pieces, within_mm, wanted
        )
        found[SEAT] = seats
        found[LID_HEIGHT] = heights(lid, within_mm, None if wanted is None else wanted[LID_HEIGHT])
        found[LID_CALIPER] = {(LID_CALIPER, ""): lid.caliper_mm}
        found[BASE_RISE] = {(BASE_RISE, ""): base.lap_rise_mm}
        found[BASE_CALIPER] = {(BASE_CALIPER, ""): base.caliper_mm}
        return found


def heights(part: FoldedPart, within_mm: float, only: Collection[Member] | None) -> Family:
    """Minus the height that each plate and bend of a part reaches, mm."""
    found: Family = {}
    pieces: list[Plate | Bend] = [*part.plates, *part.bends]
    for piece in pieces:
        member = (piece.name, "")
        if only is None or member in only:
            found[member] = min(found.get(member, 0.0), -piece.support(UP))
    first = min(found.values())
    return {name: value for name, value in found.items() if value <= first + within_mm}


def seat_limits(
    base: FoldedPart, lid: FoldedPart, within_mm: float, only: Collection[Member] | None
) -> Family:
    """Minus the height of the lid floor's inside face at which each pair of pieces comes to rest.

    The pieces of the lid are its floor and the creases round it, as in the lid's own fit.
    """
    root = lid.pattern.panels[0].name
    pose = lid_pose(lid, 0.0)
    uppers = {name for name, _ in only} if only is not None else None
    lowers = {name for _, name in only} if only is not None else None
    above = moved([p for p in _named(lid.pieces, uppers) if root in p.panels], pose)
    found = rest_heights(above, _named(base.pieces, lowers), within_mm, only)
    return {member: -height for member, height in found.items()}


def _named(pieces: Sequence[ConvexPiece], names: Collection[str] | None) -> list[ConvexPiece]:
    return [piece for piece in pieces if names is None or piece.name in names]


def lid_reader(base: FoldedPart, lid: FoldedPart) -> LidReader:
    """The reader of a lid on its base, both as designed."""
    seat = seat_height(base, lid)
    path = UP * (base.height_mm + lid.height_mm + CLEAR_MM)
    on = sliding_pieces(lid, seat)
    return LidReader(Path(LID, path, middle_of(on, base.pieces, path)))


def middle_of(outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], path: Array) -> Array:
    """Where the inner part has equal room on both sides, (3,) mm, found as the slide finds it."""
    at = np.zeros(3)
    pairs = Pairs(outer, inner, path)
    for axis in (Axis.LENGTH, Axis.WIDTH, Axis.LENGTH):
        low, high = pairs.travels(axis, at, 0.0)
        if low and high:
            at = at + DIRECTIONS[axis] * 0.5 * (max(low.values()) + min(high.values()))
    return at
