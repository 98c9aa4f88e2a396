"""Whether a part fights itself is read pair by pair, as the check asks it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.fit.selffit import FIGHT_MM, meetings_of
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

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """What each pair may still press before the part fights itself, mm.

        Panels that are apart are as far from fighting as panels that touch.
        """
        family = ease_family(self.part)
        parts = [made.base if self.part == "base" else made.lid for made in boxes]
        distinct = {id(part): part for part in parts if part is not None}
        only = None if wanted is None else frozenset(wanted.get(family, ()))
        met = meetings_of(list(distinct.values()), FIGHT_MM - within_mm, only)
        eases: dict[int, dict[Member, float]] = {
            key: {names: FIGHT_MM - one.depth_mm for names, one in own.items()} | {APART: FIGHT_MM}
            for key, own in zip(distinct, met, strict=True)
        }
        return [{family: eases[id(part)]} for part in parts]
