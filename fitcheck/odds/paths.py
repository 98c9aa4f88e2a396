"""A straight slide is read pair by pair: what stops it, and what corners stop."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from fitcheck.fit.frames import DIRECTIONS, MIDDLE, UPRIGHT, PathFrame
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.rounds import QUARTERS, Corner, corners_of, stops_in
from fitcheck.fit.slide import Slide
from fitcheck.fit.straight import StraightMate
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import Array
from fitcheck.odds.readings import (
    FAR_MM,
    SIDES,
    Family,
    InCorners,
    Member,
    Readings,
    Wanted,
    family_name,
)
from fitcheck.pattern.sheet import Axis

SAME_DIGITS = 6
"""Stops that are told the same to 1e-6 mm are one."""


class Travels(Protocol):
    """Pairs that may stop a travel, as a slide or a passage holds them."""

    def travels(
        self, name: str, at: Array, within_mm: float, only: Collection[Member] | None = None
    ) -> tuple[Family, Family]:
        """The travel that each pair allows to the low and to the high side, mm."""


def in_corner(one: Corner, both: Sequence[str], k: int) -> tuple[InCorners, InCorners]:
    """The families of the line and of the crease, for the first or the second direction.

    `both` are those of the travel along it, of the low and the high side.
    """
    travel, way = both[one.high[k]], SIDES[one.high[1 - k]]
    return InCorners(travel, way, nearest=False), InCorners(travel, way, nearest=True)


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
    corners: bool = False
    """Whether the round insides of upright creases are read too."""

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
        found = self._families(
            lambda name: pairs.all_travels(name, ats, within_mm, only[name]), boxes, wanted
        )
        if self.corners:
            self._add_corners(found, pairs, ats, within_mm, wanted)
        return found

    def _add_corners(
        self,
        found: list[Readings],
        pairs: Pairs,
        ats: Array,
        within_mm: float,
        wanted: Wanted | None,
    ) -> None:
        """Add what the insides of upright creases stop, as far as they are asked about."""
        there = corners_of(pairs, ats) if wanted is None else {}
        corners = list(there) if wanted is None else self._corners(wanted)
        if not corners:
            return
        line, *nearest = stops_in(pairs.outer, pairs.inner, ats, corners)
        for k, name in enumerate(self.frame.across):
            both = self._sides(name)
            reach = [
                within_mm + np.array([min(read[family].values(), default=0.0) for read in found])
                for family in both
            ]
            for n, one in enumerate(corners):
                families = in_corner(one, both, k)
                shift = float(self._place[k]) * (1.0 if one.high[k] else -1.0)
                stops = np.array([line[n], nearest[k][n]]) + shift
                asked = np.isfinite(stops).all(axis=0)
                if wanted is None:
                    asked &= there[one] & (stops.max(axis=0) <= reach[one.high[k]])
                elif one[:2] not in wanted.get(families[0].name, ()):
                    continue
                for box in np.flatnonzero(asked).tolist():
                    for family, value in zip(families, stops[:, box].tolist(), strict=True):
                        found[box].setdefault(family.name, {})[one.outer, one.inner] = value

    def _corners(self, wanted: Wanted) -> list[Corner]:
        """The corners that are asked about along either direction."""
        found: dict[Corner, None] = {}
        for k, name in enumerate(self.frame.across if self.corners else ()):
            for high in QUARTERS:
                family, _ = in_corner(Corner("", "", high), self._sides(name), k)
                for outer, inner in wanted.get(family.name, ()):
                    found.setdefault(Corner(outer, inner, high))
        return list(found)

    @property
    def _place(self) -> Array:
        """Where the inner part stands, in the frame of the path."""
        return self.frame.into(self.at)

    def names(self, wanted: Wanted | None) -> tuple[set[str] | None, set[str] | None]:
        """The names of the outer and of the inner pieces that are asked about; None for all."""
        if wanted is None:
            return None, None
        pairs = set[Member]().union(*(own or () for own in self._only(wanted).values()))
        pairs |= {one[:2] for one in self._corners(wanted)}
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

    def _sides(self, name: str) -> list[str]:
        """The families of the travel along a direction, of the low and the high side."""
        return [family_name(self.what, name, side) for side in SIDES]

    def _families(
        self,
        travels: Callable[[str], list[tuple[Family, Family]]],
        count: int,
        wanted: Wanted | None,
    ) -> list[Readings]:
        found: list[Readings] = [{} for _ in range(count)]
        for middle, name in zip(self._place.tolist(), self.frame.across, strict=False):
            families = self._sides(name)
            for own, both in zip(found, travels(name), strict=True):
                for family, sign, stops in zip(families, (-1.0, 1.0), both, strict=True):
                    own[family] = {pair: sign * (value + middle) for pair, value in stops.items()}
                    if not own[family] and wanted is None:
                        own[family] = {("nothing", "nothing"): FAR_MM}
        return found


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
