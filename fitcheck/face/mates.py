"""How two parts go together: which moves, how much play it keeps, and where it comes to stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fitcheck.design.model import LidVerdict
from fitcheck.face.frozen import Floats, frozen
from fitcheck.fit.check import Check
from fitcheck.fit.lid import lid_pose
from fitcheck.fit.slide import Slide
from fitcheck.fit.turn_fit import Outcome, TurnFit
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.frozen_map import FrozenMap
from fitcheck.styles.mates import Mate as Planned
from fitcheck.styles.mates import Over


@dataclass(frozen=True, eq=False)
class Mate:
    """A part that goes over, into or along another."""

    mover: str
    """The part that moves, or the table of the strips that move together."""
    holder: str
    motion: str
    """straight or turn."""
    verdict: str
    """binds, tight, snug, slides or loose, by the smaller play; of a turn free, blocked or
    undecided."""
    plays_mm: Mapping[str, float]
    """Free sideways travel by direction, both sides together, mm; negative where it presses,
    infinite where nothing stands in the way."""
    blocked_by: tuple[str, str] | None
    """A pair of pieces that no sideways move frees; None where the way is open."""
    pose: Floats | None
    """(4, 4) carries the mover from its own place (see `Part`) to that in the closed box, as the
    holder stands, mm: a lid on its seat, a drawer on the floor of its sleeve; sideways in the
    middle of its play; None of a turn, whose part is handed out closed, and of strips, each of
    which stands several times."""
    way_mm: Floats | None
    """(3,) by which it leaves from there, until it is clear; None of a turn."""

    @property
    def play_mm(self) -> float:
        """The smaller play."""
        return min(self.plays_mm.values())

    def __repr__(self) -> str:
        plays = ", ".join(f"{axis!r}: {play:.3f}" for axis, play in self.plays_mm.items())
        return (
            f"Mate({self.mover!r}, {self.holder!r}, verdict={self.verdict!r}, plays_mm={{{plays}}})"
        )


def mates_of(check: Check) -> tuple[Mate, ...]:
    """All mates of a checked design, the lid's first."""
    found = []
    lid, part = check.lid, check.assembly.lid
    if lid is not None and part is not None:
        over = next(mate for mate in check.design.mates if isinstance(mate, Over))
        pose = translation(-lid.slide.place_mm) @ lid_pose(part.folded, lid.seat_mm)
        way = UP * (check.assembly.base.folded.height_mm + part.folded.height_mm + CLEAR_MM)
        found.append(_mate(over, lid.verdict, lid.slide, pose, way))
    for fit in check.mates:
        if isinstance(fit, TurnFit):
            found.append(_turn(fit))
        else:
            mover = check.assembly.part(fit.mate.mover)
            alone = mover is not None and mover.pattern.row is None
            place = fit.closed_pose if alone else None
            found.append(_mate(fit.mate, fit.verdict, fit.slide, place, fit.way_mm))
    return tuple(found)


def _turn(fit: TurnFit) -> Mate:
    """A lid in one piece with its walls: its plays are what decides whether it closes, mm."""
    mate, plays = fit.mate, FrozenMap(dict(fit.plays))
    stopped = fit.pieces if fit.verdict is Outcome.BLOCKED else None
    return Mate(
        mate.mover, mate.holder, str(mate.motion), str(fit.verdict), plays, stopped, None, None
    )


def _mate(mate: Planned, verdict: LidVerdict, slide: Slide, pose: Array | None, way: Array) -> Mate:
    plays = {str(travel.axis): travel.play_mm for travel in slide.travels}
    return Mate(
        mate.mover,
        mate.holder,
        str(mate.motion),
        str(verdict),
        FrozenMap(plays),
        slide.blocked_by,
        None if pose is None else frozen(pose),
        frozen(way),
    )
