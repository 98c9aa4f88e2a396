"""A section through the narrowest place: the two sides, cut where lid and base come nearest.

The parts are drawn centred, so that each side shows half of the play; what the two sides leave
between them is the play that the check reports, because the very pieces that it found are cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.fit.check import Check
from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.lid import lid_pieces
from fitcheck.fit.stood import stood_parts
from fitcheck.fit.travel import Travel
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import translation
from fitcheck.outputs.report.cutting import CutFace, Nearest, cut, nearest
from fitcheck.pattern.sheet import Axis


@dataclass(frozen=True, eq=False)
class Side:
    """One side of the section: where it is cut and what is seen."""

    nearest: Nearest
    outer: tuple[CutFace, ...]
    inner: tuple[CutFace, ...]
    limits: tuple[str, str]
    """The pieces (lid's, base's) that end the travel on this side."""

    @property
    def sign(self) -> int:
        """-1 for the low side, 1 for the high side."""
        return self.nearest.side


@dataclass(frozen=True, eq=False)
class Section:
    """All that the section shows, in millimetres of the box."""

    axis: Axis
    play_mm: float
    low: Side
    high: Side
    limits: tuple[str, str]
    """The pieces (lid's, base's) that limit the play."""
    calipers_mm: tuple[float, float]
    """Of the lid's paper and of what it is nearest to."""
    top_mm: float
    base_mm: float
    """Height of the lowest place that is drawn."""
    under: str = "base"
    """The part that the lid is nearest to."""


def section_of(check: Check) -> Section | None:
    """The section through the lid's narrowest place; None without a lid or a limit to its play."""
    lid, lid_part, base = check.lid, check.assembly.lid, check.assembly.base
    if lid is None or lid_part is None:
        return None
    travel = lid.slide.tighter
    stop = travel.limiting
    if travel.low is None or travel.high is None or stop is None:
        return None
    rise = base.sizes.corner_rise_mm
    flush = lid_pieces(lid_part.folded, lid.seat_mm - rise)
    under, pieces = base.folded, base.folded.pieces
    for part, pose in stood_parts(check.assembly):
        pieces = pieces.beside(part.pieces.moved(pose))
        under = part if part.name == check.below_lid(stop.inner) else under
    sides = _centred(flush, pieces, travel)
    raised = lid_pieces(lid_part.folded, lid.seat_mm)
    axis = Axis(travel.axis)
    inner = _moved(pieces, axis, _offset(sides))
    shown = [
        Side(
            Nearest(n.at_mm, n.outer_mm, n.inner_mm + _offset(sides), n.side),
            cut(raised, axis, n.at_mm),
            cut(inner, axis, n.at_mm),
            (end.outer, end.inner),
        )
        for n, end in zip(sides, (travel.low, travel.high), strict=True)
    ]
    return Section(
        axis=axis,
        play_mm=travel.play_mm,
        low=shown[0],
        high=shown[1],
        limits=(stop.outer, stop.inner),
        calipers_mm=(lid_part.folded.caliper_mm, under.caliper_mm),
        top_mm=lid.closed_height_mm,
        base_mm=0.0,
        under=under.name,
    )


def _centred(
    outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], travel: Travel
) -> tuple[Nearest, Nearest]:
    assert travel.low is not None
    assert travel.high is not None
    axis = Axis(travel.axis)
    return (
        nearest(outer, inner, axis, travel.low, -1),
        nearest(outer, inner, axis, travel.high, 1),
    )


def _offset(sides: tuple[Nearest, Nearest]) -> float:
    """How far the base has to move to stand in the middle of its play."""
    return 0.5 * (sides[1].gap_mm - sides[0].gap_mm)


def _moved(pieces: Sequence[ConvexPiece], axis: Axis, by_mm: float) -> list[ConvexPiece]:
    pose = translation(DIRECTIONS[axis] * by_mm)
    return [piece.moved(pose) for piece in pieces]
