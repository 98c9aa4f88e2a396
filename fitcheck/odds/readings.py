"""A made box is read as families of limits: each pair of pieces that may stop something, apart.

A play ends at whichever pair meets first. Which one that is changes from box to box, so the pairs
are kept apart, by their names, and the first is picked anew for every box.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from fitcheck.fit.frames import DIRECTIONS, MIDDLE, UPRIGHT, PathFrame
from fitcheck.fit.lid import resting, seat_height, sliding, sliding_pieces, turned_over
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.rest import rests_of
from fitcheck.fit.slide import Slide
from fitcheck.fit.straight import StraightMate
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.odds.making import Made
from fitcheck.pattern.sheet import Axis

Member = tuple[str, str]
"""The names of the outer and the inner piece; or what a single length is."""
Family = dict[Member, float]
Readings = dict[str, Family]
"""Families by name. All are read so that the least of a family is what counts."""
Wanted = Mapping[str, Collection[Member]]
"""The members to read of each family, as a mapping with what they are in the box as designed; None
in place of it reads all within reach."""

SIDES = ("low", "high")
FAR_MM = 1.0e6
"""Stands for the travel where nothing is in the way."""
SAME_DIGITS = 6
"""Stops that are told the same to 1e-6 mm are one."""
LID = "lid"
SEAT = "lid seat"
LID_HEIGHT = "lid height"
LID_CALIPER = "lid caliper"
BASE_RISE = "base rise"
BASE_CALIPER = "base caliper"


def family_name(what: str, direction: str, side: str) -> str:
    """The family that ends a travel along a named direction on one side."""
    return f"{what} {direction} {side}"


class Reader(Protocol):
    """Reads some of a box's families."""

    @property
    def moved_by(self) -> frozenset[str]:
        """The parts and items whose inputs may change what is read."""

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """The families of each box; pairs more than `within_mm` behind the first are left out."""


class Travels(Protocol):
    """Pairs that may stop a travel, as a slide or a passage holds them."""

    def travels(
        self, name: str, at: Array, within_mm: float, only: Collection[Member] | None = None
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
    frame: PathFrame = UPRIGHT
    """Whose directions the families are named after."""
    middle: Array | None = field(default_factory=lambda: MIDDLE)
    """(3,) a point round which the outer part encloses the inner one; None where it does not."""

    def read_all(
        self,
        outer: Pieces,
        inner: Pieces,
        boxes: int,
        within_mm: float,
        wanted: Wanted | None,
    ) -> list[Readings]:
        """The travel to both sides along both directions, from the middle of the play outwards.

        Each of so many boxes has its outer and its inner pieces, at least those of `names`.
        """
        only = self._only(wanted)
        pairs = Pairs(outer, inner, self.path, self.frame, self.middle)
        ats = np.broadcast_to(self._place, (boxes, 3))
        return self._families(
            lambda name: pairs.all_travels(name, ats, within_mm, only[name]), boxes, wanted
        )

    @property
    def _place(self) -> Array:
        """Where the inner part stands, in the frame of the path."""
        return self.frame.into(self.at)

    def names(self, wanted: Wanted | None) -> tuple[set[str] | None, set[str] | None]:
        """The names of the outer and of the inner pieces that are asked about; None for all."""
        if wanted is None:
            return None, None
        pairs = set[Member]().union(*(own or () for own in self._only(wanted).values()))
        return {name for name, _ in pairs}, {name for _, name in pairs}

    def read_ways(
        self, ways: Sequence[Travels | None], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """The same of ways past round things; None where nothing is in the way."""
        only = self._only(wanted)
        return self._families(
            lambda name: [
                ({}, {}) if way is None else way.travels(name, self.at, within_mm, only[name])
                for way in ways
            ],
            len(ways),
            wanted,
        )

    def _only(self, wanted: Wanted | None) -> dict[str, set[Member] | None]:
        """The pairs to read along each direction; None for all."""
        if wanted is None:
            return dict.fromkeys(self.frame.across)
        return {
            name: {
                pair
                for side in SIDES
                for pair in wanted.get(family_name(self.what, name, side), ())
            }
            for name in self.frame.across
        }

    def _families(
        self,
        travels: Callable[[str], list[tuple[Family, Family]]],
        count: int,
        wanted: Wanted | None,
    ) -> list[Readings]:
        found: list[Readings] = [{} for _ in range(count)]
        for middle, name in zip(self._place.tolist(), self.frame.across, strict=False):
            families = [family_name(self.what, name, side) for side in SIDES]
            for own, both in zip(found, travels(name), strict=True):
                for family, sign, stops in zip(families, (-1.0, 1.0), both, strict=True):
                    own[family] = {pair: sign * (value + middle) for pair, value in stops.items()}
                    if not own[family] and wanted is None:
                        own[family] = {("nothing", "nothing"): FAR_MM}
        return found


@dataclass(frozen=True, eq=False)
class LidReader:
    """Reads how a lid sits and slides."""

    slide: Path

    @property
    def moved_by(self) -> frozenset[str]:
        """Both parts."""
        return frozenset(["base", "lid"])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """Lateral limits, seat, and the heights that say whether the rim is off the table."""
        seats = seat_limits(boxes, within_mm, None if wanted is None else wanted[SEAT])
        outer, inner = self.slide.names(wanted)
        heights_mm = np.array([-min(seat.values()) for seat in seats])
        walls = turned_over(
            [_lid(made) for made in boxes],
            heights_mm,
            lambda pieces, root: sliding(pieces.named(outer), root),
        )
        bases = pieces_in([made.base for made in boxes]).named(inner)
        found = self.slide.read_all(walls, bases, len(boxes), within_mm, wanted)
        own = None if wanted is None else wanted[LID_HEIGHT]
        for made, seat, read in zip(boxes, seats, found, strict=True):
            read[SEAT] = seat
            read[LID_HEIGHT] = heights(_lid(made), within_mm, own)
            read[LID_CALIPER] = {(LID_CALIPER, ""): _lid(made).caliper_mm}
            read[BASE_RISE] = {(BASE_RISE, ""): made.base.lap_rise_mm}
            read[BASE_CALIPER] = {(BASE_CALIPER, ""): made.base.caliper_mm}
        return found


def _lid(made: Made) -> FoldedPart:
    assert made.lid is not None, "a lid is read where there is one"
    return made.lid


def heights(part: FoldedPart, within_mm: float, only: Collection[Member] | None) -> Family:
    """Minus the height that each plate and bend of a part reaches, mm."""
    found: Family = {}
    names = [plate.name for plate in part.plates] + [bend.name for bend in part.bends]
    for name, height in zip(names, np.concatenate(part.reaches(UP)).tolist(), strict=True):
        member = (name, "")
        if only is None or member in only:
            found[member] = min(found.get(member, 0.0), -height)
    first = min(found.values())
    return {name: value for name, value in found.items() if value <= first + within_mm}


def seat_limits(
    boxes: Sequence[Made], within_mm: float, only: Collection[Member] | None
) -> list[Family]:
    """Minus the height of the lid floor's inside face at which each pair of pieces comes to rest.

    The pieces of the lid are its floor and the creases round it, as in the lid's own fit.
    """
    uppers = {name for name, _ in only} if only is not None else None
    lowers = {name for _, name in only} if only is not None else None
    floors = turned_over(
        [_lid(made) for made in boxes],
        np.zeros(len(boxes)),
        lambda pieces, root: resting(pieces.named(uppers), root),
    )
    bases = pieces_in([made.base for made in boxes]).named(lowers)
    found = rests_of(floors, bases, len(boxes), within_mm, only)
    return [{member: -height for member, height in own.items()} for own in found]


def lid_reader(base: FoldedPart, lid: FoldedPart, slide: Slide | None = None) -> LidReader:
    """The reader of a lid on its base, both as designed, and of its slide where that is known."""
    path = UP * (base.height_mm + lid.height_mm + CLEAR_MM)
    if slide is not None and slide.free:
        return LidReader(Path(LID, path, slide.place_mm))
    on = sliding_pieces(lid, seat_height(base, lid))
    return LidReader(Path(LID, path, middle_of(on, base.pieces, path)))


def middle_of(outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], path: Array) -> Array:
    """Where the inner part has equal room on both sides, (3,) mm, found as the slide finds it."""
    at = np.zeros(3)
    pairs = Pairs.of([(outer, inner)], path)
    for axis in (Axis.LENGTH, Axis.WIDTH, Axis.LENGTH):
        low, high = pairs.travels(axis, at, 0.0)
        if low and high:
            at = at + DIRECTIONS[axis] * 0.5 * (max(low.values()) + min(high.values()))
    return at


def mate_path(what: str, mate: StraightMate, mover: Pieces, holder: Pieces) -> Path:
    """How the pairs of a straight mate are read in drawn boxes, from the mate as designed.

    Sides are read where they tell the same as the nearest contacts; they go on telling where a
    drawn box presses by more than its papers are thick. `Path.read_all` is given `mate.ordered`.
    """
    pairs = mate.pairs(mover.of_box(0), holder.of_box(0))
    (found,) = mate.slides(mover.of_box(0), holder.of_box(0))
    # a mate that looks for no free place nearby is judged by sides alone
    told = mate.middle is not None and (mate.near_mm <= 0.0 or _sides_tell(pairs, found))
    return Path(what, mate.path, found.place_mm, mate.frame, mate.middle if told else None)


def _sides_tell(pairs: Pairs, found: Slide) -> bool:
    """Whether the sides of the outer pieces tell the same stops as the nearest contacts."""
    ats = pairs.frame.into(found.place_mm)[None]
    by_sides, by_contacts = (
        [
            stop and (stop.outer, stop.inner, round(stop.travel_mm, SAME_DIGITS))
            for name in pairs.frame.across
            for travel in pairs.travels_at(name, ats, free)
            for stop in (travel.low, travel.high)
        ]
        for free in (None, pairs.free(ats))
    )
    return by_sides == by_contacts
