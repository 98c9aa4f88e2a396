"""Parts that move into or along each other: what play each has on the whole of its way.

The lid is a mate too, but sits turned over on a rim and is judged by more than its play (`lid`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Bands, Design, LidVerdict
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.motions import Straight
from fitcheck.fit.rest import rests_of
from fitcheck.fit.right import verdict_of_play
from fitcheck.fit.slide import Slide
from fitcheck.fit.straight import Mating, StraightMate, straight_mate
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.measure import SIDEWAYS, measure, standing
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Along, Into, Mate

Both = tuple[FoldedPart, FoldedPart]
"""The mover and the holder of one box."""
Judged = Along | Into
"""The mates that are judged here."""


@dataclass(frozen=True, eq=False)
class MateFit:
    """How a mover goes with its holder."""

    mate: Judged
    verdict: LidVerdict
    """By the smaller of its two plays."""
    slide: Slide
    stands_out_mm: float
    """How much longer the mover is than its holder along the way; negative where it is shorter. Of
    one that rests on the holder's floor: how far it stands above the holder's rim."""


@dataclass(frozen=True, eq=False)
class Placed:
    """A straight mate with its mover in place."""

    mate: Judged
    straight: StraightMate
    pose: Array
    """(4, 4) carries the mover's own place to where its way ends in the holder's, less what it
    rests on."""

    def pieces(self, boxes: Sequence[Both]) -> tuple[Pieces, Pieces]:
        """The pieces of all movers, where their ways end, and of all that they go past."""
        return self.movers(boxes), past(self.mate, [holder for _, holder in boxes])

    def movers(self, boxes: Sequence[Both]) -> Pieces:
        """The pieces of all movers, where their ways end."""
        own = pieces_in([mover.filled for mover, _ in boxes]).moved(self.pose)
        if isinstance(self.mate, Along):
            return own
        return own.moved(np.eye(4), _lifts(own, [holder for _, holder in boxes]))

    def pose_in(self, both: Both) -> Array:
        """The pose (4, 4) of one box's mover where its way ends."""
        if isinstance(self.mate, Along):
            return self.pose
        own = pieces_in([both[0].filled]).moved(self.pose)
        found: Array = translation(UP * float(_lifts(own, [both[1]])[0])) @ self.pose
        return found

    def slides(self, boxes: Sequence[Both]) -> list[Slide]:
        """The whole way of each box's mover."""
        return self.straight.slides(*self.pieces(boxes))

    def stands_out(self, boxes: Sequence[Both]) -> list[float]:
        """How much longer each mover is than its holder, or how far it stands above it, mm."""
        if isinstance(self.mate, Along):
            way = self.straight.motion.unit
            return [extent_along(mover, way) - extent_along(holder, way) for mover, holder in boxes]
        pieces = self.movers(boxes)
        tops = np.full(len(boxes), -np.inf)
        np.maximum.at(tops, pieces.boxes, pieces.bounds[1][:, 2])
        heights = [holder.height_mm for _, holder in boxes]
        return [top - height for top, height in zip(tops.tolist(), heights, strict=True)]


def parts_of(mate: Mate, assembly: Assembly) -> Both:
    """A mate's mover and holder as designed."""
    mover, holder = assembly.part(mate.mover), assembly.part(mate.holder)
    assert mover is not None and holder is not None, "a mate's parts are in the design"
    return mover.folded, holder.folded


def straight_mates(design: Design) -> tuple[Judged, ...]:
    """The mates of a design that are judged here."""
    return tuple(mate for mate in design.mates if isinstance(mate, Along | Into))


def placed(mate: Judged, both: Both) -> Placed:
    """A mate's mover in place as designed, and its way."""
    match mate:
        case Along():
            return _drawn_along(mate, both)
        case Into():
            return _lowered_into(mate, both)


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
        motion, mover.filled.pieces.moved(pose), holder.filled.pieces, Mating.INTO
    )
    return Placed(mate, straight, pose)


def _lowered_into(mate: Into, both: Both) -> Placed:
    """What stands in its holder, as it stands, on its way up and out past the holder's walls.

    It has walls on all sides, so that sides say all there is to say, as they do of a lid.
    """
    mover, holder = both
    pose = standing(mover)
    own = mover.pieces.moved(pose)
    height = float(own.bounds[1][:, 2].max())
    motion = Straight(UP, holder.height_mm + height + CLEAR_MM)
    straight = straight_mate(motion, own, past(mate, [holder]), Mating.INTO, near_mm=0.0)
    return Placed(mate, straight, pose)


def past(mate: Judged, holders: Sequence[FoldedPart]) -> Pieces:
    """The pieces of each box's holder that a mover goes past.

    What it comes to rest on only ends its way, as under a lid: the floor and the creases round it.
    """
    pieces, root = pieces_in([own.filled for own in holders]), holders[0].pattern.panels[0].name
    if isinstance(mate, Along):
        return pieces
    return pieces.kept(lambda _, panels: root not in panels)


def _lifts(movers: Pieces, holders: Sequence[FoldedPart]) -> Array:
    """How far each box's mover (b,) is lifted from the table by the floor that it rests on, mm.

    A round crease beside the floor lifts what stands tight by some hundredths more, if anything.
    """
    pieces, root = pieces_in([own.filled for own in holders]), holders[0].pattern.panels[0].name
    floors = pieces.named({root})
    rests = rests_of(movers, floors, len(holders), 0.0)
    return np.array([max(found.values(), default=0.0) for found in rests])


def direction_of(axis: Axis) -> Array:
    """The direction of an axis of the floor, (3,)."""
    return SIDEWAYS[0] if axis is Axis.WIDTH else SIDEWAYS[1]


def extent_along(part: FoldedPart, direction: Array) -> float:
    """How long a part is from end to end along a unit direction (3,), mm."""
    ways = (direction, -direction)
    return sum(max(float(own.max()) for own in part.reaches(way)) for way in ways)


def cover_of(design: Design) -> Along | None:
    """The mate whose holder lies over what is in the base; None where nothing slides over it."""
    own = (mate for mate in design.mates if isinstance(mate, Along))
    return next((mate for mate in own if mate.mover == design.base.name), None)


def room_over(both: Both) -> float:
    """How high a holder is inside over the floor of a mover that lies in it, mm."""
    mover, holder = both
    return measure(holder).depth_mm - mover.caliper_mm


def fit_mates(assembly: Assembly, bands: Bands) -> tuple[MateFit, ...]:
    """How the parts of a design go together, the lid left out."""
    found = []
    for mate in straight_mates(assembly.design):
        both = parts_of(mate, assembly)
        found += fit_placed(placed(mate, both), [both], bands)
    return tuple(found)


def fit_placed(mate: Placed, boxes: Sequence[Both], bands: Bands) -> list[MateFit]:
    """The fit of one mate in each of many boxes."""
    return [
        MateFit(
            mate.mate,
            LidVerdict.BINDS if found.blocked_by else verdict_of_play(found.play_mm, bands),
            found,
            out,
        )
        for found, out in zip(mate.slides(boxes), mate.stands_out(boxes), strict=True)
    ]
