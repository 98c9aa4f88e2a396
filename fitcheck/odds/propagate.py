"""Uncertain inputs are carried through a model twice: by the linear law and by drawn samples.

The linear law is that of JCGM 100:2008 (5.1, with shared errors as inputs of their own, so that
all inputs are independent; G.4 for the effective degrees of freedom). The samples follow
JCGM 101:2008 (clause 7). Nothing here knows of paper.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.odds.variates import Variate, draw_values
from fitcheck.workspace.progress import SILENT, Progress

CHUNK = 1 << 13
"""Boxes drawn at a time: a few megabytes, and long enough rows for the matrix product."""

Model = Callable[[Array], Array]
"""Carries inputs (k, m), one column for each trial, to outcomes (q, m)."""


@dataclass(frozen=True, eq=False)
class LinearLaw:
    """What the linear law says about one outcome."""

    value: float
    u: float
    """Combined standard uncertainty."""
    contributions: Array
    """(k,) sensitivity times standard deviation of each input, signed."""
    degrees: float
    """Effective degrees of freedom (Welch and Satterthwaite)."""

    @property
    def shares(self) -> Array:
        """(k,) each input's share of the variance; zeros when nothing varies."""
        if self.u == 0.0:
            return np.zeros_like(self.contributions)
        shares: Array = (self.contributions / self.u) ** 2
        return shares


def linear_law(variates: Sequence[Variate], value: float, sensitivities: Array) -> LinearLaw:
    """The linear law for an outcome of that value and those sensitivities (k,)."""
    contributions = sensitivities * np.array([v.deviation for v in variates])
    u = float(np.sqrt(np.sum(contributions**2)))
    fourth = sum(c**4 / v.degrees for c, v in zip(contributions.tolist(), variates, strict=True))
    return LinearLaw(value, u, contributions, u**4 / fourth if fourth > 0.0 else math.inf)


def sensitivities_of(model: Model, variates: Sequence[Variate]) -> tuple[Array, Array]:
    """Values (q,) at the inputs' means and sensitivities (q, k), by central differences.

    Each input is moved by its own standard uncertainty to both sides, so that the slope is that
    over the range that matters; an input without uncertainty has no sensitivity.
    """
    means = np.array([v.mean for v in variates])
    steps = np.array([v.u for v in variates])
    count = len(variates)
    trials = np.concatenate([np.diag(steps), -np.diag(steps), np.zeros((count, 1))], axis=1)
    found = model(means[:, None] + trials)
    rise = found[:, :count] - found[:, count : 2 * count]
    slopes = np.divide(rise, 2.0 * steps, out=np.zeros_like(rise), where=steps > 0.0)
    return found[:, -1], slopes


class Spreads(NamedTuple):
    """How drawn outcomes lie, without the boxes themselves."""

    deviations: Array
    """(q,) standard deviations."""
    least: Array
    """(q,)"""


@dataclass(frozen=True, eq=False)
class Samples:
    """Drawn outcomes and how each input goes with each of them."""

    outcomes: Array
    """(q, boxes)."""
    covariances: Array = field(default_factory=lambda: np.zeros((0, 0)))
    """(k, q) covariance of each input, in its standard deviations, with each outcome; none where
    boxes are only judged."""

    @property
    def boxes(self) -> int:
        """How many were drawn."""
        return int(self.outcomes.shape[1])

    def first(self, boxes: int) -> Samples:
        """The first so many of the boxes, by themselves."""
        return Samples(self.outcomes[:, :boxes].copy())

    @cached_property
    def spreads(self) -> Spreads:
        """How the outcomes lie; each takes as much memory again for a moment."""
        return Spreads(np.array([own.std() for own in self.outcomes]), self.outcomes.min(axis=1))


def streams_of(seed: int) -> tuple[np.random.Generator, np.random.Generator]:
    """Of the boxes that are counted by a seed, and of those that are folded anew."""
    counted, folded = np.random.default_rng(seed).spawn(2)
    return counted, folded


def drawn_in_turn(
    variates: Sequence[Variate], boxes: int, rng: np.random.Generator, *, chunk: int = CHUNK
) -> Iterator[tuple[slice, Array]]:
    """So many sets of inputs (k, m), some at a time, with which of all they are.

    Each input has a stream of its own, spawned from `rng`, so the draws depend neither on the
    chunk nor on what other inputs there are behind it. The array is used again for the next.
    """
    streams = rng.spawn(len(variates))
    inputs = np.empty((len(variates), min(chunk, boxes)))
    for start in range(0, boxes, chunk):
        some = slice(start, min(boxes, start + chunk))
        yield some, draw_values(variates, streams, inputs[:, : some.stop - start])


def drawn_together(variates: Sequence[Variate], boxes: int, rng: np.random.Generator) -> Array:
    """All of them at once (k, boxes)."""
    found = np.empty((len(variates), boxes))
    for some, drawn in drawn_in_turn(variates, boxes, rng):
        found[:, some] = drawn
    return found


def sample(
    variates: Sequence[Variate],
    model: Model,
    boxes: int,
    rng: np.random.Generator,
    *,
    chunk: int = CHUNK,
    progress: Progress = SILENT,
) -> Samples:
    """Draw `boxes` (at least 2) sets of inputs and carry them through the model.

    They are those of `drawn_in_turn`. Memory is one chunk and the outcomes.
    """
    outcomes: Array | None = None
    products: Array = np.zeros((len(variates), 0))
    sums = np.zeros(len(variates))
    for some, drawn in drawn_in_turn(variates, boxes, rng, chunk=chunk):
        progress.step(some.start, boxes, "making virtual boxes")
        found = model(drawn)
        if outcomes is None:
            outcomes = np.empty((len(found), boxes))
            products = np.zeros((len(variates), len(found)))
        outcomes[:, some] = found
        products += drawn @ found.T
        sums += drawn.sum(axis=1)
    assert outcomes is not None, "at least one box is drawn"
    steps = np.array([v.deviation for v in variates])
    centred = products / boxes - np.outer(sums / boxes, outcomes.mean(axis=1))
    covariances = np.divide(
        centred, steps[:, None], out=np.zeros_like(centred), where=steps[:, None] > 0.0
    )
    return Samples(outcomes, covariances)
