"""The lid is turned over, lowered along a straight line, and judged by the play that it keeps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.fit.assembly import Part
from fitcheck.fit.rest import rest_heights
from fitcheck.fit.right import rim_room, verdict_of_play
from fitcheck.fit.slide import Slide, slide
from fitcheck.fit.way_in import CLEAR_MM, UP
from fitcheck.folding.fold import FoldedPart
from fitcheck.folding.pieces import ConvexPiece, moved
from fitcheck.folding.pose import Array, translation
from fitcheck.pattern.pattern import Role


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


def fit_lid(base: Part, lid: Part, bands: Bands) -> LidFit:
    """Lower the lid over the base along its whole straight path."""
    seat = seat_height(base.folded, lid.folded)
    on = sliding_pieces(lid.folded, seat)
    lift = base.sizes.height_mm + lid.sizes.height_mm + CLEAR_MM
    found = slide(on, base.folded.pieces, UP * lift, np.zeros(3))
    reach_down = lid.sizes.height_mm - lid.folded.caliper_mm
    rise = base.sizes.corner_rise_mm
    reveal = seat - reach_down + rise
    return LidFit(
        verdict=verdict_for(found, bands),
        slide=found,
        seat_mm=seat + rise,
        overlap_mm=max(0.0, min(reach_down - rise, base.sizes.height_mm) - _above_walls(base)),
        reveal_mm=reveal,
        closed_height_mm=max(seat + rise, reach_down) + lid.folded.caliper_mm,
        rim_mm=float(rim_room(reveal, lid.folded.caliper_mm)),
    )


def _above_walls(base: Part) -> float:
    """How much higher than its outer walls a base is, mm: what a tilted frame rises by.

    A lid holds on to the walls; beside a frame that slopes away it holds on to nothing.
    """
    folded = base.folded
    rims = [
        plate.support(UP)
        for plate in folded.plates
        if folded.pattern.panel(plate.name).role is Role.WALL
    ]
    bend = folded.crease.radius_mm + folded.caliper_mm if folded.pattern.roll_joints else 0.0
    return max(0.0, base.sizes.height_mm - max(rims) - bend)


def verdict_for(found: Slide, bands: Bands) -> LidVerdict:
    """The band that the smaller play falls in; a lid that is blocked binds."""
    return LidVerdict.BINDS if found.blocked_by else verdict_of_play(found.play_mm, bands)


def lid_pose(lid: FoldedPart, seat_mm: float) -> Array:
    """The pose (4, 4) of a lid turned over about its width, its floor's inside face at a height."""
    turned = np.diag([1.0, -1.0, -1.0, 1.0])
    pose: Array = translation(np.array([0.0, 0.0, seat_mm + lid.caliper_mm])) @ turned
    return pose


def lid_pieces(lid: FoldedPart, seat_mm: float) -> tuple[ConvexPiece, ...]:
    """The lid's pieces in place on the base."""
    return tuple(moved(lid.pieces, lid_pose(lid, seat_mm)))


def sliding_pieces(lid: FoldedPart, seat_mm: float) -> tuple[ConvexPiece, ...]:
    """What of a lid slides past the base: all but the creases round its floor.

    Those only ever come to rest on the rim, at the end of the path, and say how high the lid
    sits: a round crease lifts a tight lid a little, it does not take its play.
    """
    root = lid.pattern.panels[0].name
    pieces = [p for p in lid.pieces if root not in p.panels or len(p.panels) == 1]
    return tuple(moved(pieces, lid_pose(lid, seat_mm)))


def seat_height(base: FoldedPart, lid: FoldedPart) -> float:
    """Height above the table at which the lid comes to rest on the base, laps left out.

    The lid's floor and the creases round it are lowered from above until they meet the first
    piece of the base; in round creases a tight lid comes to rest before its floor does.
    """
    root = lid.pattern.panels[0].name
    pose = lid_pose(lid, 0.0)
    above = moved([p for p in lid.pieces if root in p.panels], pose)
    return max(rest_heights(above, base.pieces, 0.0).values(), default=0.0)
