"""Lids that sink in the time that is wanted: sizes on the hand's steps, rated and folded anew."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Design
from fitcheck.feel.measured import measured
from fitcheck.folding.pose import Array
from fitcheck.odds.feel import COARSE, FELT, FeelOdds, feel_odds, feel_of_plays, lid_plays
from fitcheck.odds.grid import Steps, around
from fitcheck.odds.intervals import Chance
from fitcheck.odds.prospect import Prospect
from fitcheck.odds.resized import folded_anew
from fitcheck.odds.start import felt, made_with
from fitcheck.styles.part import SizeBy

TIGHTEST_MM, LOOSEST_MM = -0.1, 2.0
"""Lids with other plays as drawn never sink by themselves in seconds, or drop."""
MOST_FOLDED = 3
"""So many of the best are folded anew."""


@dataclass(frozen=True, eq=False)
class Sinker:
    """A lid's size whose boxes were folded anew."""

    prospect: Prospect
    wanted: Chance


def wanted_of(prospect: Prospect, boxes: int, seed: int) -> Chance | None:
    """How often a design's lid sinks in the time that is wanted; None where nobody asks."""
    if prospect.check.design.want_sink is None:
        return None
    asked, forms = prospect.asked()
    samples = asked.draw(forms, max(boxes, FELT), seed)
    found = feel_odds(prospect.check, asked.outlook, samples, seed)
    return None if found is None else found.wanted


def plays_drawn(prospect: Prospect, boxes: int, seed: int) -> Array | None:
    """The lid's plays (boxes, 2) in boxes made by hand, mm; None where it has none."""
    asked, forms = prospect.asked()
    return lid_plays(asked.outlook, asked.draw(forms, boxes, seed))


def best_sinker(start: Prospect, steps: Steps, seed: int) -> Sinker | None:
    """The lid on the hand's steps that sinks oftenest in the time that is wanted.

    Its floor is changed along both axes; None where no other one sinks so more often, or where the
    lid's size does not stand by itself.
    """
    design = start.check.design
    rated = sorted(_rated(start, steps, seed), key=lambda pair: -pair[0])[:MOST_FOLDED]
    best: Sinker | None = None
    for rate, changed in rated:
        if rate <= 0.0:
            continue
        again = folded_anew(start, replace(changed, tools=felt(design.tools)))
        if again is None or not again.check.fits:
            continue
        own = made_with(again, design.tools)
        wanted = wanted_of(own, FELT, seed)
        if wanted is not None and (best is None or wanted.share > best.wanted.share):
            best = Sinker(own, wanted)
    return best


def _rated(start: Prospect, steps: Steps, seed: int) -> list[tuple[float, Design]]:
    """Designs with another lid, each with the share of boxes that sink as wanted.

    A lid's floor adds to the play one for one, and to the gap half on each side.
    """
    check, design = start.check, start.check.design
    lid, own = design.lid, measured(start.check, COARSE)
    if lid is None or own is None or lid.size_by is SizeBy.SAME_SHEET:
        return []
    plays = plays_drawn(start, FELT, seed)
    if plays is None:
        return []
    assert check.lid is not None, "its play was read"
    now = [travel.play_mm for travel in check.lid.slide.travels]
    changes = [
        [
            change
            for change in around(size, steps.size_mm)
            if TIGHTEST_MM < play + change < LOOSEST_MM
        ]
        for size, play in zip(lid.size_mm, now, strict=True)
    ]
    found: list[tuple[float, Design]] = []
    for wide, long in itertools.product(*changes):
        if (wide, long) == (0.0, 0.0):
            continue
        felt_odds: FeelOdds = feel_of_plays(
            own, plays + np.array([wide, long]), seed, design.want_sink
        )
        assert felt_odds.wanted is not None, "a time is wanted"
        size = lid.size_mm[0] + wide, lid.size_mm[1] + long
        changed = design.with_parts(replace(lid, size_mm=size))
        found.append((felt_odds.wanted.share, changed))
    return found
