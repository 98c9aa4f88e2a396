"""Repeats of one piece that cannot be repeats: slips of the pen or of the hand.

A reading is odd when the other repeats, of its own piece and of all others, would let one be as far
off in fewer than one of two hundred coupons (Student's t of the deleted residual with Bonferroni's
correction). Of three or more the odd one is known; of two, only that one of them is; the
other pieces say which, where they can.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.learn.arrays import UNHEARD_MM2, arrays_of
from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.entries import HAND_DOF, HAND_MM, Entry
from fitcheck.learn.fit import fit
from fitcheck.learn.other_readers import FRESH_MM
from fitcheck.learn.outliers import SURE, most_to_set_aside
from fitcheck.learn.solving import Model
from fitcheck.uncertainty import resolution_u

FALSE_ALARMS = 0.005
"""Share of good coupons in which one repeat is called odd."""
MOST_PASSES = 20
HIDDEN = 4
"""So many torn pairs may hide each other: after so many that chance explains no other is sought."""
Beliefs = tuple[tuple[str, float, float], ...]


class _Pool:
    """Squares of repeats about their means, over stacks or over folds."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        self.squares = {True: HAND_DOF * HAND_MM**2, False: HAND_DOF * HAND_MM**2}
        self.dof = {True: HAND_DOF, False: HAND_DOF}
        for entry in entries:
            values = entry.values_mm if len(entry.readings) > 1 else ()
            if len(values) > 1:
                self.squares[_stacked(entry)] += _squares(values)
                self.dof[_stacked(entry)] += len(values) - 1

    def chance(self, entry: Entry, off_mm: float, share: float, squares: float) -> float:
        """How rarely repeats are as far apart, ``share`` being that difference's variance.

        ``squares`` and one degree of freedom are what the repeats in doubt add to the pool.
        """
        from scipy.special import stdtr

        kind = _stacked(entry)
        dof = self.dof[kind] - 1
        step = max(reading.resolution_mm for reading in entry.readings)
        variance = max(self.squares[kind] - squares, 0.0) / dof + resolution_u(step) ** 2
        return float(2 * stdtr(dof, -abs(off_mm) / math.sqrt(share * variance)))


def odd_repeats(entries: Sequence[Entry]) -> tuple[Reading, ...]:
    """Repeats that the others of their own piece, two or more, do not bear out."""
    sets = [list(entry.readings) for entry in entries]
    remaining = list(entries)
    odd: list[Reading] = []
    for _ in range(MOST_PASSES):
        pool = _Pool(remaining)
        places = [k for k, one in enumerate(remaining) if len(one.readings) > 2 and one.values_mm]
        tests = sum(len(remaining[k].readings) for k in places)
        more = 0
        for k in places:
            worst = _worst(remaining[k], pool, tests)
            if worst is not None:
                odd.append(sets[k].pop(worst))
                remaining[k] = _with(remaining[k], sets[k])
                more += 1
        if not more:
            break
    return tuple(odd)


def torn_pairs(entries: Sequence[Entry], chance: float = FALSE_ALARMS) -> tuple[int, ...]:
    """The entries whose two repeats are further apart than repeats are: one is a slip.

    ``chance`` is the share of good coupons in which one is called so. They are taken out one after
    the other, worst first, and as many count as the last that chance does not explain (Rosner 1983,
    NIST/SEMATECH handbook, 1.3.5.17.3): near and far side of one fold are often misread together.
    """
    pairs = {k: e for k, e in enumerate(entries) if len(e.readings) == 2 and len(e.values_mm) == 2}
    tests, found, sure = len(pairs), list[int](), 0
    while len(found) < min(tests, MOST_PASSES, sure + HIDDEN):
        pool = _Pool([entry for k, entry in enumerate(entries) if k not in found])
        rest = [
            (pool.chance(entry, entry.values_mm[0] - entry.values_mm[1], 2.0, own), k)
            for k, entry in pairs.items()
            if k not in found and (own := _squares(entry.values_mm)) > 0
        ]
        least, place = min(rest, default=(1.0, -1))
        if place < 0:
            break
        found.append(place)
        sure = len(found) if least * tests < chance else sure
    return tuple(found[:sure])


def _worst(entry: Entry, pool: _Pool, tests: int) -> int | None:
    """The place of the reading that is odd among those of its entry, or None."""
    values = entry.values_mm
    whole, most = _squares(values), (1.0, -1)
    count = len(values)
    for k, value in enumerate(values):
        others = [*values[:k], *values[k + 1 :]]
        off = value - math.fsum(others) / (count - 1)
        own = whole - _squares(others)
        most = min(most, (pool.chance(entry, off, 1 + 1 / (count - 1), own), k))
    return most[1] if most[0] * tests < FALSE_ALARMS else None


def _with(entry: Entry, readings: Sequence[Reading]) -> Entry:
    return Entry(
        entry.feature, entry.nominal_mm, entry.count, entry.grain, tuple(readings), entry.piece
    )


def _squares(values: Sequence[float]) -> float:
    mean = math.fsum(values) / len(values)
    return math.fsum((value - mean) ** 2 for value in values)


def _stacked(entry: Entry) -> bool:
    return entry.feature is Feature.STACK


@dataclass(frozen=True)
class Torn:
    """Two repeats of one piece that are no repeats."""

    entry: Entry
    aside: tuple[Reading, ...]
    """The one that is a slip, or both where nothing tells."""

    def line(self, others: str) -> str:
        """What to say of them; ``others`` ("the rest does") do not bear out the one."""
        first, second = self.entry.values_mm
        apart = f"{self.entry.place}: {first:g} and {second:g} of one piece are "
        apart += f"{abs(first - second):.2f} mm apart, and "
        if len(self.aside) == 2:
            return f"{apart}nothing says which is wrong: both set aside; read it again"
        wrong = self.aside[0]
        return (
            f"{apart}{others} not bear out row {wrong.row}, {wrong.reading_mm:g}: set aside; "
            "read it again"
        )


def judged_pairs(
    kind: Kind,
    entries: Sequence[Entry],
    model_of: Callable[[Sequence[Entry]], tuple[Model, Beliefs]],
    noise_mm: float,
) -> tuple[Torn, ...]:
    """The torn pairs among the entries, each with what is to be set aside."""
    torn = torn_pairs(entries)[: max(most_to_set_aside(len(entries)), 1)]
    if not torn:
        return ()
    data, repeats = arrays_of(kind, entries, frozenset(torn))
    model, beliefs = model_of(entries)
    for name, belief, u in beliefs:
        place = model.names.index(name)
        if not np.isfinite(model.prior_u[place]):
            prior, prior_u = model.prior.copy(), model.prior_u.copy()
            prior[place], prior_u[place] = belief, u
            model = replace(model, prior=prior, prior_u=prior_u)
    try:
        found = fit(model, data, given_noise=noise_mm, repeats=repeats)
    except ModelError:
        return tuple(Torn(entries[k], entries[k].readings) for k in torn)
    away, variance = found.spread.away, found.spread.away_variance
    listed = []
    for k in torn:
        expected = (entries[k].value_mm or 0.0) - float(away[k])
        u2 = max(float(variance[k]) - UNHEARD_MM2, 0.0) + HAND_MM**2
        if kind is Kind.STOCK and not _stacked(entries[k]):
            u2 = max(u2, FRESH_MM**2)  # few pieces that lie close do not say that all do
        lost = [(value - expected) ** 2 / u2 / 2 for value in entries[k].values_mm]
        first, second = entries[k].readings
        if abs(lost[0] - lost[1]) < SURE:
            listed.append(Torn(entries[k], (first, second)))
        else:
            listed.append(Torn(entries[k], (first if lost[0] > lost[1] else second,)))
    return tuple(listed)
