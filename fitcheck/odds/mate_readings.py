"""How a mate's mover goes with its holder is read pair by pair, as the lid's slide is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.fit.assembly import Assembly
from fitcheck.fit.mates import Both, Judged, Placed, both_of, cover_of, parts_of, placed, room_over
from fitcheck.odds.making import Made
from fitcheck.odds.readings import BASE_CALIPER, BASE_RISE, SEAT, Path, Readings, Wanted, mate_path
from fitcheck.styles.mates import Mate

GRID_TOP = "height of the dividers"


def mate_label(mate: Mate) -> str:
    """What a mate is called among the lengths that verdicts hang on."""
    return f"the {mate.called} in the {mate.holder}"


@dataclass(frozen=True, eq=False)
class MateReader:
    """Reads the travels of one mate's mover."""

    placed: Placed
    path: Path
    covers: bool
    """Whether the holder lies over what is in the mover."""

    @property
    def mate(self) -> Mate:
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
        if self.covers:
            for read, own in zip(found, self.both(boxes), strict=True):
                read.update(_ceiling(own))
        return found

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


def mate_reader(mate: Judged, assembly: Assembly) -> MateReader:
    """The reader of a mate as designed."""
    both = parts_of(mate, assembly)
    own = placed(mate, both)
    path = mate_path(mate_label(mate), own.straight, *own.pieces([both]))
    return MateReader(own, path, mate == cover_of(assembly.design))


def _ceiling(both: Both) -> Readings:
    """The families that the height of what closes a box is read from, a lid's seat and all."""
    caliper = both[0].caliper_mm
    return {
        SEAT: {(SEAT, ""): -room_over(both) - caliper},
        BASE_RISE: {(BASE_RISE, ""): 0.0},
        BASE_CALIPER: {(BASE_CALIPER, ""): caliper},
    }
