"""What is believed of every paper counts beside its readings, unless those say otherwise.

A crease that nobody measured is taken by a rule of thumb, and a corner's give as 1: that is known
of a paper whose coupon was read as well, so it goes into the fit with its uncertainty. Readings
that contradict it are of a paper that is not usual: then they count alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.learn.entries import Entry
from fitcheck.learn.evaluate import widened
from fitcheck.learn.fit import Fit
from fitcheck.learn.model_stock import GIVE, GIVE_U, Given, T, allowance_names, not_folded
from fitcheck.learn.repeats import Beliefs
from fitcheck.learn.solving import Model
from fitcheck.stock.crease import uncalibrated_allowance

CHANGED = 2.0
"""Further apart than so many of their joint uncertainties, readings contradict a belief."""


@dataclass(frozen=True)
class Usual:
    """One belief, of one parameter or of the mean of several."""

    names: tuple[str, ...]
    value: float
    u: float
    """Standard uncertainty of the mean: each alone is believed less, so that two folds of a paper
    do not count one rule twice."""

    @property
    def each_u(self) -> float:
        """Of each alone; the mean of so many has ``u``."""
        return max(self.u, 1e-6) * math.sqrt(len(self.names))


def usual_of(entries: Sequence[Entry], given: Given, caliper_mm: float) -> Iterator[Usual]:
    """What is believed of a paper whose stacks were read: its maker's word, or what is usual."""
    allowance, u = uncalibrated_allowance(caliper_mm)
    if given.allowance_mm is not None and given.allowance_u_mm is not None:
        allowance, u = given.allowance_mm, given.allowance_u_mm
    unread = not_folded(entries)
    yield Usual(tuple(n for n in allowance_names(entries) if n != unread), allowance, u)
    give, give_u = 1.0, GIVE_U
    if given.give is not None and given.give_u is not None:
        give, give_u = given.give, given.give_u
    yield Usual((GIVE,), give, give_u)


def with_usual(model: Model, kept: Beliefs, found: Fit, usual: Sequence[Usual]) -> Model:
    """The model with what is believed of parameters that readings told and do not contradict.

    ``found`` is its fit without; what that could not tell stays as it was ``kept``. A paper whose
    thickness they did not tell is known by what was believed already.
    """
    if T in found.kept:
        return model
    prior, prior_u = model.prior.copy(), model.prior_u.copy()
    for name, value, u in kept:
        if name in found.kept:
            place = model.names.index(name)
            prior[place], prior_u[place] = value, u
    for belief in usual:
        if _agrees(found, belief):
            for name in belief.names:
                place = model.names.index(name)
                prior[place], prior_u[place] = belief.value, belief.each_u
    return replace(model, prior=prior, prior_u=prior_u)


def _agrees(found: Fit, belief: Usual) -> bool:
    """Whether readings told all that a belief is about, and their mean is as believed."""
    if any(name in found.kept for name in belief.names):
        return False
    places = [found.names.index(name) for name in belief.names]
    mean = float(found.values[places].mean())
    u = math.sqrt(float(found.covariance[np.ix_(places, places)].mean()))
    u = widened(u, min(found.dof_of(name) for name in belief.names))
    return abs(mean - belief.value) <= CHANGED * math.hypot(u, belief.u)
