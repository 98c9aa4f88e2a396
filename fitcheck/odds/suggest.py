"""Recipes near a design that come out right oftener, as a few options that differ in what matters.

The limits' gradients are taken once. Thousands of recipes on the tools' own grid are rated by them
(`rating`), the best of each kind of option is folded anew, and what does not hold makes room for
the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.check import Check, check
from fitcheck.odds.advice import WELL, advise
from fitcheck.odds.candidates import Candidates, Search
from fitcheck.odds.changes import has_ring, not_rattling
from fitcheck.odds.costs import Cost, cost_of, height_of, traits_of
from fitcheck.odds.doubts import doubtful
from fitcheck.odds.grid import SAME_MM, Steps, steps_for
from fitcheck.odds.hands import Hands
from fitcheck.odds.intervals import Chance
from fitcheck.odds.lattice import Lattice, deep_enough, lattice_of
from fitcheck.odds.options import (
    ALIKE,
    LESS_PAPER,
    SAME_HEIGHT_MM,
    Kind,
    as_good,
    orders_of,
    picks_of,
)
from fitcheck.odds.outlook import known_contents
from fitcheck.odds.prospect import Prospect, good_chance
from fitcheck.odds.quantities import is_room
from fitcheck.odds.rating import Rating
from fitcheck.odds.refolding import Refolding
from fitcheck.odds.remarks import eased
from fitcheck.odds.rounded import drawn_and_rounded
from fitcheck.odds.sizes import lines_of, sizes_of
from fitcheck.odds.start import start_of, undisturbed
from fitcheck.odds.wanted_sink import best_sinker, wanted_of
from fitcheck.stock.tools import Tools
from fitcheck.workspace.progress import SILENT, Progress

ROUGH_BOXES = 4_000
MOST_SHOWN = 5
MOST_FOLDED = 10
"""So many recipes are folded anew at the most."""
SURE = 0.99
"""Contents that go in so often need no larger floor."""


@dataclass(frozen=True)
class Suggestion:
    """A recipe with its odds and what it costs."""

    design: Design
    good: Chance
    """All that makes a box right, in one and the same box."""
    cost: Cost
    kinds: tuple[Kind, ...] = ()
    """What it is the best at; none for the design as it is."""
    changed: int = 0
    """How many numbers of the recipe are others."""
    wanted: Chance | None = None
    """How often its lid sinks in the time that is wanted; None where nobody asks."""
    rounded: Chance | None = None
    """How often it is right cut and scored as its steps round it; None where nothing is rounded."""
    folded: Prospect | None = field(default=None, repr=False, compare=False)
    """What it was counted of, until it is known whether that is sure."""
    doubtful: bool = False
    """Whether boxes of it that are folded anew come out otherwise than those that were counted."""

    @property
    def told(self) -> Chance:
        """How often it is right when it is made by its steps, as a maker does."""
        return self.good if self.rounded is None else self.rounded


@dataclass(frozen=True)
class Suggestions:
    """What to cut, best first, beside the original."""

    check: Check
    """Of the original."""
    original: Suggestion
    ranked: tuple[Suggestion, ...]
    steps: Steps
    boxes: int
    seed: int
    tried: int = 0
    """How many recipes were rated."""


def suggest(
    design: Design,
    boxes: int,
    seed: int = 0,
    progress: Progress = SILENT,
    lattice: Lattice | None = None,
    whole: Design | None = None,
) -> Suggestions:
    """Options with better odds than the design's own; none where there are none.

    `lattice` has other recipes to choose from than those near the design, `whole` is one more, in
    whole steps of a rule. What counts is how often boxes made by the steps are right.
    """
    steps = steps_for(design.tools, design.unit)
    found = check(design)
    start = start_of(design, found, progress)
    as_it_is = undisturbed(found, start)
    counting = _Counting(design.tools, steps, boxes, seed)
    original = Suggestion(design, Chance(0, boxes, known_contents(found)), cost_of(found, steps))
    if as_it_is is not None:
        # whether its own odds are sure is for a check to say
        original = replace(counting.of(as_it_is, (), 0), design=design, folded=None)
    lines = None if start is None else lines_of(start.check.assembly)
    if start is None or lines is None:
        return Suggestions(found, original, (), steps, boxes, seed)
    anywhere = lattice is None
    if lattice is None:
        # lines of a ring come onto the grid with the sum of its walls
        larger = start.check.design.base != design.base or has_ring(design)
        larger = larger or _odds_of_contents(start, seed) < SURE
        now = sizes_of(found.assembly)
        goes, flush, lower = deep_enough(lines.start, found), found.flush, start.may_be_high
        lattice = lattice_of(design, now, steps, goes, larger=larger, flush=flush, lower=lower)
        lattice = _without_rattles(lattice, start.check, steps)
    hands = Hands.of(start, ROUGH_BOXES, seed)
    traits = partial(traits_of, design, lines, lattice.start, steps)
    rating = Rating.of(start, lines, design.tools, lattice, hands.off)
    progress.step(0, 1, "trying recipes")
    search = Search(rating, lattice, traits, partial(orders_of, steps=steps))
    rated, tried = search.run()
    rate = float(hands.right(as_it_is).mean()) if as_it_is else 0.0
    rated = rated.folded(0, rate, 0.0) if rate else rated.failed(0)
    folding = _Folding(Refolding(found, start), hands, steps, progress)
    rated, folded = folding.proved(rated)
    kinds: dict[int, list[Kind]] = {}
    for kind, index in picks_of(rated, steps).items():
        kinds.setdefault(index, []).append(kind)
    options = [
        counting.of(again, tuple(kinds[index]), int(rated.traits.changed[index]))
        for index, again in folded.items()
        if index in kinds
    ]
    if whole is not None and (steady := folding.refolding.of(whole)) is not None:
        moved = np.abs(sizes_of(steady.check.assembly) - sizes_of(found.assembly)) > SAME_MM
        options.append(counting.of(steady, (Kind.WHOLE,), int(np.count_nonzero(moved))))
    ranked = _distinct(options, original)
    best = ranked[0].told.share if ranked else original.told.share
    one = folding.advised(as_it_is) if anywhere and as_it_is and best < WELL else None
    if one is not None:
        advised = counting.of(one, (Kind.BEST,), 1)
        if advised.told.share > best + ALIKE:
            ranked = [advised, *(own for own in map(_no_longer_best, ranked) if own.kinds)]
    if design.want_sink is not None:
        ranked = [*_sinking(as_it_is or start, original, counting), *ranked]
    shown = tuple(counting.sure(one, progress) for one in ranked[:MOST_SHOWN])
    return Suggestions(found, original, shown, steps, boxes, seed, tried)


@dataclass(frozen=True)
class _Counting:
    """What the boxes of an option are counted with."""

    tools: Tools
    steps: Steps
    boxes: int
    seed: int

    def of(self, folded: Prospect, kinds: tuple[Kind, ...], changed: int) -> Suggestion:
        """A recipe that is folded, with its odds and what it costs."""
        asked, forms = folded.asked()
        samples, rounded = drawn_and_rounded(asked, forms, self.boxes, self.seed)
        return Suggestion(
            replace(folded.check.design, tools=self.tools),
            good_chance(asked, samples),
            cost_of(folded.check, self.steps),
            kinds,
            changed,
            wanted_of(folded, self.boxes, self.seed),
            rounded,
            folded,
        )

    def sure(self, one: Suggestion, progress: Progress) -> Suggestion:
        """The same recipe, with whether its odds are sure."""
        unsure = one.folded is not None and doubtful(one.folded, self.seed, progress)
        return replace(one, folded=None, doubtful=unsure)


def _sinking(start: Prospect, original: Suggestion, counting: _Counting) -> list[Suggestion]:
    """The lid that sinks oftenest as wanted, where another one does so more often."""
    best = best_sinker(start, counting.steps, counting.seed)
    if best is None or (original.wanted and best.wanted.share <= original.wanted.share):
        return []
    return [replace(counting.of(best.prospect, (Kind.SINKS,), 1), wanted=best.wanted)]


def _without_rattles(lattice: Lattice, found: Check, steps: Steps) -> Lattice:
    """The lattice without sizes with which a drawer rattles in what it goes along."""
    if not (drawers := eased(found, steps.size_mm)):
        return lattice
    kept = partial(not_rattling, found.design, lattice.start, drawers=drawers)
    return replace(lattice, lid_sizes=kept(lattice.lid_sizes), gaps=kept(lattice.gaps))


@dataclass(frozen=True, eq=False)
class _Folding:
    """Recipes that look best are folded anew."""

    refolding: Refolding
    hands: Hands
    steps: Steps
    progress: Progress

    def proved(self, rated: Candidates) -> tuple[Candidates, dict[int, Prospect]]:
        """The candidates that were folded, by their own odds, all others at none.

        What turns out worse than its gradients promised makes room for the next.
        """
        folded: dict[int, Prospect] = {}
        left = MOST_FOLDED
        # each kind of option has its turn before one that failed is looked for again
        while todo := self._unknown(rated)[:left]:
            for index in todo:
                self.progress.step(MOST_FOLDED - left, MOST_FOLDED, "folding the best recipes")
                left -= 1
                again = self.refolding.of_row(rated.rows[index])
                if again is None:
                    rated = rated.failed(index)
                    continue
                folded[index] = again
                higher = height_of(again.check) - height_of(self.refolding.original)
                rated = rated.folded(index, float(self.hands.right(again).mean()), higher)
        return rated.proved, folded

    def advised(self, as_it_is: Prospect) -> Prospect | None:
        """The one change of the design that helps most; None where none is known to."""
        advice = advise(as_it_is, self.hands, self.progress)
        if advice is None or advice.design is None:
            return None
        return self.refolding.of(advice.design)

    def _unknown(self, rated: Candidates) -> list[int]:
        picks = dict.fromkeys(picks_of(rated, self.steps).values())
        return [index for index in picks if not rated.known[index]]


def _odds_of_contents(prospect: Prospect, seed: int) -> float:
    """The share of boxes in which all contents fit."""
    asked, forms = prospect.asked()
    names = [one.name for one in asked.outlook.smallest if is_room(one.name)]
    if not names:
        return 1.0
    drawn = asked.draw(forms, ROUGH_BOXES, seed).outcomes
    slack = np.min([drawn[asked.outlook.row(name)] for name in names], axis=0)
    return float(np.mean(slack >= 0.0))


def _distinct(options: list[Suggestion], original: Suggestion) -> list[Suggestion]:
    """The options by their odds, without those that are like another one that changes less."""
    kept: list[Suggestion] = []
    for one in sorted(options, key=lambda own: (own.changed, -own.told.share)):
        better = one.told.share > original.told.share
        if better and not any(_alike(one, other) for other in kept):
            kept.append(one)
    return sorted(_best_named(kept), key=lambda own: (Kind.BEST not in own.kinds, -own.told.share))


def _best_named(options: Sequence[Suggestion]) -> list[Suggestion]:
    """The options, that with the best odds called so where rounding has made it another one."""
    most = max((one.told.share for one in options), default=0.0)
    if any(Kind.BEST in one.kinds and one.told.share > most - ALIKE for one in options):
        return list(options)
    named = [
        replace(own, kinds=(Kind.BEST, *own.kinds)) if own.told.share == most else own
        for own in map(_no_longer_best, options)
    ]
    return [one for one in named if one.kinds]


def _no_longer_best(one: Suggestion) -> Suggestion:
    return replace(one, kinds=tuple(kind for kind in one.kinds if kind is not Kind.BEST))


def _alike(one: Suggestion, other: Suggestion) -> bool:
    """Whether a maker would notice nothing between two options but how much they change."""
    a, b = one.cost, other.cost
    return (
        as_good(one.told.share, other.told.share)
        and abs(a.height_mm - b.height_mm) < SAME_HEIGHT_MM
        and abs(a.area_mm2 - b.area_mm2) < LESS_PAPER * b.area_mm2
        and a.throughout == b.throughout
    )
