"""How a lid sits that goes over a neck: on the neck, or with its rim on the base's, as it meets."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.lid import hanging, sliding, turned_over
from fitcheck.fit.neck import falls_past, lands_on, lying, passes_rim, past_of, rim_seats
from fitcheck.fit.placed import Placed, both_of, tops_of
from fitcheck.fit.rest import rests_of
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.odds.lid_readings import LID, heights, lid_of
from fitcheck.odds.making import Made
from fitcheck.odds.paths import Path, middle_of
from fitcheck.odds.readings import (
    BASE_CALIPER,
    BASE_RISE,
    LID_CALIPER,
    LID_HEIGHT,
    SEAT,
    Family,
    Member,
    Readings,
    Wanted,
)
from fitcheck.pattern.sheet import Axis

ON_NECK = "lid seat on the neck"
ON_RIM = "lid seat on the rim"
PAST_RIM, ROUND_NECK = "lid past the base's rim", "lid round the neck"
LANDS = {axis: f"lid rim over the base's inside, {axis}" for axis in Axis}
"""By how much the lid is larger there than the base is between its walls."""


@dataclass(frozen=True, eq=False)
class NeckedLidReader:
    """Reads how a lid sits and slides over what stands in its base."""

    slide: Path
    neck: Placed
    passes: bool
    """Whether its rim goes down past the base's, as designed."""
    inside: bool = False
    """Whether it would fall into the neck, so that it is read as lying on that."""
    past_rim: Path | None = None
    """Past the base's walls alone, where it passes them."""
    round_neck: Path | None = None
    """Past the neck alone, lying on the base's rim, where it may do that as well."""

    @property
    def moved_by(self) -> frozenset[str]:
        """All three parts."""
        return frozenset(["base", "lid", self.neck.mate.mover])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """As of a lid over a base, and both heights that it may come to rest at."""
        if not boxes:
            return []
        lids = [lid_of(made) for made in boxes]
        bases = pieces_in([made.base for made in boxes])
        necks = self.neck.movers([both_of(self.neck.mate, made.parts) for made in boxes])
        asked = (lambda _: None) if wanted is None else wanted.get
        if self.passes:
            rims = _seats(hanging, lids, bases, within_mm, asked(ON_RIM))
        else:
            rims = [_rims(made.base, lid) for made, lid in zip(boxes, lids, strict=True)]
        if self.inside:
            tops = [{(ON_NECK, ""): -top} for top in tops_of(necks, len(boxes)).tolist()]
        else:
            tops = _seats(lying, lids, necks, within_mm, asked(ON_NECK))
        seats = [_joined(*both, within_mm, wanted is None) for both in zip(tops, rims, strict=True)]
        outer, inner = self.slide.names(wanted)
        heights_mm = np.array([-min(seat[SEAT].values()) for seat in seats])
        walls = _walls(lids, heights_mm, outer)
        holders = past_of(necks, bases, np.full(len(boxes), self.passes)).named(inner)
        found = self.slide.read_all(walls, holders, len(boxes), within_mm, wanted)
        for more in self._apart(boxes, lids, (necks, bases), tops, within_mm, wanted):
            for read, own in zip(found, more, strict=True):
                read.update(own)
        for made, lid, seat, read in zip(boxes, lids, seats, found, strict=True):
            read.update(seat)
            read[LID_HEIGHT] = heights(lid, within_mm, asked(LID_HEIGHT))
            read[LID_CALIPER] = {(LID_CALIPER, ""): lid.caliper_mm}
            read[BASE_RISE] = {(BASE_RISE, ""): 0.0}
            read[BASE_CALIPER] = {(BASE_CALIPER, ""): made.base.caliper_mm}
            if not self.passes:
                for axis, mm in zip(Axis, lands_on(made.base, lid), strict=True):
                    read[LANDS[axis]] = {(LANDS[axis], ""): mm}
        return found

    def _apart(
        self,
        boxes: Sequence[Made],
        lids: Sequence[FoldedPart],
        below: tuple[Pieces, Pieces],
        tops: Sequence[Family],
        within_mm: float,
        wanted: Wanted | None,
    ) -> Iterator[list[Readings]]:
        """What the base's walls stop by themselves, and what the neck does with the lid on the rim.

        `below` are the necks and the bases.
        """
        down = [-min(top.values()) for top in tops]
        landed = [
            max(height, *rim_seats(made.base, lid).values())
            for made, lid, height in zip(boxes, lids, down, strict=True)
        ]
        for path, heights_mm, holders in (
            (self.past_rim, down, below[1]),
            (self.round_neck, landed, below[0]),
        ):
            if path is not None:
                outer, inner = path.names(wanted)
                walls = _walls(lids, np.array(heights_mm), outer)
                yield path.read_all(walls, holders.named(inner), len(boxes), within_mm, wanted)


def _walls(lids: Sequence[FoldedPart], heights_mm: Array, names: set[str] | None) -> Pieces:
    """What of lids slides past what is below, those of some names, at heights of their floors."""
    return turned_over(lids, heights_mm, lambda pieces, root: sliding(pieces.named(names), root))


def _seats(
    chosen: Callable[[Pieces, str], Pieces],
    lids: Sequence[FoldedPart],
    below: Pieces,
    within_mm: float,
    only: Collection[Member] | None,
) -> list[Family]:
    """Minus the height of the lid floor's inside face at which each pair comes to rest."""
    above = turned_over(lids, np.zeros(len(lids)), chosen)
    found = rests_of(above, below, len(lids), within_mm, only)
    return [{member: -height for member, height in own.items()} for own in found]


def _rims(base: FoldedPart, lid: FoldedPart) -> Family:
    """The same where rims meet, side by side."""
    return {member: -height for member, height in rim_seats(base, lid).items()}


def _joined(on_neck: Family, on_rim: Family, within_mm: float, anew: bool) -> Readings:
    """Both families, and the seat that is the higher of the two."""
    seat = on_neck | on_rim
    if anew:
        first = min(seat.values())
        seat = {member: value for member, value in seat.items() if value <= first + within_mm}
    return {SEAT: seat, ON_NECK: on_neck, ON_RIM: on_rim}


def necked_lid_reader(
    base: FoldedPart, lid: FoldedPart, neck: Placed, parts: Sequence[FoldedPart]
) -> NeckedLidReader:
    """The reader of a lid over the neck in its base, all as designed."""
    necks = neck.movers([both_of(neck.mate, parts)])
    on_neck, on_rim = (
        -min(_seats(chosen, [lid], below, 0.0, None)[0].values(), default=0.0)
        for chosen, below in ((lying, necks), (hanging, base.pieces))
    )
    (top,) = tops_of(necks, 1).tolist()
    inside = falls_past(lid, on_neck, top)
    passes = not inside and passes_rim(base, lid, on_rim)
    if inside:
        on_neck, on_rim = top, max(rim_seats(base, lid).values())
    holders = past_of(necks, base.pieces, np.array([passes]))
    path = UP * (max(top, base.height_mm) + lid.height_mm + CLEAR_MM)
    on = turned_over([lid], np.array([max(on_neck, on_rim)]), sliding)

    def over(what: str, lids: Pieces, held: Pieces) -> Path:
        return Path(what, path, middle_of(lids, held, path), corners=True)

    slide = over(LID, on, holders)
    if not passes:
        return NeckedLidReader(slide, neck, passes, inside)
    down = turned_over([lid], np.array([on_neck]), sliding)
    landed = turned_over([lid], np.array([max(on_neck, *rim_seats(base, lid).values())]), sliding)
    return NeckedLidReader(
        slide,
        neck,
        passes,
        past_rim=over(PAST_RIM, down, base.pieces),
        round_neck=over(ROUND_NECK, landed, necks),
    )
