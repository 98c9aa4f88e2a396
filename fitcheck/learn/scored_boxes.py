"""Boxes that were made, beside the forecasts frozen before: what was seen, and its chance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.errors import InputError
from fitcheck.learn.forecast import FrozenForecast
from fitcheck.learn.forecast_files import KeptForecast
from fitcheck.learn.made import BoxOutcome, BoxRecord
from fitcheck.learn.play_law import Array, PlayLaw

NOT_FROZEN = "recorded without a forecast that was frozen before it"
SET_ASIDE = "set aside as recorded by mistake"


SHARED = frozenset({"caliper", "crease", "give", "between", "scale", "trimmer", "board", "joint"})
"""Sources of inputs that are one for all boxes of a paper, of one glue or tape, or made with one
board and trimmer."""


@dataclass(frozen=True)
class Seen:
    """Something that came about or did not, and the chance that had been given to it."""

    happened: bool
    chance: float


@dataclass(frozen=True)
class ScoredBox:
    """A box with the forecast that it is scored against."""

    box: BoxRecord
    forecast: FrozenForecast

    @cached_property
    def law(self) -> PlayLaw:
        """The forecast law of the play."""
        return self.forecast.law

    @cached_property
    def right(self) -> Seen:
        """Whether it came out right, as far as was looked at, and the chance of just that.

        What is asked about hangs on what was looked at and never on what came of it: where nobody
        said whether the contents went in, the chance is that of a box right but for them.
        """
        box, chances = self.box, self.forecast.chances
        chance = self.forecast.chance
        if box.right is not None:
            return Seen(box.right, chance(chances.right))
        lid = self._lid_wanted and not box.split
        if chances.fits is not None and box.fitted is None:
            return Seen(lid, chance(chances.lid_right))
        return Seen(lid and box.fitted is not False, chance(chances.right))

    @cached_property
    def shared_part(self) -> float:
        """The part of the variance of plays that all boxes have alike, 0 to nearly 1."""
        shared = math.fsum(row.play_mm**2 for row in self.forecast.inputs if row.source in SHARED)
        return min(shared / max(self.law.u_mm, 1e-9) ** 2, 0.999)

    def right_if_shared(self, away: Array) -> Array:
        """The chances (n,) of a right box where papers and tools lie (n,) deviations to one side.

        Each play of the forecast has that shift in it, so what is left of its spread is less. The
        chance is that of a play in the wanted bands, brought to the one that was frozen.
        """
        law, bands, want = self.law, self.forecast.bands, self.forecast.want
        part = self.shared_part
        shared = part * law.u_mm**2
        ends = (-math.inf, -bands.tight_mm, 0.0, bands.snug_mm, bands.loose_mm, math.inf)
        names = ("binds", "tight", "snug", "slides", "loose")
        wanted = [ends[k : k + 2] for k, name in enumerate(names) if name in want]
        moved, still = np.zeros(len(away)), 0.0
        for low, high in wanted:
            moved = moved + law.between(low, high, away * math.sqrt(shared), math.sqrt(1.0 - part))
            still += float(law.between(low, high))
        least = 0.5 / self.forecast.boxes
        found: Array = np.clip(self.right.chance * moved / still, least, 1.0 - least)
        return found

    @property
    def _lid_wanted(self) -> bool:
        want, outcome = self.forecast.want, self.box.outcome
        if outcome is BoxOutcome.SLID:
            if self.measured:
                snug = (self.box.go_mm or 0.0) < self.forecast.bands.snug_mm
                return ("snug" if snug else "slides") in want
            return "snug" in want or "slides" in want
        band = {BoxOutcome.BOUND: "binds", BoxOutcome.TIGHT: "tight", BoxOutcome.LOOSE: "loose"}
        return band[outcome] in want

    @cached_property
    def lid(self) -> tuple[Seen, ...]:
        """Each of the lid's outcomes, in their order, one of which happened."""
        bands, outcome = self.forecast.chances.bands, self.box.outcome
        shares = {
            BoxOutcome.BOUND: bands.binds,
            BoxOutcome.TIGHT: bands.tight,
            BoxOutcome.SLID: self.forecast.chances.slid,
            BoxOutcome.LOOSE: bands.loose,
        }
        return tuple(Seen(one is outcome, shares[one]) for one in BoxOutcome)

    @property
    def fits(self) -> Seen | None:
        """Whether the contents went in; None where nobody tried, or there were none."""
        chance = self.forecast.chances.fits
        if chance is None or self.box.fitted is None:
            return None
        return Seen(self.box.fitted, self.forecast.chance(chance))

    @property
    def split(self) -> Seen | None:
        """Whether a corner split; None where nobody said.

        The odds know no strength of paper or glue. What they say is how often a lid binds: pushed
        on, it splits its corners (common practice, no source), each as often as the others.
        """
        if self.box.split is None:
            return None
        return Seen(bool(self.box.split), self.forecast.chance(self.forecast.chances.bands.binds))

    @property
    def measured(self) -> bool:
        """Whether the play itself was read."""
        return self.box.go_mm is not None and self.box.go_mm == self.box.nogo_mm

    @property
    def told_mm(self) -> tuple[float, float]:
        """Between what lengths the play lies by what the lid did alone, mm; perhaps infinite."""
        bands = self.forecast.bands
        return {
            BoxOutcome.BOUND: (-math.inf, -bands.tight_mm),
            BoxOutcome.TIGHT: (-bands.tight_mm, 0.0),
            BoxOutcome.SLID: (0.0, bands.loose_mm),
            BoxOutcome.LOOSE: (bands.loose_mm, math.inf),
        }[self.box.outcome]

    @cached_property
    def play_mm(self) -> tuple[float, float]:
        """Between what lengths the play lies, mm: alike where it was read, perhaps infinite.

        Plugs tell, and where there are none what the lid did: a lid that bound has no play to
        measure, and leaving it out would leave the tight ones out of every score.
        """
        (low, high), box = self.told_mm, self.box
        if box.outcome in (BoxOutcome.BOUND, BoxOutcome.TIGHT):
            return low, high
        if box.nogo_mm is not None:
            low, high = min(low, 0.0), box.nogo_mm
        if box.go_mm is not None:
            low, high = box.go_mm, max(high, box.go_mm)
            high = high if box.nogo_mm is not None or high > low else math.inf
        return low, high

    @property
    def gauged(self) -> bool:
        """Whether somebody measured the play, by reading it or with plugs."""
        return self.box.go_mm is not None or self.box.nogo_mm is not None


@dataclass(frozen=True)
class Apart:
    """A box that counts in no score, and why."""

    box: BoxRecord
    why: str


def beside(
    boxes: Sequence[BoxRecord], forecasts: Mapping[str, KeptForecast | InputError]
) -> tuple[tuple[ScoredBox, ...], tuple[Apart, ...]]:
    """The boxes with a frozen forecast in the order of recording, and those that stay apart.

    ``forecasts`` are those of the workspace by the names of their files.
    """
    scored: list[ScoredBox] = []
    apart: list[Apart] = []
    for box in boxes:
        if box.aside or box.frozen is None:
            apart.append(Apart(box, SET_ASIDE if box.aside else NOT_FROZEN))
            continue
        kept = forecasts.get(box.frozen.name)
        if kept is None:
            apart.append(Apart(box, f"its forecast {box.frozen.name} is gone; bring the file back"))
        elif isinstance(kept, InputError):
            apart.append(Apart(box, f"its forecast cannot be used: {kept.lines[0]}"))
        elif kept.frozen.sha256 != box.frozen.sha256:
            apart.append(
                Apart(
                    box, f"its forecast {box.frozen.name} is another one than when it was recorded"
                )
            )
        else:
            scored.append(ScoredBox(box, kept.forecast))
    return tuple(scored), tuple(apart)
