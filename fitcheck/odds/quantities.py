"""Quantities that verdicts hang on: sums of families' least members, for many boxes at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from fitcheck.fit.mates import AnyFit
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.arranged import Arranged
from fitcheck.odds.content_readings import content_label
from fitcheck.odds.forms import Forms
from fitcheck.odds.inputs import Input
from fitcheck.odds.landing import PASSES, Landing, over_name, past_name, play_name
from fitcheck.odds.limits import REACH
from fitcheck.odds.mate_readings import CLOSING, mate_label
from fitcheck.odds.propagate import sensitivities_of
from fitcheck.odds.readings import (
    Reader,
)
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Mate


@dataclass(frozen=True)
class Quantity:
    """One length that a verdict hangs on, mm; it is fine from 0 on."""

    name: str
    terms: tuple[tuple[float, str], ...]
    """Sign and family."""
    constant_mm: float = 0.0


@dataclass(frozen=True)
class Smallest:
    """The smallest of some quantities: what decides about a lid or a content."""

    name: str
    of: tuple[str, ...]


LID_PLAY = "lid play"
RIM = "lid rim off the table"
OVER_GRID = "what stands in the base is lower than the lid"
LINE = "what the lid's rim is short of the base's"
LANDS = "what the lid's rim lies on the base's"
EASE = "'s ease with itself"
PLAY = ": its play"


def ease_name(part: str) -> str:
    """How far a part is from fighting itself."""
    return f"the {part}{EASE}"


def never_missing(name: str) -> bool:
    """Whether a length is only asked about where some box may miss it."""
    return name in (RIM, OVER_GRID) or name.endswith(EASE) or name.startswith(LANDS)


def lands_name(axis: Axis) -> str:
    """How much of the lid's rim finds the base's along an axis."""
    return f"{LANDS}, {axis}"


def mate_play(mate: Mate) -> str:
    """The smaller play of a mate beside the lid."""
    return f"{mate_label(mate)}{PLAY}"


def mate_play_name(mate: Mate, direction: str) -> str:
    """The play of a mate along a direction across its way."""
    return f"{mate_play(mate)}, {direction}"


def steadied_plays(mates: Iterable[AnyFit]) -> dict[str, str]:
    """The plays of what its holder is to keep from shifting about, by name, each with the smaller
    one of its mate."""
    return {
        mate_play_name(fit.mate, way): mate_play(fit.mate)
        for fit in mates
        if fit.mate.steadied
        for way in fit.plays
    }


def is_mate_play(name: str) -> bool:
    """Whether a quantity is some mate's play, or the smaller of its two."""
    return PLAY in name


def only_missed(name: str) -> bool:
    """Whether there may be any more of a length: a lid that closes, contents that go in.

    Thin paper that has passed the wall it should stop at is no deeper in it: a deep press is told
    as less than it would be by its slopes, and is a press all the same.
    """
    return is_slack(name) or (is_mate_play(name) and CLOSING in name)


def slack_name(index: int, direction: str) -> str:
    """The slack of a content line along a direction."""
    return f"{content_slack(index)}, {direction}"


def content_slack(index: int) -> str:
    """The smallest slack of a content line."""
    return f"{content_label(index)}'s room to spare"


def is_slack(name: str) -> bool:
    """Whether a quantity is only ever judged against 0, as a content's room to spare is."""
    return is_room(name) or never_missing(name)


def is_room(name: str) -> bool:
    """Whether a quantity is about what contents have to spare."""
    return "room to spare" in name


@dataclass(frozen=True, eq=False)
class Outlook:
    """What is asked about a design's boxes, and what has to be read of them to answer."""

    readers: tuple[Reader, ...]
    quantities: tuple[Quantity, ...]
    smallest: tuple[Smallest, ...]
    arranged: Arranged | None = None
    """Several contents, whose room is worked out from the drawn sizes themselves."""
    landing: Landing | None = None
    """A lid that lands on its base's rim where it cannot pass it; None where none may."""

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The rows of `evaluate`."""
        return (
            *(one.name for one in self.quantities),
            *(self.arranged.names if self.arranged else ()),
            *(self.landing.names if self.landing else ()),
            *(one.name for one in self.smallest),
        )

    @property
    def families(self) -> frozenset[str]:
        """The families that have to be read."""
        own = {family for one in self.quantities for _, family in one.terms}
        return frozenset(own | (self.arranged.families if self.arranged else set()))

    def row(self, name: str) -> int:
        """The row of a quantity. Raises ValueError when it is not asked about."""
        return self.names.index(name)

    def evaluate(self, forms: Forms, offsets: Array) -> Array:
        """All quantities, (q, m) mm, of boxes whose inputs are off by (k, m)."""
        return self.of_least(forms.families, forms.least(offsets), offsets, forms.inputs)

    def of_least(
        self, families: Sequence[str], least: Array, offsets: Array, inputs: tuple[Input, ...]
    ) -> Array:
        """The same, (q, m) mm, where the least member of each family is known, (f, m)."""
        rows = {family: least[i] for i, family in enumerate(families)}
        found = np.empty((len(self.names), offsets.shape[1]))
        for i, one in enumerate(self.quantities):
            found[i] = one.constant_mm
            for sign, family in one.terms:
                found[i] += sign * rows[family]
        first = len(self.quantities)
        if self.arranged is not None:
            room = self.arranged.evaluate(rows, offsets, inputs)
            found[first : first + len(room)] = room
            first += len(room)
        if self.landing is not None:
            plays = self.landing.evaluate(self.names, found)
            found[first : first + len(plays)] = plays
            first += len(plays)
        for i, smallest in enumerate(self.smallest, start=first):
            np.min(found[[self.row(name) for name in smallest.of]], axis=0, out=found[i])
        return found

    def fullest(self, forms: Forms, offsets: Array, most: int) -> Rows:
        """At most so many compartments (f, m) of each box, those with the least room first.

        By their numbers, that in which contents were placed 0; it is the only one without a grid.
        """
        if self.arranged is None or not self.arranged.beside:
            return np.zeros((1, offsets.shape[1]), dtype=np.intp)
        least = dict(zip(forms.families, forms.least(offsets), strict=True))
        return self.arranged.fullest(least, offsets, forms.inputs, most)

    def sensitivities(self, forms: Forms, name: str) -> tuple[float, Array]:
        """Value as designed and gradient (k,) of a quantity where its first limits stay first."""
        own = {one.name: one for one in self.quantities}
        if self.landing is not None:
            # most lids pass the rim
            own |= {play_name(axis): own[over_name(axis)] for axis in Axis}
        if name not in own:
            parts = [one.of for one in self.smallest if one.name == name]
            if not parts:
                return self._by_differences(forms, name)
            means = forms.expected
            found = [self.sensitivities(forms, part) for part in parts[0]]
            return min(found, key=lambda one: one[0] + float(one[1] @ means))
        one = own[name]
        rows = [(sign, forms.first(family)) for sign, family in one.terms]
        value = one.constant_mm + sum(sign * float(forms.values[row]) for sign, row in rows)
        gradient: Array = sum(
            (sign * forms.slopes[row] for sign, row in rows), np.zeros(len(forms.inputs))
        )
        return value, gradient

    def _by_differences(self, forms: Forms, name: str) -> tuple[float, Array]:
        """The same for what is no sum of limits, over the range of each input that matters."""
        values, slopes = _differences(self, forms)
        row = self.row(name)
        return float(values[row] - slopes[row] @ forms.expected), slopes[row]


@lru_cache(maxsize=1)
def _differences(outlook: Outlook, forms: Forms) -> tuple[Array, Array]:
    variates = [one.variate for one in forms.inputs]
    return sensitivities_of(lambda offsets: outlook.evaluate(forms, offsets), variates)


def trimmed(outlook: Outlook, forms: Forms) -> Outlook:
    """The outlook without what cannot matter within REACH standard uncertainties.

    That is the rim where it is always off the table, and a slack that is never the smallest.
    """
    outlook = _passing(outlook, forms)
    reach = {one.name: _reach(one, forms) for one in outlook.quantities}
    smallest = []
    for one in outlook.smallest:
        if not all(name in reach for name in one.of):
            smallest.append(one)
            continue
        least = min(reach[name][1] for name in one.of)
        smallest.append(Smallest(one.name, tuple(n for n in one.of if reach[n][0] <= least)))
    asked = {name for one in smallest for name in one.of} | {play_name(axis) for axis in Axis}
    asked |= {one.name for one in outlook.quantities if is_mate_play(one.name)} | {LINE}
    asked |= set(outlook.landing.of if outlook.landing else ())
    asked |= {one.name for one in outlook.quantities if never_missing(one.name)}
    asked -= {name for name in reach if never_missing(name) and reach[name][0] > 0.0}
    kept = tuple(one for one in outlook.quantities if one.name in asked)
    return replace(outlook, quantities=kept, smallest=tuple(smallest))


def _passing(outlook: Outlook, forms: Forms) -> Outlook:
    """The outlook of a lid that always passes its base's rim; as it is where one may land on it."""
    if outlook.landing is None:
        return outlook
    past = {past_name(axis) for axis in Axis}
    if any(_reach(one, forms)[0] < 0.0 for one in outlook.quantities if one.name in past):
        return outlook
    plays = {over_name(axis): play_name(axis) for axis in Axis}
    left = {*outlook.landing.of} - plays.keys()
    quantities = tuple(
        replace(one, name=plays.get(one.name, one.name))
        for one in outlook.quantities
        if one.name not in left
    )
    smallest = tuple(one for one in outlook.smallest if one.name != PASSES)
    return replace(outlook, quantities=quantities, smallest=smallest, landing=None)


def _reach(one: Quantity, forms: Forms) -> tuple[float, float]:
    """Between what values a quantity stays within REACH standard uncertainties."""
    low = high = one.constant_mm
    for sign, family in one.terms:
        index = forms.families.index(family)
        rows = slice(forms.starts[index], forms.starts[index + 1])
        middle = forms.values[rows] + forms.slopes[rows] @ forms.expected
        away = REACH * forms.u_of_rows[rows]
        # lines in corners do not count in every box
        pairs = forms.lines[index] - forms.starts[index]
        ends = float((middle - away).min()), float((middle + away)[:pairs].min())
        low += sign * ends[0 if sign > 0 else 1]
        high += sign * ends[1 if sign > 0 else 0]
    return low, high
