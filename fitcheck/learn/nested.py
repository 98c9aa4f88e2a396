"""Readings nested in pieces and pieces in days: what each guess of their scatters says, exactly.

With the scatter from piece to piece and from day to day given, all is normal and in closed form:
the most likely parameters, their covariance, the restricted likelihood of the guess (Patterson and
Thompson's, from memory), and for each entry what all others together expect of it. A piece's error
and a day's shift are taken out by the formula for an inverse of a sum (Woodbury), block by block,
so that time and memory grow with the number of entries.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

Array = np.ndarray
LEAST_VARIANCE = 1e-18
RANK = 1e-13


@dataclass(frozen=True, eq=False)
class Rows:
    """Entries near a solution, as a linear model of the parameters' steps from there."""

    slopes: Array
    """(n, p)"""
    found: Array
    """Found less expected at the solution, (n,) mm."""
    fixed: Array
    """Known variance, (n,) mm2."""
    spread: Array
    """How many times the squared scatter from piece to piece enters, (n,)."""
    piece: Array
    """Number of the piece whose error several entries share, or -1, (n,)."""
    day: Array
    """Number of the day, (n,); pieces do not go over a night."""
    shifted: Array
    """How many times a day's shift enters, (n,)."""
    prior: Array
    """Belief of the step of each parameter, (p,)."""
    prior_weight: Array
    """One over its squared uncertainty, (p,); 0 for none."""

    @cached_property
    def days(self) -> int:
        """How many days there are of which a shift could be told."""
        return len(np.unique(self.day[self.shifted > 0]))

    @cached_property
    def _pieces(self) -> int:
        return int(self.piece.max()) + 1 if len(self.piece) else 0

    @cached_property
    def of_piece(self) -> Array:
        """How many times the squared scatter enters each piece's error, (P,)."""
        found = np.zeros(self._pieces)
        shared = self.piece >= 0
        np.maximum.at(found, self.piece[shared], self.spread[shared])
        return found

    @cached_property
    def _columns(self) -> Array:
        """Slopes, findings and day shifts side by side, (n, p + 2)."""
        return np.column_stack([self.slopes, self.found, self.shifted])

    @cached_property
    def day_number(self) -> Array:
        """Days numbered without gaps, (n,)."""
        found: Array = np.unique(self.day, return_inverse=True)[1]
        return found

    @cached_property
    def _by_day(self) -> list[Array | slice]:
        """The places of each day's entries."""
        order = np.argsort(self.day_number, kind="stable")
        starts = np.flatnonzero(np.diff(self.day_number[order], prepend=-1) != 0)
        return [slice(None)] if len(starts) == 1 else list(np.split(order, starts[1:]))

    def with_noise(self, noise: float) -> WithNoise:
        """All that does not depend on the scatter from day to day."""
        shared = self.piece >= 0
        variance = self.fixed + np.where(shared, 0.0, self.spread * noise**2)
        variance = np.maximum(variance, LEAST_VARIANCE)
        weight = 1 / variance
        inverse = weight[:, None] * self._columns
        logs, none = float(np.log(variance).sum()), np.zeros(0)
        inner: Array = none
        total: Array = none
        if self._pieces:
            number = np.where(shared, self.piece, self._pieces)
            summed = _sums(number, inverse, self._pieces)
            total = np.bincount(number, weight, self._pieces + 1)[:-1]
            grown = 1 + self.of_piece * noise**2 * total
            inner = self.of_piece * noise**2 / grown
            logs += float(np.log(grown).sum())
            taken = np.vstack([inner[:, None] * summed, np.zeros(summed.shape[1])])
            inverse[shared] -= weight[shared, None] * taken[self.piece[shared]]
        products = [self._columns[of].T @ inverse[of] for of in self._by_day]
        return WithNoise(self, noise, weight, inverse, inner, total, np.array(products), logs)


@dataclass(frozen=True, eq=False)
class WithNoise:
    """Rows whose scatter from piece to piece is given."""

    rows: Rows
    noise: float
    weight: Array
    inverse: Array
    """Inverse variance times slopes, findings and shifts, (n, p + 2)."""
    inner: Array
    """What takes a piece's error out of its block, (P,)."""
    total: Array
    """Sum of a piece's weights, (P,)."""
    products: Array
    """By day, (D, p + 2, p + 2)."""
    logs: float
    """Logarithm of the variance's determinant."""

    def at(self, shifts: Array) -> Guesses:
        """What several scatters from day to day say, (q,) mm."""
        count = self.rows.slopes.shape[1]
        summed = self.products.sum(axis=0)
        own = self.products[:, -1, -1]
        toward = self.products[:, : count + 1, -1]
        squares = np.asarray(shifts, dtype=float)[:, None] ** 2
        grown = 1 + squares * own
        day_gain = squares / grown
        inside = summed[: count + 1, : count + 1] - np.einsum(
            "qd,di,dj->qij", day_gain, toward, toward
        )
        weight, prior = self.rows.prior_weight, self.rows.prior
        normal = inside[:, :count, :count] + np.diag(weight)
        aim = inside[:, :count, count] + weight * prior
        covariance, log_det = _inverses(normal)
        steps = np.einsum("qij,qj->qi", covariance, aim)
        rest = inside[:, count, count] + float(weight @ prior**2) - (aim * steps).sum(axis=1)
        likelihood = -0.5 * (self.logs + np.log(grown).sum(axis=1) + log_det + rest)
        return Guesses(self, day_gain, steps, covariance, likelihood)


@dataclass(frozen=True, eq=False)
class Guesses:
    """What each of q guesses of the scatter from day to day says."""

    rows: WithNoise
    day_gain: Array
    """What takes a day's shift out of its block, (q, D)."""
    steps: Array
    """The most likely steps, (q, p)."""
    covariance: Array
    """Of the parameters, (q, p, p)."""
    likelihood: Array
    """Logarithm of the restricted likelihood, (q,), up to what is the same for all guesses."""

    def _beside(self, k: int) -> tuple[Array, Array, Array]:
        """Of guess k: inverse variance times slopes, times findings; how it leans on the day."""
        given = self.rows
        count = given.rows.slopes.shape[1]
        if not self.day_gain[k].any():
            none = np.zeros(len(given.weight))
            return given.inverse[:, :count], given.inverse[:, count], none
        number = given.rows.day_number
        lean = given.inverse[:, -1] * self.day_gain[k][number]
        toward = given.products[number, : count + 1, -1]
        beside = given.inverse[:, : count + 1] - lean[:, None] * toward
        return beside[:, :count], beside[:, count], lean

    def expected(self, k: int) -> tuple[Array, Array]:
        """Found less what all others expect, and the variance of that difference, (n,) each."""
        given = self.rows
        rows = given.rows
        slopes, found, lean = self._beside(k)
        own = given.weight - lean * given.inverse[:, -1]
        shared = rows.piece >= 0
        if shared.any():
            own[shared] -= given.weight[shared] ** 2 * given.inner[rows.piece[shared]]
        explained = ((slopes @ self.covariance[k]) * slopes).sum(axis=1)
        left = np.maximum(own - explained, own * RANK)
        return (found - slopes @ self.steps[k]) / left, 1 / left

    def score(self, k: int) -> float:
        """Derivative of the restricted likelihood by the squared scatter from piece to piece."""
        given = self.rows
        rows = given.rows
        slopes, found, lean = self._beside(k)
        rest = found - slopes @ self.steps[k]
        own = given.weight - lean * given.inverse[:, -1]
        shared = rows.piece >= 0
        alone = ~shared
        spread = rows.spread
        explained = ((slopes @ self.covariance[k]) * slopes).sum(axis=1)
        score = float((spread * (rest**2 - (own - explained)))[alone].sum())
        if len(given.total):
            number = np.where(shared, rows.piece, len(given.total))
            summed = _sums(number, np.column_stack([slopes, rest]), len(given.total))
            leans = np.bincount(number, given.inverse[:, -1], len(given.total) + 1)[:-1]
            day = np.zeros(len(given.total), dtype=int)
            day[rows.piece[shared]] = rows.day_number[shared]
            block = given.total / (1 + rows.of_piece * given.noise**2 * given.total)
            block = block - self.day_gain[k][day] * leans**2
            explained = ((summed[:, :-1] @ self.covariance[k]) * summed[:, :-1]).sum(axis=1)
            score += float((rows.of_piece * (summed[:, -1] ** 2 - (block - explained))).sum())
        return score / 2


def _sums(number: Array, rows: Array, count: int) -> Array:
    """Sums of rows by number, (count, columns); numbers from ``count`` on are left out."""
    columns = [np.bincount(number, column, count + 1)[:count] for column in rows.T]
    return np.column_stack(columns)


def _inverses(normal: Array) -> tuple[Array, Array]:
    """Inverses of symmetric matrices (q, p, p), and the logarithms of their determinants."""
    size = np.sqrt(np.maximum(np.einsum("qii->qi", normal), 0.0))
    size = np.where(size > 0, size, 1.0)
    scaled = normal / (size[:, :, None] * size[:, None, :])
    values, vectors = np.linalg.eigh(scaled)
    significant = values > RANK * values[:, -1:]
    safe = np.where(significant, values, 1.0)
    inverse = np.einsum("qik,qk,qjk->qij", vectors, significant / safe, vectors)
    logs = np.where(significant, np.log(safe), 0.0).sum(axis=1) + 2 * np.log(size).sum(axis=1)
    return inverse / (size[:, :, None] * size[:, None, :]), logs
