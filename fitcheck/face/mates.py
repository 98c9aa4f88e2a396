"""How two parts go together: which moves, how much play it keeps, and where it comes to stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from fitcheck.face.frozen import Floats, frozen
from fitcheck.fit.check import Check
from fitcheck.fit.hinged import TurnFit
from fitcheck.fit.lid import lid_pose
from fitcheck.fit.mates import MateFit, parts_of, placed
from fitcheck.fit.slide import Slide
from fitcheck.fit.turn import Outcome
from fitcheck.folding.pose import translation
from fitcheck.styles.mates import Along, Over
from fitcheck.styles.mates import Mate as Planned


@dataclass(frozen=True, eq=False)
class Mate:
    """A part that goes over, into or along another."""

    mover: str
    """The part that moves."""
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
    """(4, 4) carries the mover from its own place (see `Part`) to that which it has in the closed
    box, in the middle of its plays, mm; None where no such place is known."""

    @property
    def play_mm(self) -> float:
        """The smaller play."""
        return min(self.plays_mm.values())


def mates_of(check: Check) -> tuple[Mate, ...]:
    """All mates of a checked design, the lid's first."""
    found = []
    lid, part = check.lid, check.assembly.lid
    if lid is not None and part is not None:
        over = next(mate for mate in check.design.mates if isinstance(mate, Over))
        pose = translation(-lid.slide.place_mm) @ lid_pose(part.folded, lid.seat_mm)
        found.append(_mate(over, str(lid.verdict), lid.slide, frozen(pose)))
    for fit in check.mates:
        if isinstance(fit, MateFit):
            found.append(_mate(fit.mate, str(fit.verdict), fit.slide, _closed(check, fit)))
        else:
            found.append(_turn(fit))
    return tuple(found)


def _turn(fit: TurnFit) -> Mate:
    """A lid in one piece with its walls: its plays are what decides whether it closes, mm."""
    stopped = fit.pieces if fit.verdict is Outcome.BLOCKED else None
    plays = MappingProxyType(dict(fit.plays))
    mate = fit.mate
    return Mate(
        mate.mover, mate.holder, str(mate.motion), str(fit.verdict), plays, stopped, pose=None
    )


def _mate(mate: Planned, verdict: str, slide: Slide, pose: Floats | None) -> Mate:
    plays = {str(travel.axis): travel.play_mm for travel in slide.travels}
    return Mate(
        mate.mover,
        mate.holder,
        str(mate.motion),
        verdict,
        MappingProxyType(plays),
        slide.blocked_by,
        pose,
    )


def _closed(check: Check, fit: MateFit) -> Floats | None:
    """Where a drawer stands when it is halfway along its way: as far in as out."""
    if not isinstance(fit.mate, Along):
        return None
    way = placed(fit.mate, parts_of(fit.mate, check.assembly))
    inwards = translation(way.straight.place_of(fit.slide) + 0.5 * way.straight.motion.path)
    return frozen(inwards @ way.pose)
