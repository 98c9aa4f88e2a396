"""Weighted least squares of readings and go / no-go findings, with covariance and scatter.

One function fits whatever model it is given: papers, printers, and the lines that others have
certified. The scatter from piece to piece is not taken on trust where the readings can tell it: it
is the most likely one by the restricted likelihood (for equal readings the squares over their
degrees of freedom), and intervals allow for how little few readings say of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.learn.block_elimination import triangle
from fitcheck.learn.evaluate import dof_of_factor
from fitcheck.learn.likelihood import interval_residuals
from fitcheck.learn.nested import Rows
from fitcheck.learn.scatter import Spread, likely_day, spread_of
from fitcheck.learn.solving import Data, Model, Solved, middle, solve
from fitcheck.uncertainty import effective_dof, width_variance

Array = np.ndarray
NOISE_SHARE = 1e-12
"""How closely the scatter is sought."""
LEAST_NOISE, MOST_NOISE = 1e-4, 1e6
"""Where it is sought, as shares of what is usual."""
NEAR_NOISE = 1.5
"""By how much the search widens first."""
LEAST_DOF = 3.0
"""With fewer degrees of freedom the spread of the residuals says nothing about the scatter."""
MOST_ROUNDS = 8
"""So often the scatter and the parameters are sought in turn."""
TELLS = 1e-7
"""Directions whose information is a smaller share than this of the best are not told apart."""


@dataclass(frozen=True, eq=False)
class Fit:
    """The fitted parameters and what is known about them."""

    names: tuple[str, ...]
    values: Array
    """The middle of what the readings allow, (p,)."""
    likely: Array
    """The most likely ones at the most likely scatter, (p,)."""
    covariance: Array
    """At that scatter, (p, p)."""
    dof: Array
    """Effective degrees of freedom of each parameter's uncertainty: those of the Student's t that
    has its 95 % interval."""
    noise: float
    """Standard deviation from piece to piece, mm."""
    noise_dof: float
    """Degrees of freedom it was estimated with; inf when it was given."""
    day_mm: float
    """Standard deviation from day to day, mm; 0 where all was made on one."""
    residuals: Array
    """Found less fitted, its piece's error with it, (n,) mm; from the middle for a finding between
    two gauges."""
    leverage: Array
    """Share of each entry in its own fitted value, (n,)."""
    variance: Array
    """Of each entry, (n,) mm2."""
    gain: Array
    """What each entry moves each parameter by, (p, n)."""
    spread: Spread
    """What all guesses of the scatters say."""
    kept: tuple[str, ...]
    """Parameters that these readings cannot tell: they stay at what was believed."""

    def value(self, name: str) -> float:
        """One parameter."""
        return float(self.values[self.names.index(name)])

    def u(self, name: str) -> float:
        """Its standard uncertainty."""
        place = self.names.index(name)
        return math.sqrt(max(0.0, float(self.covariance[place, place])))

    def with_other(self, name: str, other: str) -> float:
        """How much larger one parameter is where another is larger, for each 1 of that."""
        row, column = self.names.index(name), self.names.index(other)
        return float(self.covariance[row, column] / self.covariance[column, column])

    def dof_of(self, name: str) -> float:
        """Effective degrees of freedom of that uncertainty."""
        return float(self.dof[self.names.index(name)])


def fit(
    model: Model,
    data: Data,
    *,
    given_noise: float | None,
    repeats: Sequence[tuple[Array, float]] = (),
    keep: tuple[tuple[str, float, float], ...] = (),
    near: Fit | None = None,
) -> Fit:
    """Fit ``model`` to ``data``.

    ``given_noise`` is taken (mm) where the residuals have too few degrees of freedom to tell it;
    None insists on the residuals. Each of ``repeats`` holds the part of the entries' variance that
    comes from repeats, (n,) mm2, and its degrees of freedom. ``keep`` holds (name, belief,
    uncertainty) in the order in which parameters give way where the readings cannot tell them
    apart. ``near`` is a fit of nearly the same entries, to begin from. Raises ``ModelError`` when
    nothing converges.
    """
    model, kept = told_apart(model, keep)
    if near is not None and near.names == model.names:
        model = replace(model, start=near.values)
    solved, noise, dof = _noise(model, data, given_noise, near)
    spread = spread_of(linear_rows(model, data, solved), noise, dof, given_noise or 0.0)
    covariance = solved.inverse @ solved.inverse.T
    rows = solved.design[: len(data.value)]
    gain = (covariance @ rows.T) / np.sqrt(solved.variance)
    values = solved.values + spread.middle - spread.still
    if spread.day > 0:
        covariance = spread.covariance
    of_noise = math.inf if dof is None else dof
    return Fit(
        names=model.names,
        values=values,
        likely=solved.values,
        covariance=covariance,
        dof=_dof(gain, covariance, spread, repeats),
        noise=noise,
        noise_dof=of_noise,
        day_mm=spread.day,
        residuals=middle(data) - model.values(values) - solved.shared_by(data),
        leverage=solved.leverage()[: len(data.value)],
        variance=solved.variance,
        gain=gain,
        spread=spread,
        kept=kept,
    )


def told_apart(
    model: Model, keep: tuple[tuple[str, float, float], ...]
) -> tuple[Model, tuple[str, ...]]:
    """The model with beliefs put in for what the readings cannot tell, and their names."""
    slopes = triangle(model.slopes(model.start))
    prior, prior_u, kept = model.prior.copy(), model.prior_u.copy(), []
    for name, belief, u in keep:
        believed = np.isfinite(prior_u)
        rows = np.vstack([slopes, np.diag(1 / np.where(believed, prior_u, 1.0))[believed]])
        size = np.linalg.norm(rows, axis=0)
        scaled = rows / np.where(size > 0, size, 1.0)
        lengths = np.linalg.svd(scaled, full_matrices=True)
        values = np.zeros(rows.shape[1])
        values[: len(lengths[1])] = lengths[1]
        blind = lengths[2][values < TELLS * max(1.0, values.max())]
        place = model.names.index(name)
        if len(blind) and np.abs(blind[:, place]).max() > 1e-6:
            prior[place], prior_u[place] = belief, u
            kept.append(name)
    return replace(model, prior=prior, prior_u=prior_u), tuple(kept)


def linear_rows(model: Model, data: Data, solved: Solved) -> Rows:
    """The entries near a solution; each finding counts as the reading that tells as much."""
    m = model.values(solved.values)
    sizes = m + solved.shared_by(data)
    found, fixed, spread = middle(data) - m, data.fixed_variance.copy(), data.spread
    both = data.gauged & np.isfinite(data.go) & np.isfinite(data.nogo)
    fixed[both] += width_variance(data.nogo[both] - data.go[both])
    alone = data.gauged & ~both
    if alone.any():
        s = np.sqrt(solved.given_variance)[alone]
        root, slope = interval_residuals(sizes[alone], data.go[alone], data.nogo[alone], s)
        fixed[alone] = solved.variance[alone]
        found[alone] = sizes[alone] - m[alone] - root * slope * fixed[alone]
        spread = np.where(alone & (data.piece < 0), 0.0, spread)
    believed = np.isfinite(model.prior_u)
    prior = np.where(believed, model.prior - solved.values, 0.0)
    weight = np.where(believed, 1 / np.where(believed, model.prior_u, 1.0) ** 2, 0.0)
    shifted = (data.spread > 0).astype(float)
    slopes = model.slopes(solved.values)
    return Rows(
        slopes=slopes,
        found=found,
        fixed=fixed,
        spread=spread,
        piece=data.piece,
        day=data.days,
        shifted=shifted,
        prior=prior,
        prior_weight=weight,
    )


def _noise(
    model: Model, data: Data, given: float | None, near: Fit | None
) -> tuple[Solved, float, float | None]:
    """A solution, the scatter from piece to piece that it has, and its degrees of freedom.

    These are None where the scatter is given, as it is where nothing that was read scatters.
    """
    start = _scale(model, data) if given is None or given <= 0 else given
    solved = solve(model, data, start, model.start)
    if not (data.spread > 0).any():
        return solve(model, data, 0.0, solved.values, solved.errors), given or 0.0, None
    dof = solved.noise_dof()
    if dof < LEAST_DOF - 1e-9:
        if given is None:
            raise ModelError(f"too few readings: {dof:.1f} degrees of freedom, at least 3 needed")
        return solved, given, None
    noise, bent = start, _is_bent(model, data)
    aim = near.noise if near is not None and near.noise > 0 else start
    for _ in range(MOST_ROUNDS):
        before, noise = noise, most_likely(linear_rows(model, data, solved), start, aim)
        solved, aim = solve(model, data, noise, solved.values, solved.errors), noise
        if abs(noise - before) <= 1e-9 * before or not (bent or data.days.any()):
            break
    return solved, noise, dof


def most_likely(rows: Rows, usual: float, near: float) -> float:
    """The scatter from piece to piece that the entries make most likely, mm; it may be 0.

    Never fails: where the likelihood only rises or falls, it is the end of what is looked at.
    """
    from scipy.optimize import brentq

    day, known = np.array([likely_day(rows.with_noise(near))]), dict[float, float]()
    score = partial(_score, rows=rows, day=day, known=known)
    least, most, step = usual * LEAST_NOISE, usual * MOST_NOISE, NEAR_NOISE
    low = high = min(max(near, least), most)
    while score(high) > 0 and high < most:
        low, high, step = high, min(high * step, most), step**2
    while score(low) <= 0 and low > least:
        low, high, step = max(low / step, least), low, step**2
    if score(high) > 0:
        return high
    if score(low) <= 0:
        return 0.0 if float(rows.fixed.min()) > 0 else low
    # Given as arguments, the rows are let go: the solver's own wrapping refers to itself for ever.
    given, fine = (rows, day, known), NOISE_SHARE * usual
    return float(brentq(_score, low, high, args=given, rtol=NOISE_SHARE, xtol=fine))


def _score(noise: float, rows: Rows, day: Array, known: dict[float, float]) -> float:
    """Derivative of the likelihood of this scatter, each looked at once."""
    if noise not in known:
        known[noise] = rows.with_noise(noise).at(day).score(0)
    return known[noise]


def _is_bent(model: Model, data: Data) -> bool:
    """Whether the entries depend on the parameters or on their scatter by more than a line."""
    ahead = model.start + 1.0
    return bool(data.gauged.any() or (model.slopes(ahead) != model.slopes(model.start)).any())


def _scale(model: Model, data: Data) -> float:
    """A first guess of the scatter: the residuals of a plain fit."""
    slopes = model.slopes(model.start)
    found = middle(data)
    step, *_ = np.linalg.lstsq(slopes, found - model.values(model.start), rcond=None)
    rest = found - model.values(model.start) - slopes @ step
    return max(float(np.sqrt(np.mean(rest**2))), 1e-9)


def _dof(
    gain: Array, covariance: Array, spread: Spread, repeats: Sequence[tuple[Array, float]]
) -> Array:
    """Effective degrees of freedom of each parameter: few where few readings tell a scatter."""
    wide = spread.half_widths()
    found = []
    for place, row in enumerate(gain):
        rest = float(covariance[place, place])
        whole = dof_of_factor(float(wide[place]) / math.sqrt(rest)) if rest > 0 else math.inf
        parts = []
        for variance, dof in repeats:
            part = min(float((row**2 * variance).sum()), rest)
            rest -= part
            parts.append((math.sqrt(part), dof))
        found.append(effective_dof([*parts, (math.sqrt(rest), whole)]))
    return np.array(found)
