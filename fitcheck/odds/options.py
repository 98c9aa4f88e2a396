"""What a maker chooses between: options that differ in odds, in what they cost, or in effort."""

from __future__ import annotations

import enum
from collections.abc import Iterator, Mapping

import numpy as np

from fitcheck.folding.pose import Array, Flags
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
ROUGHLY = 0.03
"""Odds of a few hundred boxes may be off by so much."""
LESS_PAPER = 0.02
"""The least share of paper that is worth saving."""
Indices = np.ndarray[tuple[int, ...], np.dtype[np.intp]]
SAME_HEIGHT_MM = HAND_MM
"""Boxes whose heights differ by less are as high."""


class Kind(enum.StrEnum):
    """What an option is the best at."""

    BEST = "best odds"
    SAME_HEIGHT = "best odds at the same height"
    LEAST_CHANGE = "least change"
    SCORES = "every score in a groove and every cut a whole step"
    THROUGHOUT = "every score and cut on the grid"
    PAPER = "least paper"
    WHOLE = "every size a whole step of that rule, as on a recipe for it"
    SINKS = "the lid sinks oftenest in the time you want"


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


def orders_of(rates: Array, traits: Traits, steps: Steps) -> Iterator[Indices]:
    """Candidates that may become options, those in front first, by what rough rates (c,) say.

    Of each kind there are those with the best odds and, of those with about as good ones, those
    that cost least.
    """
    for kind, own in groups_of(traits, steps).items():
        inside = np.flatnonzero(own)
        if len(inside):
            yield inside[np.argsort(-rates[inside], kind="stable")]
            yield _cheapest(kind, inside, rates, traits, ROUGHLY)


def picks_of(found: Candidates, steps: Steps) -> dict[Kind, int]:
    """The index of the candidate that each kind of option is; kinds without a better one are not.

    Of those with odds as good it is the one that costs least.
    """
    traits, rates = found.traits, found.rates
    better = rates >= rates[0] + LEAST_GAIN
    picked: dict[Kind, int] = {}
    for kind, own in groups_of(traits, steps).items():
        inside = np.flatnonzero(own & better)
        if len(inside):
            alike = _cheapest(kind, inside, rates, traits, 0.0)
            if len(alike):
                picked[kind] = int(alike[0])
    return picked


def _cheapest(kind: Kind, inside: Indices, rates: Array, traits: Traits, more: float) -> Indices:
    """Those with odds about as good as the best's, the one that costs least first.

    What saves paper goes by the paper, all else by how much is changed.
    """
    least = rates.max() - NEARLY if kind is Kind.PAPER else rates[inside].max() - ALIKE
    alike = inside[rates[inside] >= least - more]
    keys = [-rates[alike], traits.moved_mm[alike], traits.changed[alike]]
    if kind is Kind.PAPER and len(alike):
        area = traits.area_mm2[alike]
        keys += [-np.round(rates[alike] / ALIKE), area > (1.0 + LESS_PAPER) * area.min()]
    found: Indices = alike[np.lexsort(keys)]
    return found


def as_good(one: float, other: float) -> bool:
    """Whether a maker would not notice the difference between two odds."""
    return abs(one - other) < LEAST_GAIN
