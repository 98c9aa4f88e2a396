"""Weighted least squares of readings and go / no-go findings, with covariance and noise.

One function fits whatever model it is given: papers, printers, and the lines that others have
certified. The noise from piece to piece is not taken on trust where the readings can tell it: it
is chosen so that the weighted squares of the residuals add up to their degrees of freedom (the
method of moments of Mandel and Paule).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.learn.blocks import triangle
from fitcheck.learn.evaluate import effective_dof
from fitcheck.learn.solving import Data, Model, Solved, middle, solve

Array = np.ndarray
NOISE_SHARE = 1e-11
"""How closely the noise is sought."""
LEAST_NOISE, MOST_NOISE = 1e-4, 1e6
"""Where it is sought, as shares of what is usual."""
NEAR_NOISE = 1.5
"""By how much the search widens first."""
LEAST_DOF = 3.0
"""With fewer degrees of freedom the spread of the residuals says nothing about the noise."""
TELLS = 1e-7
"""Directions whose information is a smaller share than this of the best are not told apart."""


@dataclass(frozen=True, eq=False)
class Fit:
    """The fitted parameters and what is known about them."""

    names: tuple[str, ...]
    values: Array
    covariance: Array
    dof: Array
    """Effective degrees of freedom of each parameter's uncertainty."""
    noise: float
    """Standard deviation from piece to piece, mm."""
    noise_dof: float
    """Degrees of freedom it was estimated with; inf when it was given."""
    residuals: Array
    """Found less fitted, its piece's error with it, (n,) mm; from the middle for a finding between
    two gauges."""
    leverage: Array
    """Share of each entry in its own fitted value, (n,)."""
    variance: Array
    """Of each entry, (n,) mm2."""
    kept: tuple[str, ...]
    """Parameters that these readings cannot tell: they stay at what was believed."""

    def value(self, name: str) -> float:
        """One parameter."""
        return float(self.values[self.names.index(name)])

    def u(self, name: str) -> float:
        """Its standard uncertainty."""
        place = self.names.index(name)
        return math.sqrt(max(0.0, float(self.covariance[place, place])))

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
    model, kept = told_apart(model, data, keep)
    if near is not None and near.names == model.names:
        model = replace(model, start=near.values)
    noise, noise_dof, last = _noise(model, data, given_noise, near)
    solved = solve(model, data, noise, last.values, last.errors)
    covariance = solved.inverse @ solved.inverse.T
    told = solved.design[: len(data.value)]
    gain = (covariance @ told.T) / np.sqrt(solved.variance)
    return Fit(
        model.names,
        solved.values,
        covariance,
        _dof(gain, covariance, ((data.spread * noise**2, noise_dof), *repeats)),
        noise,
        noise_dof,
        middle(data) - model.values(solved.values) - solved.shared_by(data),
        solved.leverage()[: len(data.value)],
        solved.variance,
        kept,
    )


def told_apart(
    model: Model, data: Data, keep: tuple[tuple[str, float, float], ...]
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


def _noise(
    model: Model, data: Data, given: float | None, near: Fit | None
) -> tuple[float, float, Solved]:
    """The noise from piece to piece, its degrees of freedom, and a solution close by."""
    from scipy.optimize import brentq

    start = _scale(model, data) if given is None or given <= 0 else given
    probe = solve(model, data, start, model.start)
    dof = probe.noise_dof()
    if not (data.spread > 0).any():
        return 0.0, math.inf, probe
    if dof < LEAST_DOF - 1e-9:
        if given is None:
            raise ModelError(f"too few readings: {dof:.1f} degrees of freedom, at least 3 needed")
        return given, math.inf, probe

    seen, known = [probe], dict[float, float]()

    def excess(noise: float) -> float:
        if noise not in known:
            seen[0] = solved = solve(model, data, noise, seen[0].values, seen[0].errors)
            squares = float((solved.total[solved.noisy] ** 2).sum())
            known[noise] = squares - solved.noise_dof()
        return known[noise]

    least, most, step = start * LEAST_NOISE, start * MOST_NOISE, NEAR_NOISE
    low = high = near.noise if near is not None and least < near.noise < most else start
    while excess(high) > 0 and high < most:
        low, high, step = high, min(high * step, most), step**2
    if excess(high) > 0:
        raise ModelError(
            "what was read of one piece differs by more than the instrument's steps and its "
            "repeats explain, whatever the pieces scatter"
        )
    while excess(low) <= 0 and low > least:
        low, high, step = max(low / step, least), low, step**2
    if excess(low) <= 0:
        return 0.0 if data.fixed_variance.min() > 0 else low, dof, seen[0]
    noise = float(brentq(excess, low, high, rtol=NOISE_SHARE, xtol=NOISE_SHARE * start))
    # One proportional step more is exact where all variance is noise, and no harm elsewhere.
    return noise * math.sqrt(1 + excess(noise) / dof), dof, seen[0]


def _scale(model: Model, data: Data) -> float:
    """A first guess of the noise: the residuals of a plain fit."""
    slopes = model.slopes(model.start)
    found = middle(data)
    step, *_ = np.linalg.lstsq(slopes, found - model.values(model.start), rcond=None)
    rest = found - model.values(model.start) - slopes @ step
    return max(float(np.sqrt(np.mean(rest**2))), 1e-9)


def _dof(gain: Array, covariance: Array, estimated: Sequence[tuple[Array, float]]) -> Array:
    """Effective degrees of freedom of each parameter: only estimated variances have few."""
    found = []
    for place, row in enumerate(gain):
        rest = float(covariance[place, place])
        parts = []
        for variance, dof in estimated:
            part = min(float((row**2 * variance).sum()), rest)
            rest -= part
            parts.append((math.sqrt(part), dof))
        found.append(effective_dof([*parts, (math.sqrt(rest), math.inf)]))
    return np.array(found)
