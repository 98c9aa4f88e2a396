"""What readings say of their own scatters, and intervals that allow for not knowing these better.

The scatter from piece to piece is the most likely one by the restricted likelihood. A few readings
leave much open, so an interval is taken over all scatters that the readings allow, each as likely
as it is: of equal readings alone that is Student's t, exactly. Beforehand nothing is known of the
scatter from piece to piece (Jeffreys' prior, which is what makes it Student's t) and little of the
scatter from day to day: a half-Cauchy law (Gelman 2006, Bayesian Analysis 1, 515; from memory), as
two or three days say next to nothing of it themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.learn.nested import Guesses, Rows, WithNoise

Array = np.ndarray
DAY_MM = 0.05
"""Usual scatter of a fold's width from day to day: the damp of the air, the hand, the board set
anew (common practice, no source)."""
DAY_GUESSES = 24
LEAST_LOG = -16.0
"""Guesses less likely than exp of this beside the best are left out."""
FINE = 0.5
"""Step between guesses of the scatter, as a share of how well its logarithm is known."""
MOST_GUESSES = 60
"""... either way from the most likely one."""
LOW_SHARE, LOW_POWER = 0.3, 3.0
"""Below this share of what is usual a scatter is the less likely the smaller it is, by this power.
Three pieces may lie on one line by chance: that makes no hand ten times surer than its tools."""
PLENTY = 500.0
"""With so many degrees of freedom the scatter is as good as known: t is 1.965, not 1.960."""
COVERAGE_TAIL = 0.025


@dataclass(frozen=True, eq=False)
class Spread:
    """All that is said of the parameters by guesses of the scatters; q guesses, p parameters."""

    most_noise: float
    """What the scatter from piece to piece is below in 95 of 100, mm."""
    hidden: float
    """What the readings' own errors alone would scatter, mm: far less than that is not seen."""
    day: float
    """Scatter from day to day, mm; 0 where there is but one."""
    covariance: Array
    """Of the parameters by the best guess, (p, p)."""
    still: Array
    """The most likely steps by the best guess but for the days, (p,)."""
    weight: Array
    """How likely each guess is, (q,), 1 in all."""
    steps: Array
    """(q, p)"""
    u: Array
    """(q, p)"""
    away_variance: Array
    """Of what is next by the best guess, (n,) mm2."""
    away: Array
    """Each entry found less what all others expect of it, (n,) mm."""
    chance: Array
    """How rarely the others would let an entry be as far off, (n,)."""
    rest: Array
    """Logarithm of how well all others go together without the entry, (n,)."""

    @property
    def middle(self) -> Array:
        """The mean step over all guesses, (p,)."""
        found: Array = self.weight @ self.steps
        return found

    def half_widths(self) -> Array:
        """Of intervals round the middle that hold 95 in 100, (p,)."""
        return half_widths(self.weight, self.steps - self.middle, self.u)


def spread_of(rows: Rows, noise: float, dof: float | None, usual: float = 0.0) -> Spread:
    """Guesses round the best ``noise``, mm.

    ``dof`` are its degrees of freedom, None where it is given; ``usual`` is what such pieces
    scatter as a rule, mm, 0 where nobody knows.
    """
    belief = Belief(rows, usual)
    guesses = [rows.with_noise(each) for each in _noises(belief, noise, dof)]
    shifts, widths = _shifts(guesses[0])
    steps, u, logs = [], [], []
    for given in guesses:
        found = given.at(shifts)
        steps.append(found.steps)
        u.append(np.sqrt(np.maximum(np.einsum("qii->qi", found.covariance), 0.0)))
        logs.append(found.likelihood + np.log(widths) + belief.log(given.noise))
    weight = _weights(np.concatenate(logs))
    by_shift = weight.reshape(len(guesses), -1).sum(axis=0)
    day = float(shifts[_half_way(by_shift)])
    best = rows.with_noise(noise).at(np.array([day, 0.0]))
    kept = weight > 1e-9
    by_noise = weight.reshape(len(guesses), -1).sum(axis=1)
    return Spread(
        _most(np.array([given.noise for given in guesses]), by_noise),
        belief.hidden,
        day,
        best.covariance[0],
        best.steps[1],
        weight[kept],
        np.concatenate(steps)[kept],
        np.concatenate(u)[kept],
        best.expected(0)[1],
        *_without_each([given.at(np.array([day])) for given in guesses], belief),
    )


def likely_day(given: WithNoise) -> float:
    """The scatter from day to day, mm, that is as likely too small as too large."""
    shifts, widths = _shifts(given)
    weight = _weights(given.at(shifts).likelihood + np.log(widths))
    return float(shifts[_half_way(weight)])


@dataclass(frozen=True)
class Belief:
    """What is believed of the scatter from piece to piece before its readings are looked at."""

    rows: Rows
    usual: float

    def log(self, noise: float) -> float:
        """Logarithm of the prior of the scatter's logarithm.

        As if nothing were known: all logarithms alike where the scatter is seen, and all scatters
        alike where the instrument's step hides it. Where the tools are known, a scatter far below
        theirs counts as less likely the smaller it is.
        """
        rows = self.rows
        alone = (rows.piece < 0) & (rows.spread > 0)
        own = rows.spread[alone] * noise**2
        informed = float((own / (own + np.maximum(rows.fixed[alone], 1e-18))).sum())
        if len(rows.of_piece):
            shared = rows.piece >= 0
            weight = np.bincount(rows.piece[shared], 1 / np.maximum(rows.fixed[shared], 1e-18))
            own = rows.of_piece * noise**2
            informed += float((own / (own + 1 / weight)).sum())
        seen = math.hypot(noise, self.hidden)
        low = seen / (seen + LOW_SHARE * self.usual) if self.usual > 0 else 1.0
        return 0.5 * math.log(max(informed, 1e-300)) + LOW_POWER * math.log(max(low, 1e-300))

    @cached_property
    def hidden(self) -> float:
        """What the known part of the variances alone would scatter, mm."""
        some = self.rows.spread > 0
        if not some.any():
            return 0.0
        return float(np.sqrt(np.median(self.rows.fixed[some] / self.rows.spread[some])))


def _noises(belief: Belief, noise: float, dof: float | None) -> list[float]:
    """Scatters from piece to piece that are worth a look, the best one first."""
    if dof is None or dof > PLENTY:
        return [noise]
    start = max(noise, 1e-2 * belief.hidden, 1e-9)
    step = FINE / math.sqrt(2 * max(dof, 3.0))
    found = [start]
    first = _log_weights(belief, start)
    for way in (1.0, -1.0):
        most = first
        for k in range(1, MOST_GUESSES + 1):
            guess = start * math.exp(way * k * step)
            logs = _log_weights(belief, guess)
            most = np.maximum(most, logs)
            found.append(guess)
            if (logs < most + LEAST_LOG).all():
                break
    return found


def _log_weights(belief: Belief, noise: float) -> Array:
    """How likely a scatter is to all entries, and to all but each of them, (1 + n,)."""
    guess = belief.rows.with_noise(noise).at(np.zeros(1))
    away, variance = guess.expected(0)
    own = 0.5 * (np.log(variance) + away**2 / variance)
    found: Array = guess.likelihood[0] + belief.log(noise) + np.concatenate([[0.0], own])
    return found


def _shifts(given: WithNoise) -> tuple[Array, Array]:
    """Scatters from day to day that are worth a look, and how much of the prior each stands for."""
    if given.rows.days < 2:
        return np.zeros(1), np.ones(1)
    low, high = 0.0, 1.0
    for _ in range(3):
        wide = (high - low) / DAY_GUESSES
        middle = low + wide * (np.arange(DAY_GUESSES) + 0.5)
        likelihood = given.at(DAY_MM * np.tan(np.pi / 2 * middle)).likelihood
        likely = np.flatnonzero(likelihood > likelihood.max() + LEAST_LOG)
        new_low = max(low + wide * (likely[0] - 1), 0.0)
        new_high = min(low + wide * (likely[-1] + 2), 1.0)
        if new_high - new_low > 0.6 * (high - low):
            break
        low, high = new_low, new_high
    return DAY_MM * np.tan(np.pi / 2 * middle), np.full(DAY_GUESSES, wide)


def _most(noises: Array, weight: Array) -> float:
    """The scatter that 95 in 100 of these, each so likely, lie below."""
    order = np.argsort(noises)
    below = np.cumsum(weight[order]) - weight[order] / 2
    return float(np.interp(1 - 2 * COVERAGE_TAIL, below, noises[order]))


def _half_way(weight: Array) -> int:
    """The place up to which half of the weight lies."""
    return min(int((np.cumsum(weight) < 0.5).sum()), len(weight) - 1)


def _weights(logs: Array) -> Array:
    likely = np.exp(logs - logs.max())
    found: Array = likely / likely.sum()
    return found


def _without_each(guesses: list[Guesses], belief: Belief) -> tuple[Array, Array, Array]:
    """What the others, who alone judge the scatter, expect of each entry over all guesses."""
    from scipy.special import logsumexp, ndtr

    away, tails, logs = [], [], []
    for guess in guesses:
        off, variance = guess.expected(0)
        ratio = off / np.sqrt(variance)
        own = 0.5 * np.log(variance) + 0.5 * ratio**2
        logs.append(guess.likelihood[0] + belief.log(guess.rows.noise) + own)
        away.append(off)
        tails.append(2 * ndtr(-np.abs(ratio)))
    whole = logsumexp(logs, axis=0)
    weight = np.exp(np.array(logs) - whole)
    return (weight * away).sum(axis=0), (weight * tails).sum(axis=0), whole


def half_widths(weight: Array, off: Array, u: Array, tail: float = 2 * COVERAGE_TAIL) -> Array:
    """How far either way normal laws (q, p) of these weights (q,) reach with all but ``tail``."""
    from scipy.special import ndtr

    safe = np.maximum(u, 1e-300)
    low, high = np.zeros(u.shape[1]), np.abs(off).max(axis=0) + 10 * u.max(axis=0)
    for _ in range(60):
        middle = (low + high) / 2
        inside = ndtr((middle - off) / safe) - ndtr((-middle - off) / safe)
        short = weight @ inside < 1 - tail
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    found: Array = (low + high) / 2
    return found
