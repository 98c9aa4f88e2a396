"""A section through the narrowest place, or across a drawer: the two sides, cut where two parts
come nearest.

The parts are drawn centred, so that each side shows half of the play; what the two sides leave
between them is the play that the check reports, because the very pieces that it found are cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.fit.check import Check
from fitcheck.fit.frames import DIRECTIONS, LEVEL
from fitcheck.fit.lid import lid_pieces
from fitcheck.fit.mates import MateFit
from fitcheck.fit.stood import stood_parts
from fitcheck.fit.travel import Stop, Travel
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import translation
from fitcheck.outputs.report.cutting import CutFace, Nearest, cut, nearest
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Along


@dataclass(frozen=True, eq=False)
class Side:
    """One side of the section: where it is cut and what is seen."""

    nearest: Nearest
    outer: tuple[CutFace, ...]
    inner: tuple[CutFace, ...]
    limits: tuple[str, str]
    """The pieces (the outer part's, the inner one's) that end the travel on this side."""

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
    """The pieces (the outer part's, the inner one's) that limit the play."""
    calipers_mm: tuple[float, float]
    """Of the outer part's paper and of what it is nearest to."""
    top_mm: float
    base_mm: float
    """Height of the lowest place that is drawn."""
    over: str = "lid"
    """The outer part."""
    under: str = "base"
    """The part that it is nearest to."""
    less_mm: float | None = None
    """What a drawer has upwards where that is less than across; None at the narrowest place."""

    @property
    def called(self) -> str:
        """What the place is that is cut."""
        return "the narrowest place" if self.less_mm is None else "the drawer, across its way"

    @property
    def way(self) -> str:
        """The word behind the play; nothing at the narrowest place."""
        return "" if self.less_mm is None else " across"


def section_of(check: Check) -> Section | None:
    """The section through the narrowest place of a lid, or across a drawer in its sleeve; None
    without either, or without a limit to its play."""
    return _lid_section(check) if check.lid is not None else _drawer_section(check)


def drawer_of(check: Check) -> tuple[MateFit, Travel] | None:
    """How a drawer goes in its sleeve, and its travel across; None without one that is held."""
    for fit in check.mates:
        if isinstance(fit, MateFit) and isinstance(fit.mate, Along) and not fit.blocked:
            travel = next(one for one in fit.slide.travels if one.axis == LEVEL[0])
            if travel.low is not None and travel.high is not None:
                return fit, travel
    return None


def up_of(fit: MateFit) -> Travel:
    """How far up and down a drawer moves in its sleeve."""
    return fit.slide.travel(LEVEL[1])


def across_axis(fit: MateFit) -> Axis:
    """The floor's axis across the way of a drawer."""
    return Axis.WIDTH if abs(fit.way_mm[1]) > abs(fit.way_mm[0]) else Axis.LENGTH


def _drawer_section(check: Check) -> Section | None:
    found = drawer_of(check)
    if found is None:
        return None
    fit, travel = found
    sleeve, base = check.assembly.part(fit.mate.holder), check.assembly.base
    stop, up_mm = travel.limiting, up_of(fit).play_mm
    assert sleeve is not None and stop is not None
    axis = across_axis(fit)
    outer = [p.moved(translation(-fit.closed_mm)) for p in sleeve.folded.pieces]
    sides = _centred(outer, base.folded.pieces, travel, axis)
    inner = _moved(base.folded.pieces, axis, _offset(sides))
    heights = [piece.vertices[:, 2] for piece in outer]
    return Section(
        axis=axis,
        play_mm=travel.play_mm,
        low=_side(sides[0], travel.low, outer, inner, axis, _offset(sides)),
        high=_side(sides[1], travel.high, outer, inner, axis, _offset(sides)),
        limits=(stop.outer, stop.inner),
        calipers_mm=(sleeve.folded.caliper_mm, base.folded.caliper_mm),
        top_mm=max(float(own.max()) for own in heights),
        base_mm=min(float(own.min()) for own in heights),
        over=fit.mate.holder,
        under=fit.mate.mover,
        less_mm=up_mm if up_mm < travel.play_mm else None,
    )


def _side(
    near: Nearest,
    end: Stop | None,
    outer: Sequence[ConvexPiece],
    inner: Sequence[ConvexPiece],
    axis: Axis,
    offset_mm: float,
) -> Side:
    """One side, cut where it is nearest; the inner part was moved to the middle of its play."""
    assert end is not None
    return Side(
        Nearest(near.at_mm, near.outer_mm, near.inner_mm + offset_mm, near.side),
        cut(outer, axis, near.at_mm),
        cut(inner, axis, near.at_mm),
        (end.outer, end.inner),
    )


def _lid_section(check: Check) -> Section | None:
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
    sides = _centred(flush, pieces, travel, Axis(travel.axis))
    raised = lid_pieces(lid_part.folded, lid.seat_mm)
    axis = Axis(travel.axis)
    inner = _moved(pieces, axis, _offset(sides))
    shown = [
        _side(n, end, raised, inner, axis, _offset(sides))
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
    outer: Sequence[ConvexPiece], inner: Sequence[ConvexPiece], travel: Travel, axis: Axis
) -> tuple[Nearest, Nearest]:
    assert travel.low is not None
    assert travel.high is not None
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
