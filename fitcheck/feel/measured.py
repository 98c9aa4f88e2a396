"""What a checked lid and its base are to the air and to each other: gap, walls and weights."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.feel.gap import Gap, Way, clipped
from fitcheck.feel.profile import Stations, furthest_in, furthest_out
from fitcheck.feel.shell import Shell, shell_of
from fitcheck.feel.weights import contents_g, part_g
from fitcheck.fit.check import Check
from fitcheck.fit.lid import LidFit, lid_pieces
from fitcheck.fit.placed import parts_of

START_MM, START_SHARE = 2.0, 0.25
"""A lid is let go once it has come over its base by so much, of a short way by that share of it."""
LEAST_OVERLAP_MM = 0.1
FINE = (12, 16)
"""Stations on each side and steps on the way, for one box: within 3 per cent of many more in the
middle of its play, 12 in a corner, 15 where a tall lid's walls touch. The steps are a multiple of
four."""


@dataclass(frozen=True, eq=False)
class Measured:
    """All that decides how one lid feels, but for how paper gives."""

    gap: Gap
    """As the lid stands in the middle of its plays."""
    plays_mm: tuple[float, float]
    """Across the width and the length."""
    base: Shell
    lid: Shell
    plan_mm2: float
    """Under the lid, to the middle of the gap."""
    overlap_mm: float
    lid_g: float
    rest_g: float
    """Of all else that is lifted by the lid, but for contents."""
    contents_g: float | None
    """None where nobody says."""


def measured(check: Check, size: tuple[int, int] = FINE) -> Measured | None:
    """How a checked box's lid and base stand to each other, by so many stations and steps.

    None without a lid, where it cannot go on at all, or where it does not come over its base all
    round.
    """
    lid, fit = check.assembly.lid, check.lid
    if lid is None or fit is None or fit.slide.blocked_by or fit.falls_in:
        return None
    if fit.overlap_mm < LEAST_OVERLAP_MM:
        return None
    base = check.assembly.base
    stations, steps = size
    way = Way(min(START_MM, START_SHARE * fit.overlap_mm), fit.overlap_mm, steps)
    found = _gap(check, fit, way, stations)
    if found is None:
        return None
    (wide, long), gap = found
    round_ = 2.0 * (wide + long)
    others = [part for part in check.assembly.parts if part is not lid]
    return Measured(
        gap=gap,
        plays_mm=(fit.slide.travels[0].play_mm, fit.slide.travels[1].play_mm),
        base=shell_of(base, round_ * base.folded.height_mm, backed=check.neck is not None),
        lid=shell_of(lid, wide * long + round_ * lid.folded.height_mm, turned=True),
        plan_mm2=wide * long,
        overlap_mm=fit.overlap_mm,
        lid_g=part_g(lid, check.design),
        rest_g=sum(part_g(part, check.design) for part in others),
        contents_g=contents_g(check),
    )


def _gap(
    check: Check, fit: LidFit, way: Way, stations: int
) -> tuple[tuple[float, float], Gap] | None:
    """The plan to the middle of the gap, and the gap itself; None where a side faces nothing."""
    lid, base = check.assembly.lid, check.assembly.base
    assert lid is not None, "a lid is on"
    pieces, seat = base.folded.pieces, fit.seat_mm
    if check.neck is not None:
        neck = check.neck.movers([parts_of(check.neck.mate, check.assembly)])
        # a lid whose rim meets the base's goes over the neck alone
        pieces = pieces.beside(neck) if fit.line_mm is None else neck
    rim = seat + lid.folded.caliper_mm - lid.folded.height_mm
    top = rim + fit.overlap_mm
    radius = base.folded.crease.radius_mm + base.folded.caliper_mm
    place, depths = fit.slide.place_mm[:2], top - way.base_depths_mm
    sides = furthest_out(pieces, Stations.over((0.0, 0.0), 1), depths, -place).max(axis=(1, 2))
    if not np.isfinite(sides).all():
        return None
    outer = float(sides[0] + sides[1]), float(sides[2] + sides[3])
    spots = Stations.over((outer[0] - 2.0 * radius, outer[1] - 2.0 * radius), stations)
    out = furthest_out(pieces, spots, depths, -place)
    inn = furthest_in(lid_pieces(lid.folded, seat), spots, rim + way.lid_heights_mm, np.zeros(2))
    gap = Gap(way, out, inn, np.array(spots.spacing), radius)
    room = clipped(gap.rigid_mm[-1]).mean(axis=(1, 2))
    wide, long = (outer[axis] + 0.5 * float(room[2 * axis : 2 * axis + 2].sum()) for axis in (0, 1))
    return (wide, long), gap
