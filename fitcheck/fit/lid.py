"""The lid is turned over, lowered along a straight line, and judged by the play that it keeps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.fit.assembly import Part
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.remembered import MEMORY
from fitcheck.fit.rest import rests_of
from fitcheck.fit.right import enough, rim_room, verdict_of_play
from fitcheck.fit.slide import Slide, slide_all
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.pattern.pattern import Role

TURNED: Array = np.diag([1.0, -1.0, -1.0, 1.0])
"""Turns a lid over about its width."""


@dataclass(frozen=True, eq=False)
class LidFit:
    """How the lid sits on the base."""

    verdict: LidVerdict
    slide: Slide
    seat_mm: float
    """Height of the lid floor's inside face above the table when it is on."""
    overlap_mm: float
    """How far the lid's walls reach down over the base's."""
    reveal_mm: float
    """What shows of the base below the lid's rim; negative when the lid stands on the table."""
    closed_height_mm: float
    rim_mm: float
    """How far the rim is from standing on the table to be noticed; negative where it does."""
    falls_in: bool = False
    """Whether it is so small that its floor finds no rim to lie on, or its own rim none to meet.
    Its heights are told as if it lay there, where hands would hold it; its press is that of walls
    further down."""
    line_mm: float | None = None
    """Over a neck in the base: how far the rims are from meeting as the lid lies on the neck; less
    than 0 where they meet before that by as much. None where no rims are to meet."""
    lands_mm: tuple[float, float] | None = None
    """There: by how much the lid's rim is wider and longer than the room between the base's walls.
    It goes down between them where both are less than 0."""

    @property
    def gap_mm(self) -> float | None:
        """The line that shows between the lid's rim and the base's; None where none meet."""
        return None if self.line_mm is None or self.inside_base else max(0.0, self.line_mm)

    @property
    def inside_base(self) -> bool:
        """Whether its rim goes down inside the base's instead of meeting it."""
        return self.lands_mm is not None and not enough(max(self.lands_mm))


def fit_lid(base: Part, lid: Part, bands: Bands) -> LidFit:
    """Lower the lid over the base along its whole straight path."""
    both = base.folded, lid.folded
    known = MEMORY.of((fit_lid, *both), lambda: fit_lids([both], bands)[0])
    return replace(known, verdict=verdict_for(known.slide, bands))


def fit_lids(boxes: Sequence[tuple[FoldedPart, FoldedPart]], bands: Bands) -> list[LidFit]:
    """The lid's fit in each of many boxes, given as base and lid."""
    if not boxes:
        return []
    bases, lids = pieces_in([base for base, _ in boxes]), [lid for _, lid in boxes]
    rests = _seats(bases, lids)
    # clear of the highest is clear of all
    path = UP * (max(base.height_mm + lid.height_mm for base, lid in boxes) + CLEAR_MM)
    walls = turned_over(lids, np.array(rests), sliding)
    slides = slide_all(Pairs(walls, bases, path), np.zeros((len(boxes), 3)))
    return [
        _lid_fit(base, lid, at, found, bands)
        for (base, lid), at, found in zip(boxes, rests, slides, strict=True)
    ]


def _lid_fit(base: FoldedPart, lid: FoldedPart, rest: float, found: Slide, bands: Bands) -> LidFit:
    inside = falls_in(base, rest)
    seat = base.height_mm if inside else rest
    reach_down = lid.height_mm - lid.caliper_mm
    rise = base.lap_rise_mm
    reveal = seat - reach_down + rise
    return LidFit(
        verdict=verdict_for(found, bands),
        slide=found,
        seat_mm=seat + rise,
        overlap_mm=max(0.0, min(reach_down - rise, base.height_mm) - _above_walls(base)),
        reveal_mm=reveal,
        closed_height_mm=max(seat + rise, reach_down) + lid.caliper_mm,
        rim_mm=float(rim_room(reveal, lid.caliper_mm)),
        falls_in=inside,
    )


def _above_walls(base: FoldedPart) -> float:
    """How much higher than its outer walls a base is, mm: what a tilted frame or rim rises by.

    A lid holds on to the walls; beside a frame that slopes away it holds on to nothing.
    """
    heights = base.reaches(UP)[0].tolist()
    rims = [
        height
        for panel, height in zip(base.pattern.panels, heights, strict=True)
        if panel.role is Role.WALL
    ]
    radius = float(base.among.layout.creases.radius_mm[base.box].max())
    folded_over = base.pattern.roll_joints or any(joint.lined for joint in base.pattern.joints)
    bend = radius + base.caliper_mm if folded_over else 0.0
    return max(0.0, base.height_mm - float(max(rims)) - bend)


def verdict_for(found: Slide, bands: Bands) -> LidVerdict:
    """The band that the smaller play falls in; a lid that is blocked binds."""
    return LidVerdict.BINDS if found.blocked_by else verdict_of_play(found.play_mm, bands)


def lid_pose(lid: FoldedPart, seat_mm: float) -> Array:
    """The pose (4, 4) of a lid turned over about its width, its floor's inside face at a height."""
    pose: Array = translation(np.array([0.0, 0.0, seat_mm + lid.caliper_mm])) @ TURNED
    return pose


def lid_pieces(lid: FoldedPart, seat_mm: float) -> Pieces:
    """The lid's pieces in place on the base."""
    return turned_over([lid], np.array([seat_mm]), lambda pieces, _: pieces)


def turned_over(
    lids: Sequence[FoldedPart], seats_mm: Array, chosen: Callable[[Pieces, str], Pieces]
) -> Pieces:
    """Some pieces of the lid of each box, turned over, its floor's inside face at a height (b,).

    `chosen` is given all pieces and the name of the floor.
    """
    lifts = seats_mm + [lid.caliper_mm for lid in lids]
    return chosen(pieces_in(lids), lids[0].pattern.panels[0].name).moved(TURNED, lifts)


def sliding(pieces: Pieces, root: str) -> Pieces:
    """What of a lid slides past the base: all but the creases round its floor.

    Those only ever come to rest on the rim, at the end of the path, and say how high the lid
    sits: a round crease lifts a tight lid a little, it does not take its play.
    """
    return pieces.kept(lambda _, panels: root not in panels or len(panels) == 1)


def resting(pieces: Pieces, root: str) -> Pieces:
    """What of a lid comes to rest: its floor and the creases round it."""
    return pieces.kept(lambda _, panels: root in panels)


def hanging(pieces: Pieces, root: str) -> Pieces:
    """What of a lid hangs from its floor and the creases round it."""
    return pieces.kept(lambda _, panels: root not in panels)


def sliding_pieces(lid: FoldedPart, seat_mm: float) -> Pieces:
    """What of one lid slides past its base, in place."""
    return turned_over([lid], np.array([seat_mm]), sliding)


def seat_height(base: FoldedPart, lid: FoldedPart) -> float:
    """Height above the table at which the lid comes to rest on the base, laps left out.

    The lid's floor and the creases round it are lowered from above until they meet the first
    piece of the base; in round creases a tight lid comes to rest before its floor does.
    """
    return _seats(base.pieces, [lid])[0]


def falls_in(base: FoldedPart, seat_mm: float) -> bool:
    """Whether a lid that comes to rest at a height does so inside the base and not on its rim."""
    return seat_mm < base.height_mm - base.caliper_mm


def _seats(bases: Pieces, lids: Sequence[FoldedPart]) -> list[float]:
    floors = turned_over(lids, np.zeros(len(lids)), resting)
    rests = rests_of(floors, bases, len(lids), 0.0)
    return [max(found.values(), default=0.0) for found in rests]
