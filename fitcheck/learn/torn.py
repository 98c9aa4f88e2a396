"""Of two repeats that are too far apart, the other pieces say which is the slip, where they can."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.learn.arrays import UNHEARD_MM2, arrays_of
from fitcheck.learn.bench_readings import Kind, Reading
from fitcheck.learn.entries import HAND_MM, Entry
from fitcheck.learn.fit import fit
from fitcheck.learn.outliers import most_to_set_aside
from fitcheck.learn.repeats import torn_pairs
from fitcheck.learn.solving import Model

Beliefs = tuple[tuple[str, float, float], ...]
SURE = math.log(20.0)
"""One of two is the slip where it is so much less likely than the other (its logarithm)."""


@dataclass(frozen=True)
class Torn:
    """Two repeats of one piece that are no repeats."""

    entry: Entry
    aside: tuple[Reading, ...]
    """The one that is a slip, or both where nothing tells."""


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
        lost = [(value - expected) ** 2 / u2 / 2 for value in entries[k].values_mm]
        first, second = entries[k].readings
        if abs(lost[0] - lost[1]) < SURE:
            listed.append(Torn(entries[k], (first, second)))
        else:
            listed.append(Torn(entries[k], (first if lost[0] > lost[1] else second,)))
    return tuple(listed)
