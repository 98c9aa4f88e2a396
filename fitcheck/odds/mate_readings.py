"""How a mate's mover goes with its holder is read pair by pair, as the lid's slide is.

A lid that turns is read by the least clearance of each pair over its whole turn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.design.model import Bands
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.hinged import closings, rim_gaps, side_of, turn_fits
from fitcheck.fit.mates import AnyFit, Cover, cover_of, fit_placed, height_below
from fitcheck.fit.placed import Both, Judged, Placed, both_of, parts_of, placed
from fitcheck.fit.tucked import gaps_over, rooms_of, tuck_fits, tuck_of
from fitcheck.fit.turn_fit import RIMS, SIDE, SWING, rim_room
from fitcheck.folding.parts import FoldedPart
from fitcheck.odds.making import Made
from fitcheck.odds.paths import Path, mate_path
from fitcheck.odds.readings import (
    BASE_CALIPER,
    BASE_RISE,
    SEAT,
    SIDES,
    Readings,
    Wanted,
    family_name,
)
from fitcheck.styles.mates import Along, Mate, Tucked, Turned

CLOSING = " as it closes"
Terms = tuple[tuple[float, str], ...]
"""Sign and family of what a length is the sum of."""

GRID_TOP = "height of the dividers"


def mate_label(mate: Mate) -> str:
    """What a mate is called among the lengths that verdicts hang on."""
    if isinstance(mate, Turned):
        return f"the {mate.called}{CLOSING}"
    return f"the {mate.called} in the {mate.holder}"


@dataclass(frozen=True, eq=False)
class MateReader:
    """Reads the travels of one mate's mover."""

    placed: Placed
    path: Path
    covers: bool
    """Whether the holder lies over what is in the mover."""

    @property
    def mate(self) -> Judged:
        """Whose travels are read."""
        return self.placed.mate

    @property
    def moved_by(self) -> frozenset[str]:
        """All its parts."""
        return frozenset([*self.mate.movers, self.mate.holder])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """The travel to both sides along both directions across the way."""
        if not boxes:
            return []
        names = self.path.names(wanted)
        pieces = self.placed.straight.ordered(*self.placed.pieces(self.both(boxes)))
        outer, inner = (own.named(asked) for own, asked in zip(pieces, names, strict=True))
        found = self.path.read_all(outer, inner, len(boxes), within_mm, wanted)
        mate = self.mate
        if self.covers and isinstance(mate, Along):
            for read, made in zip(found, boxes, strict=True):
                read.update(_ceiling(mate, made))
        return found

    def terms(self, way: str) -> Terms:
        """What its play along a direction across its way is the sum of."""
        return tuple((1.0, family_name(mate_label(self.mate), way, side)) for side in SIDES)

    def fits(self, boxes: Sequence[Made], bands: Bands) -> Sequence[AnyFit]:
        """How it goes in each box by the whole model."""
        return fit_placed(self.placed, self.both(boxes), bands)

    def both(self, boxes: Sequence[Made]) -> list[Both]:
        """The movers and the holder of each box."""
        return [both_of(self.mate, made.parts) for made in boxes]


@dataclass(frozen=True, eq=False)
class GridReader:
    """Reads how high what divides a base stands over its floor."""

    placed: Placed

    @property
    def moved_by(self) -> frozenset[str]:
        """The strips and the base."""
        return frozenset([*self.placed.mate.movers, self.placed.mate.holder])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """The height, negative as what it takes up."""
        if not boxes:
            return []
        boths = [both_of(self.placed.mate, made.parts) for made in boxes]
        return [
            {GRID_TOP: {pair: -top for pair, top in tops.items()}}
            for tops in self.placed.tops_over_floor(boths, within_mm)
        ]

    def tops_mm(self, boxes: Sequence[Made]) -> list[float]:
        """How high the strips of each box stand over its base's floor."""
        boths = [both_of(self.placed.mate, made.parts) for made in boxes]
        tops = self.placed.tops_mm(boths)
        return [top - both[-1].caliper_mm for top, both in zip(tops, boths, strict=True)]


@dataclass(frozen=True, eq=False)
class TurnReader:
    """Reads what a lid in one piece with its walls has to spare where it closes."""

    mate: Turned
    covers: bool
    """Whether it lies over what is in the base."""

    @property
    def moved_by(self) -> frozenset[str]:
        """The part that it is a panel of."""
        return frozenset([self.mate.holder])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """The least clearance of each pair over the whole turn, and the room over each rim."""
        if not boxes:
            return []
        swing, rims = self._families
        parts = self._parts(boxes)
        only = None if wanted is None else wanted.get(swing, ())
        found: list[Readings] = []
        for made, part, own in zip(
            boxes, parts, closings(self.mate, parts, within_mm, only), strict=True
        ):
            read: Readings = {
                swing: {one.pieces: one.apart_mm for one in own.clearances},
                rims: {
                    (wall, ""): rim_room(gap) for wall, gap in rim_gaps(self.mate, part).items()
                },
            }
            beside = side_of(self.mate, part)
            if beside is not None:
                ((_, side),) = self.terms(SIDE)
                read[side] = {(side, ""): beside}
            found.append(read | (_ceiling(self.mate, made) if self.covers else {}))
        return found

    def terms(self, way: str) -> Terms:
        """One of its lengths."""
        return ((1.0, f"{mate_label(self.mate)} {way}"),)

    def fits(self, boxes: Sequence[Made], bands: Bands) -> Sequence[AnyFit]:
        """How it closes in each box by the whole model."""
        return turn_fits(self.mate, self._parts(boxes))

    @property
    def _families(self) -> tuple[str, str]:
        ((_, swing),), ((_, rims),) = self.terms(SWING), self.terms(RIMS)
        return swing, rims

    def _parts(self, boxes: Sequence[Made]) -> list[FoldedPart]:
        parts = [made.part(self.mate.holder) for made in boxes]
        return [part for part in parts if part is not None]


@dataclass(frozen=True, eq=False)
class TuckReader(TurnReader):
    """Reads what a lid's flap has to spare when it is tucked in, and how its lid lies."""

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """What is left each way between each two."""
        found: list[Readings] = []
        for made, part in zip(boxes, self._parts(boxes), strict=True):
            gaps = gaps_over(part, tuck_of(part.pattern, self.mate.panel))
            rooms = {**rooms_of(part), RIMS: {spot: rim_room(gap) for spot, gap in gaps.items()}}
            read: Readings = {}
            for way, own in rooms.items():
                ((_, family),) = self.terms(way)
                read[family] = {(one, f"{two} {k}"): mm for (one, two, k), mm in own.items()}
            found.append(read | (_ceiling(self.mate, made) if self.covers else {}))
        return found

    def fits(self, boxes: Sequence[Made], bands: Bands) -> Sequence[AnyFit]:
        """What is left in each box; its way in is as the design's."""
        assert isinstance(self.mate, Tucked), "what is read is tucked in"
        return tuck_fits(self.mate, self._parts(boxes), way_in=False)


def mate_reader(mate: Judged | Turned, assembly: Assembly) -> MateReader | TurnReader:
    """The reader of a mate as designed."""
    covers = mate == cover_of(assembly.design)
    if isinstance(mate, Tucked):
        return TuckReader(mate, covers)
    if isinstance(mate, Turned):
        return TurnReader(mate, covers)
    both = parts_of(mate, assembly)
    own = placed(mate, both)
    path = mate_path(mate_label(mate), own.straight, *own.pieces([both]))
    return MateReader(own, path, covers)


def _ceiling(cover: Cover, made: Made) -> Readings:
    """The families that the height of what closes a box is read from, a lid's seat and all."""
    caliper = made.base.caliper_mm
    return {
        SEAT: {(SEAT, ""): made.base.floor_rise_mm - height_below(cover, made.part) - caliper},
        BASE_RISE: {(BASE_RISE, ""): 0.0},
        BASE_CALIPER: {(BASE_CALIPER, ""): caliper},
    }
