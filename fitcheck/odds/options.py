"""What a maker chooses between: options that differ in odds, in what they cost, or in effort."""

from __future__ import annotations

import enum
from collections.abc import Mapping

import numpy as np

from fitcheck.folding.pose import Flags
from fitcheck.odds.candidates import Candidates
from fitcheck.odds.costs import Traits
from fitcheck.odds.grid import Steps
from fitcheck.units import HAND_MM

LEAST_GAIN = 0.02
"""What helps fewer boxes than this is not worth cutting otherwise."""
ALIKE = 0.01
"""Odds nearer than this are as good: what changes less comes first."""
NEARLY = 0.05
"""What saves paper may cost so many boxes against the best."""
LESS_PAPER = 0.02
"""The least share of paper that is worth saving."""
SAME_HEIGHT_MM = HAND_MM
"""Boxes whose heights differ by less are as high."""


class Kind(enum.StrEnum):
    """What an option is the best at."""

    BEST = "best odds"
    SAME_HEIGHT = "best odds at the same height"
    LEAST_CHANGE = "least change"
    SCORES = "every score in a groove and every cut even"
    THROUGHOUT = "every score and cut on the grid"
    PAPER = "least paper"


def groups_of(traits: Traits, steps: Steps) -> Mapping[Kind, Flags]:
    """The candidates (c,) that each kind of option may be chosen from; the first is the design."""
    paper = traits.area_mm2 < (1.0 - LESS_PAPER) * traits.area_mm2[0]
    found = {
        Kind.BEST: np.ones(len(paper), dtype=bool),
        Kind.SAME_HEIGHT: np.abs(traits.height_mm) < SAME_HEIGHT_MM,
        Kind.LEAST_CHANGE: traits.changed == 1,
        Kind.SCORES: traits.scores & traits.even,
        Kind.THROUGHOUT: traits.scores & traits.sides,
        Kind.PAPER: paper,
    }
    if not steps.grooved:
        del found[Kind.SCORES]
    return found


def picks_of(found: Candidates, steps: Steps) -> dict[Kind, int]:
    """The index of the candidate that each kind of option is; kinds without a better one are not.

    Of those with odds as good it is the one that changes least.
    """
    traits, rates = found.traits, found.rates
    picked: dict[Kind, int] = {}
    for kind, own in groups_of(traits, steps).items():
        inside = np.flatnonzero(own & (rates >= rates[0] + LEAST_GAIN))
        if not len(inside):
            continue
        area = np.zeros(len(rates))
        enough = rates[inside].max() - ALIKE
        if kind is Kind.PAPER:
            area, enough = traits.area_mm2, rates[picked[Kind.BEST]] - NEARLY
        alike = inside[rates[inside] >= enough]
        if len(alike):
            keys = (-rates[alike], traits.moved_mm[alike], traits.changed[alike], area[alike])
            picked[kind] = int(alike[np.lexsort(keys)[0]])
    return picked


def as_good(one: float, other: float) -> bool:
    """Whether a maker would not notice the difference between two odds."""
    return abs(one - other) < LEAST_GAIN
