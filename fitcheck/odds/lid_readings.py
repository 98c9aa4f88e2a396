"""How a lid sits on its base and slides over it is read pair by pair."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.lid import falls_in, resting, seat_height, sliding, sliding_pieces, turned_over
from fitcheck.fit.rest import rests_of
from fitcheck.fit.slide import Slide
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pose import UP
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

LID = "lid"


@dataclass(frozen=True, eq=False)
class LidReader:
    """Reads how a lid sits and slides."""

    slide: Path
    on_rim: bool = False
    """Whether its floor would fall into the base, so that it is read as lying on the rim."""

    @property
    def moved_by(self) -> frozenset[str]:
        """Both parts."""
        return frozenset(["base", "lid"])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """Lateral limits, seat, and the heights that say whether the rim is off the table."""
        asked = None if wanted is None else wanted[SEAT]
        seats = seat_limits(boxes, within_mm, None if self.on_rim else asked)
        outer, inner = self.slide.names(wanted)
        heights_mm = np.array([-min(seat.values()) for seat in seats])
        walls = turned_over(
            [lid_of(made) for made in boxes],
            heights_mm,
            lambda pieces, root: sliding(pieces.named(outer), root),
        )
        bases = pieces_in([made.base for made in boxes]).named(inner)
        found = self.slide.read_all(walls, bases, len(boxes), within_mm, wanted)
        own = None if wanted is None else wanted[LID_HEIGHT]
        if self.on_rim:
            seats = [heights(made.base, within_mm, asked) for made in boxes]
        for made, seat, read in zip(boxes, seats, found, strict=True):
            read[SEAT] = seat
            read[LID_HEIGHT] = heights(lid_of(made), within_mm, own)
            read[LID_CALIPER] = {(LID_CALIPER, ""): lid_of(made).caliper_mm}
            read[BASE_RISE] = {(BASE_RISE, ""): made.base.lap_rise_mm}
            read[BASE_CALIPER] = {(BASE_CALIPER, ""): made.base.caliper_mm}
        return found


def lid_of(made: Made) -> FoldedPart:
    """The lid of a box of a design that has one."""
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
        [lid_of(made) for made in boxes],
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
        return LidReader(Path(LID, path, slide.place_mm, corners=True))
    seat = seat_height(base, lid)
    on = sliding_pieces(lid, seat)
    slides = Path(LID, path, middle_of(on, base.pieces, path), corners=True)
    return LidReader(slides, on_rim=falls_in(base, seat))
