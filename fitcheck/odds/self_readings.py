"""Whether a part fights itself is read pair by pair, as the check asks it."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.fit.selffit import FIGHT_MM, meetings
from fitcheck.odds.making import Made
from fitcheck.odds.readings import Member, Readings, Wanted

APART: Member = ("panels apart", "panels apart")


def ease_family(part: str) -> str:
    """The family of how far each pair of a part's panels is from fighting."""
    return f"{part}'s own panels"


@dataclass(frozen=True, eq=False)
class SelfReader:
    """Reads how far the panels of one part are from standing in each other."""

    part: str

    @property
    def moved_by(self) -> frozenset[str]:
        """The part."""
        return frozenset([self.part])

    def read(self, made: Made, within_mm: float, wanted: Wanted | None) -> Readings:
        """What each pair may still press before the part fights itself, mm.

        Panels that are apart are as far from fighting as panels that touch.
        """
        family = ease_family(self.part)
        folded = made.base if self.part == "base" else made.lid
        assert folded is not None, "a lid is read where there is one"
        only = None if wanted is None else frozenset(wanted.get(family, ()))
        found: dict[Member, float] = {
            names: FIGHT_MM - met.depth_mm
            for names, met in meetings(folded, FIGHT_MM - within_mm, only).items()
        }
        return {family: found | {APART: FIGHT_MM}}
