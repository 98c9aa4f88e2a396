"""The most likely parameters for a given noise, from readings and findings in one least squares."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.learn.block_elimination import Arrow, inverse, triangle
from fitcheck.learn.likelihood import equivalent_variance, interval_residuals

Array = np.ndarray
MOST_STEPS = 200
NEAR2 = 1e-20
"""A step that takes less than this off the weighted squares is the last: a ten thousand millionth
of a standard uncertainty."""
UNSEEN = 1e-11
"""A step that takes less than this share off the squares is not seen in them for rounding: so near
to the end each step is taken as long as it is shorter than the one before."""
LEAST_SHARE, MOST_SHARE = 1e-3, 1e12
"""How much of itself a step is held back by, from little to all."""


@dataclass(frozen=True, eq=False)
class Data:
    """What was found, one entry for each piece and feature; all arrays (n,), mm and mm2."""

    value: Array
    """Mean reading; NaN for a go / no-go finding."""
    go: Array
    """Largest gauge that went in; -inf when none did or it is a reading."""
    nogo: Array
    fixed_variance: Array
    """Known part: resolution and repeats."""
    spread: Array
    """How many times the squared noise from piece to piece enters; 0 where it does not."""
    piece: Array
    """Number of the piece whose error several entries share, or -1."""
    day: Array | None = None
    """Number of the day each was made on, (n,); None where all were made on one."""

    @property
    def days(self) -> Array:
        """Number of the day each was made on, (n,)."""
        return np.zeros(len(self.value), dtype=int) if self.day is None else self.day

    @property
    def gauged(self) -> Array:
        """Which entries are go / no-go findings."""
        found: Array = np.isnan(self.value)
        return found

    def take(self, chosen: Array) -> "Data":
        """Some of the entries."""
        return Data(
            self.value[chosen],
            self.go[chosen],
            self.nogo[chosen],
            self.fixed_variance[chosen],
            self.spread[chosen],
            self.piece[chosen],
            None if self.day is None else self.day[chosen],
        )


@dataclass(frozen=True, eq=False)
class Model:
    """What each entry should be as a function of the parameters."""

    names: tuple[str, ...]
    values: Callable[[Array], Array]
    """Parameters (p,) to entries (n,)."""
    slopes: Callable[[Array], Array]
    """Parameters (p,) to derivatives (n, p)."""
    start: Array
    prior: Array
    """Earlier belief (p,); only counts where ``prior_u`` is finite."""
    prior_u: Array
    """Standard uncertainty of it; inf for none."""


@dataclass(frozen=True, eq=False)
class Solved:
    """One solution. Rows are those of the entries, then of the beliefs, then of the pieces."""

    values: Array
    """Parameters, (p,)."""
    errors: Array
    """The errors of shared pieces, (pieces,)."""
    design: Array
    """Weighted derivatives of all rows beside the pieces' own, (rows, p)."""
    variance: Array
    """Of each entry, a finding's that of the reading that tells as much, (n,) mm2."""
    given_variance: Array
    """... and a finding's that of the size met by the gauges, (n,) mm2."""
    noisy: Array
    """Which rows tell about the noise, (rows,)."""
    total: Array
    """Weighted residuals of all rows."""
    of_pieces: Array
    """What the pieces' errors have in the hat matrix's diagonal, (rows,)."""

    @property
    def inverse(self) -> Array:
        """Pseudo-inverse of the design's triangle, (p, at most p); its square is the covariance."""
        return inverse(triangle(self.design))

    def shared_by(self, data: Data) -> Array:
        """The error that each entry shares with others of its piece, (n,) mm."""
        if not len(self.errors):
            return np.zeros(len(data.piece))
        found: Array = np.where(data.piece >= 0, self.errors[data.piece], 0.0)
        return found

    def leverage(self) -> Array:
        """Share of each row in its own fitted value, (rows,)."""
        found: Array = self.of_pieces + ((self.design @ self.inverse) ** 2).sum(axis=1)
        return found

    def noise_dof(self) -> float:
        """Degrees of freedom that are left to the rows that tell about the noise."""
        rows = self.design[self.noisy]
        root = self.inverse
        spent = float(np.trace(root.T @ (rows.T @ rows) @ root)) + self.of_pieces[self.noisy].sum()
        return float(self.noisy.sum() - spent)


def solve(
    model: Model, data: Data, noise: float, start: Array, errors: Array | None = None
) -> Solved:
    """Most likely parameters for a given noise from piece to piece.

    ``errors`` are where the pieces' errors are sought from, 0 if left out. Time and memory grow
    with the number of entries. Raises ``ModelError`` when there are too few or nothing converges.
    """
    pieces = int(data.piece.max()) + 1 if len(data.piece) else 0
    believed = np.flatnonzero(np.isfinite(model.prior_u))
    if len(data.value) + len(believed) < len(model.names):
        raise ModelError("there are fewer readings than things to learn from them")
    problem = _Problem(model, data, noise, believed, pieces)
    x, e = _descended(problem, start, np.zeros(pieces) if errors is None else errors)
    return problem.solved(x, e)


class _Problem:
    """The weighted rows of readings, findings and beliefs at any point."""

    def __init__(
        self, model: Model, data: Data, noise: float, believed: Array, pieces: int
    ) -> None:
        shared = data.piece >= 0
        variance = data.fixed_variance + np.where(shared, 0.0, data.spread * noise**2)
        spread = np.zeros(pieces)
        np.maximum.at(spread, data.piece[shared], data.spread[shared])
        self.model, self.data, self.believed = model, data, believed
        self.variance: Array = np.maximum(variance, 1e-18)
        self.sd: Array = np.sqrt(self.variance)
        self.prior_weight: Array = 1 / np.maximum(noise * np.sqrt(spread), 1e-9)
        self.gauged = data.gauged
        self.shared = shared
        none = np.zeros(len(believed))
        self.piece = np.concatenate([np.where(shared, data.piece, 0), none.astype(int)])
        self.unshared = none

    def sizes(self, x: Array, e: Array) -> Array:
        """What the entries should be, (n,)."""
        found = self.model.values(x)
        return found + np.where(self.shared, e[self.data.piece], 0.0) if len(e) else found

    def at(self, x: Array, e: Array) -> Arrow:
        """The rows where parameters and errors are these."""
        m, data, gauged = self.sizes(x, e), self.data, self.gauged
        root = (m - np.where(gauged, 0.0, data.value)) / self.sd
        factor = 1 / self.sd
        if gauged.any():
            root[gauged], factor[gauged] = interval_residuals(
                m[gauged], data.go[gauged], data.nogo[gauged], self.sd[gauged]
            )
        return self._arrow(x, e, root, factor)

    def _arrow(self, x: Array, e: Array, root: Array, factor: Array) -> Arrow:
        prior, prior_u = self.model.prior[self.believed], self.model.prior_u[self.believed]
        slopes = np.vstack(
            [
                self.model.slopes(x) * factor[:, None],
                np.eye(len(x))[self.believed] / prior_u[:, None],
            ]
        )
        residual = np.concatenate([root, (x[self.believed] - prior) / prior_u])
        own = np.concatenate([np.where(self.shared, factor, 0.0), self.unshared])
        return Arrow(slopes, residual, own, self.piece, self.prior_weight, e)

    def solved(self, x: Array, e: Array) -> Solved:
        """What the solution says: each finding counts as the reading that tells as much."""
        data, gauged, variance = self.data, self.gauged, self.variance.copy()
        m = self.sizes(x, e)
        residual = (m - np.where(gauged, 0.0, data.value)) / self.sd
        one_sided = gauged & ~(np.isfinite(data.go) & np.isfinite(data.nogo))
        if gauged.any():
            variance[gauged] = equivalent_variance(
                m[gauged], data.go[gauged], data.nogo[gauged], self.sd[gauged]
            )
            off = np.clip(middle(data)[gauged] - m[gauged], -1e9, 1e9)
            residual[gauged] = np.where(one_sided[gauged], 0.0, off / np.sqrt(variance[gauged]))
        arrow = self._arrow(x, e, residual, 1 / np.sqrt(variance))
        found = arrow.projected()
        noisy = [(data.spread > 0) & ~one_sided, self.unshared.astype(bool), self.prior_weight > 0]
        return Solved(
            x,
            e,
            found.rows,
            variance,
            self.variance,
            np.concatenate(noisy),
            np.concatenate([arrow.residual, self.prior_weight * e]),
            found.hat,
        )


def _descended(problem: _Problem, x: Array, e: Array) -> tuple[Array, Array]:
    """Gauss and Newton's steps to the least squares, held back as Marquardt has it where needed."""
    here, last = problem.at(x, e), np.inf
    for _ in range(MOST_STEPS):
        step, moved, lost = here.step()
        unseen = lost <= UNSEEN * here.loss
        if lost <= NEAR2 or (unseen and lost >= last):
            return x + step, e + moved
        last = lost
        ahead = problem.at(x + step, e + moved)
        share = LEAST_SHARE
        while not (unseen or ahead.loss < here.loss):
            if share > MOST_SHARE:
                return x, e  # no step whatever makes it less
            step, moved, _ = here.step(share)
            ahead = problem.at(x + step, e + moved)
            share *= 10
        x, e, here = x + step, e + moved, ahead
    raise ModelError("the fit does not come to rest")


def middle(data: Data) -> Array:
    """The reading, the middle of two gauges, or the one gauge there is."""
    low, high = np.isfinite(data.go), np.isfinite(data.nogo)
    gauge = (np.where(low, data.go, 0.0) + np.where(high, data.nogo, 0.0)) / np.maximum(
        low.astype(int) + high, 1
    )
    found: Array = np.where(data.gauged, gauge, data.value)
    return found
