"""A part in its place in, on or beside another, and the straight way by which it came there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.grids import SUNK_MM, on_floor, poses_of, slots_of, stood_pieces
from fitcheck.fit.motions import Straight
from fitcheck.fit.rest import Rests, rests_of
from fitcheck.fit.slide import Slide
from fitcheck.fit.straight import Mating, StraightMate, straight_mate
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.measure import SIDEWAYS, measure, standing
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Along, Into, Mate, Past

Both = tuple[FoldedPart, ...]
"""The movers and, last, the holder of one box."""
Judged = Along | Into | Past
"""The mates that are judged here."""
SHORT_OF_HOME = 0.1
"""A strip is looked at so much of its height above its place: how deep its slots go says nothing of
its play in them."""

STIRRED_MM = 1e-3
"""What lies in its place is looked at over so much of its way up."""


@dataclass(frozen=True, eq=False)
class Placed:
    """A straight mate with its mover in place."""

    mate: Judged
    straight: StraightMate
    pose: Array
    """(4, 4) carries the mover from where it stands to where its way ends in the holder's, less
    what it rests on."""
    closed_mm: Array
    """(3,) the same to where it is in, halfway up; nothing where it rests."""

    def pieces(self, boxes: Sequence[Both]) -> tuple[Pieces, Pieces]:
        """The pieces of all movers, where their ways end, and of all that they go past."""
        return self.movers(boxes), past(self.mate, [both[-1] for both in boxes])

    def movers(self, boxes: Sequence[Both], *, open_: bool = False) -> Pieces:
        """The pieces of all movers, where their ways end; `open_` leaves what is cut out open."""
        match self.mate:
            case Along():
                return pieces_in([both[0].filled for both in boxes]).moved(self.pose)
            case Past():
                return _strip([both[0] for both in boxes]).moved(self.pose)
            case Into():
                own = stood_pieces(_by_kind(boxes), open_=open_)
                return own.moved(np.eye(4), _lifts(own, [both[-1] for both in boxes]))

    def poses_in(self, both: Both) -> list[tuple[FoldedPart, Array]]:
        """What stands in one box's holder, as often as it does, each with its pose (4, 4) there."""
        movers, lift = both[:-1], float(self._lifted([both])[0])
        found = []
        for own in movers:
            sunk = 0.0 if own.pattern.row is None else SUNK_MM
            up = translation(UP * (lift - sunk))
            found += [(own, up @ pose) for pose in poses_of(own, movers)]
        return found

    def closed(self, slides: Sequence[Slide], boxes: Sequence[Both]) -> list[tuple[Array, Array]]:
        """The pose (4, 4) of each box's mover when it is in, and by which way (3,) mm it leaves."""
        path = self.straight.motion.path
        match self.mate:
            case Along():
                lies = [self.closed_mm + self.straight.lowest(found, "up") for found in slides]
                return [(translation(own), 0.5 * path) for own in lies]
            case Past():
                return [(np.eye(4), path) for _ in boxes]
            case Into():
                ups = [translation(UP * lift) for lift in self._lifted(boxes).tolist()]
                if boxes[0][0].pattern.row is not None:
                    return [(up, path) for up in ups]
                both = zip(ups, boxes, strict=True)
                return [(up @ standing(movers[0]), path) for up, movers in both]

    def _lifted(self, boxes: Sequence[Both]) -> Array:
        """How far the floor of each box's holder lifts what stands on it, (b,) mm."""
        own = stood_pieces(_by_kind(boxes))
        return _lifts(own, [both[-1] for both in boxes])

    def slides(self, boxes: Sequence[Both]) -> list[Slide]:
        """The whole way of each box's mover."""
        return self.straight.slides(*self.pieces(boxes))

    def lying(self, slides: Sequence[Slide], boxes: Sequence[Both]) -> list[Slide] | None:
        """The same where each box's mover lies, once it is in; None of what does not come to lie.

        Walls that slant leave it another play there than on its way.
        """
        if not isinstance(self.mate, Into):
            return None
        there = replace(self.straight, motion=Straight(UP, STIRRED_MM))
        starts = np.array([self.straight.place_of(one) for one in slides])
        return there.slides(*self.pieces(boxes), starts)

    def tops_mm(self, boxes: Sequence[Both]) -> list[float]:
        """How high each mover reaches above the table where its way ends."""
        found: list[float] = tops_of(self.movers(boxes), len(boxes)).tolist()
        return found

    def tops_over_floor(self, boxes: Sequence[Both], within_mm: float) -> list[Rests]:
        """How high each box's mover reaches over its holder's floor, by what decides it, mm.

        The greatest of each box counts: of strips each way's own height, else the height at which
        the mover rests on one pair of pieces; pairs that come `within_mm` of the first. What no
        piece of the holder lifts stands as it is.
        """
        if boxes[0][0].pattern.row is not None:
            return [{(own.name, ""): measure(own).height_mm for own in both[:-1]} for both in boxes]
        own = stood_pieces(_by_kind(boxes))
        holders = [both[-1] for both in boxes]
        tops = tops_of(own, len(boxes))
        as_it_is = {(self.mate.mover, self.mate.holder): 0.0}
        return [
            {pair: top + lift - holder.caliper_mm for pair, lift in (rests or as_it_is).items()}
            for top, holder, rests in zip(
                tops.tolist(), holders, _rests(own, holders, within_mm), strict=True
            )
        ]

    def stands_out(self, boxes: Sequence[Both]) -> list[float]:
        """How much longer each mover is than its holder, or how far it stands above it, mm."""
        match self.mate:
            case Along():
                way = self.straight.motion.unit
                return [extent_along(own[0], way) - extent_along(own[-1], way) for own in boxes]
            case Past():
                return [measure(own[0]).height_mm - measure(own[-1]).height_mm for own in boxes]
            case Into():
                heights = [both[-1].height_mm for both in boxes]
                tops = self.tops_mm(boxes)
                return [top - height for top, height in zip(tops, heights, strict=True)]


def _by_kind(boxes: Sequence[Both]) -> list[tuple[FoldedPart, ...]]:
    """The movers of all boxes, kind by kind."""
    return list(zip(*(both[:-1] for both in boxes), strict=True))


def parts_of(mate: Mate, assembly: Assembly) -> Both:
    """A mate's movers and holder as designed."""
    return both_of(mate, [part.folded for part in assembly.parts])


def both_of(mate: Mate, parts: Sequence[FoldedPart]) -> Both:
    """A mate's movers and holder among the parts of a box."""
    named = {part.name: part for part in parts}
    return tuple(named[name] for name in (*mate.movers, mate.holder))


def straight_mates(design: Design) -> tuple[Judged, ...]:
    """The mates of a design that are judged here."""
    return tuple(mate for mate in design.mates if isinstance(mate, Along | Into | Past))


def placed(mate: Judged, both: Both) -> Placed:
    """A mate's mover in place as designed, and its way."""
    match mate:
        case Along():
            return _drawn_along(mate, both)
        case Into():
            return _lowered_into(mate, both)
        case Past():
            return _lowered_past(mate, both)


def _drawn_along(mate: Along, both: Both) -> Placed:
    """A drawer halfway up its holder, on its way from beyond one end of it to beyond the other.

    How far it stands out of an end when it is closed is a matter of tenths of a millimetre, so all
    of it has to go all the way through.
    """
    mover, holder = both
    way = direction_of(mate.axis)
    length = extent_along(mover, way) + extent_along(holder, way) + CLEAR_MM
    lift = 0.5 * (holder.height_mm - mover.height_mm)
    pose = translation(UP * lift - way * length)
    motion = Straight(way, 2.0 * length)
    straight = straight_mate(
        motion, mover.filled.pieces.moved(pose), holder.filled.pieces, Mating.INTO, near_mm=0.0
    )
    return Placed(mate, straight, pose, UP * lift)


def _lowered_into(mate: Into, both: Both) -> Placed:
    """What stands in its holder, as it stands, on its way up and out past the holder's walls.

    It has walls or ends on all sides, so that sides say all there is to say, as they do of a lid.
    """
    *movers, holder = both
    own = stood_pieces([[mover] for mover in movers])
    height = float(own.bounds[1][:, 2].max())
    motion = Straight(UP, holder.height_mm + height + CLEAR_MM)
    straight = straight_mate(motion, own, past(mate, [holder]), Mating.INTO, near_mm=0.0)
    return Placed(mate, straight, np.eye(4), np.zeros(3))


def _lowered_past(mate: Past, both: Both) -> Placed:
    """One strip's slot over another's, nearly home, on its way up and out.

    Strips of one way are alike, and so is every crossing.
    """
    mover, holder = both
    height = measure(mover).height_mm
    pose = translation(UP * SHORT_OF_HOME * height)
    motion = Straight(UP, height + measure(holder).height_mm + CLEAR_MM)
    own = _strip([mover]).moved(pose)
    straight = straight_mate(motion, own, _strip([holder]), Mating.PAST)
    return Placed(mate, straight, pose, np.zeros(3))


def _strip(parts: Sequence[FoldedPart]) -> Pieces:
    """One strip of each box with its first slot over the origin."""
    stood = on_floor(pieces_in(parts).moved(standing(parts[0])))
    row = parts[0].pattern.row
    assert row is not None, "strips stand in rows"
    along = direction_of(row.runs)
    first = np.array([slots_of(part)[0] for part in parts])
    return stood.shifted(-first[:, None] * along)


def past(mate: Judged, holders: Sequence[FoldedPart]) -> Pieces:
    """The pieces of each box's holder that a mover goes past.

    What it comes to rest on only ends its way, as under a lid: the floor and the creases round it.
    """
    if isinstance(mate, Past):
        return _strip(holders)
    if isinstance(mate, Along):
        return pieces_in([holder.filled for holder in holders])
    pieces, root = pieces_in([own.filled for own in holders]), holders[0].pattern.panels[0].name
    return pieces.kept(lambda _, panels: root not in panels)


def _lifts(movers: Pieces, holders: Sequence[FoldedPart]) -> Array:
    """How far each box's mover (b,) is lifted from the table by the floor that it rests on, mm.

    A round crease beside the floor lifts what stands tight by some hundredths more, if anything.
    """
    rests = _rests(movers, holders, 0.0)
    return np.array([max(found.values(), default=0.0) for found in rests])


def _rests(movers: Pieces, holders: Sequence[FoldedPart], within_mm: float) -> list[Rests]:
    """How far each pair of a mover's pieces and its holder's floor lifts it, mm."""
    pieces, root = pieces_in([own.filled for own in holders]), holders[0].pattern.panels[0].name
    return rests_of(movers, pieces.named({root}), len(holders), within_mm)


def direction_of(axis: Axis) -> Array:
    """The direction of an axis of the floor, (3,)."""
    return SIDEWAYS[0] if axis is Axis.WIDTH else SIDEWAYS[1]


def extent_along(part: FoldedPart, direction: Array) -> float:
    """How long a part is from end to end along a unit direction (3,), mm."""
    ways = (direction, -direction)
    return sum(max(float(own.max()) for own in part.reaches(way)) for way in ways)


def tops_of(pieces: Pieces, boxes: int) -> Array:
    """How high the pieces of each box reach, (b,) mm; minus infinity where it has none."""
    tops = np.full(boxes, -np.inf)
    np.maximum.at(tops, pieces.boxes, pieces.bounds[1][:, 2])
    return tops
