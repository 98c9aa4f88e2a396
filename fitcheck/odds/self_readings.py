"""Whether a part fights itself is read pair by pair, as the check asks it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fitcheck.fit.selffit import FIGHT_MM, across_of, deepest_of, stand_alike
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Flags
from fitcheck.odds.making import Made
from fitcheck.odds.readings import Member, Readings, Wanted

APART: Member = ("panels apart", "panels apart")
FLAT = "between its bends"
"""Beside a panel: what stays flat of it; below 0 it cannot be folded."""
SURELY = 4.0
"""Pairs that stay so many standard uncertainties from fighting whatever slides do not fight."""
NARROW_MM = 3.0
"""No error of hands and papers takes up more of a panel."""


OWN_PANELS = "'s own panels"


def ease_family(part: str) -> str:
    """The family of how far each pair of a part's panels is from fighting."""
    return f"{part}{OWN_PANELS}"


def is_ease(family: str) -> bool:
    """Whether a family is of that kind."""
    return family.endswith(OWN_PANELS)


@dataclass(frozen=True, eq=False)
class SelfReader:
    """Reads how far the panels of one part are from standing in each other."""

    part: str
    harmless: frozenset[Member] = frozenset()
    """Pairs that are left out."""

    @property
    def moved_by(self) -> frozenset[str]:
        """The part."""
        return frozenset([self.part])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """What each pair may still press before the part fights itself, mm.

        Panels that are apart are as far from fighting as panels that touch. Where `wanted` has the
        readings of the box as designed, pairs that stand to each other as there are not worked out.
        """
        if not boxes:
            return []
        family = ease_family(self.part)
        parts = [self._of(made) for made in boxes]
        distinct = {id(part): part for part in parts if part is not None}
        wants = None if wanted is None else wanted.get(family, {})
        known: list[Flags | None] = [None] * len(distinct)
        designed = self._designed(boxes)
        if isinstance(wants, Mapping) and designed is not None:
            known = list(stand_alike(list(distinct.values()), designed))
        if isinstance(wants, Mapping):
            wants = {pair: value for pair, value in wants.items() if pair[1] != FLAT}
        met = deepest_of(list(distinct.values()), FIGHT_MM - within_mm, wants, known)
        eases: dict[int, dict[Member, float]] = {}
        for (key, part), own, alike in zip(distinct.items(), met, known, strict=True):
            found = {
                names: FIGHT_MM - depth
                for names, depth in own.items()
                if names not in self.harmless
            }
            if alike is not None and isinstance(wants, Mapping):
                found |= _as_designed(part, wants, alike)
            eases[key] = found | {APART: FIGHT_MM}
        for key, part in distinct.items():
            eases[key] |= {(name, FLAT): part.flat_mm[name] for name in self._narrow(boxes)}
        return [{family: eases[id(part)]} for part in parts]

    def without_harmless(
        self, as_designed: Made, sides: Sequence[Made], within_mm: float
    ) -> SelfReader:
        """The reader without the pairs that cannot fight, whatever slides.

        `sides` are boxes with each input off by its standard uncertainty, to both sides. A pair is
        followed the way that it is least deep, and that alone may grow on; square to it papers lie
        over each other as far as they do.
        """
        designed, parts = self._of(as_designed), {id(own): own for own in map(self._of, sides)}
        off = [own for own in parts.values() if own is not None and own is not designed]
        if designed is None:
            return self
        least = FIGHT_MM - within_mm
        (now,) = across_of([designed], least)
        square = {names: mm for names, (_, mm) in now.items() if mm < FIGHT_MM}
        if not square:
            return self
        by = dict.fromkeys(square, 0.0)
        for own in across_of(off, least, square):
            for names in square.keys() & own.keys():
                # in a box in which it is the least itself, the other one is the way that grows
                deeper = (max(0.0, mm - square[names]) for mm in own[names])
                by[names] += min(deeper) ** 2
        harmless = {
            names for names, mm in square.items() if mm + SURELY * math.sqrt(by[names]) < FIGHT_MM
        }
        return replace(self, harmless=frozenset(harmless))

    def _narrow(self, boxes: Sequence[Made]) -> list[str]:
        """The panels between two creases so near each other that their bends may meet."""
        designed = self._designed(boxes)
        flat = {} if designed is None else designed.flat_mm
        return [name for name, mm in flat.items() if mm < NARROW_MM]

    def _of(self, made: Made) -> FoldedPart | None:
        return made.part(self.part)

    def _designed(self, boxes: Sequence[Made]) -> FoldedPart | None:
        part = boxes[0].assembly.part(self.part)
        return None if part is None else part.folded


def _as_designed(
    part: FoldedPart, wants: Mapping[Member, float], alike: Flags
) -> dict[Member, float]:
    """What is known of the pairs that stand to each other as in the box as designed."""
    names = [panel.name for panel in part.pattern.panels]
    names += [line.name for line in part.pattern.lines]
    place = {name: k for k, name in enumerate(names)}
    return {
        pair: value
        for pair, value in wants.items()
        if pair != APART and alike[place[pair[0]], place[pair[1]]]
    }
