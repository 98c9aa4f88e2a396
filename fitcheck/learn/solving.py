"""The most likely parameters for a given noise, from readings and findings in one least squares."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.learn.likelihood import equivalent_variance, interval_residuals

Array = np.ndarray
PRECISION = 1e-14


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

    @property
    def gauged(self) -> Array:
        """Which entries are go / no-go findings."""
        found: Array = np.isnan(self.value)
        return found

    def take(self, chosen: Array) -> "Data":
        """Some of the entries."""
        return Data(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))


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
    """One solution."""

    values: Array
    """Parameters and, behind them, the errors of shared pieces."""
    design: Array
    """Weighted derivatives of all rows, (n + priors, p + pieces)."""
    weighted: Array
    """Weighted residuals of the entries, (n,)."""
    variance: Array
    noisy: Array
    """Which rows tell about the noise, (n + priors,)."""
    total: Array
    """Weighted residuals of all rows."""


def solve(model: Model, data: Data, noise: float, start: Array) -> Solved:
    """Most likely parameters for a given noise from piece to piece."""
    from scipy.optimize import least_squares

    count = len(model.names)
    pieces = int(data.piece.max()) + 1 if len(data.piece) else 0
    shared = data.piece >= 0
    variance = data.fixed_variance + np.where(shared, 0.0, data.spread * noise**2)
    variance = np.maximum(variance, 1e-18)
    believed = np.flatnonzero(np.isfinite(model.prior_u))
    piece_u = np.array(
        [noise * math.sqrt(data.spread[data.piece == k].max()) for k in range(pieces)]
    )
    piece_u = np.maximum(piece_u, 1e-9)
    error = np.zeros((len(data.value), pieces))
    error[np.flatnonzero(shared), data.piece[shared]] = 1.0
    sd, gauged = np.sqrt(variance), data.gauged

    def parts(x: Array) -> tuple[Array, Array]:
        m = model.values(x[:count]) + error @ x[count:]
        slope = np.hstack([model.slopes(x[:count]), error])
        root = (m - np.where(gauged, 0.0, data.value)) / sd
        factor = 1 / sd
        if gauged.any():
            root[gauged], factor[gauged] = interval_residuals(
                m[gauged], data.go[gauged], data.nogo[gauged], sd[gauged]
            )
        priors = np.zeros((len(believed) + pieces, count + pieces))
        priors[np.arange(len(believed)), believed] = 1 / model.prior_u[believed]
        priors[len(believed) + np.arange(pieces), count + np.arange(pieces)] = 1 / piece_u
        beliefs = (x[believed] - model.prior[believed]) / model.prior_u[believed]
        residual = np.concatenate([root, beliefs, x[count:] / piece_u])
        return residual, np.vstack([slope * factor[:, None], priors])

    # The fitter asks for residuals and slopes of one point in turn.
    last: list[tuple[Array, tuple[Array, Array]]] = []

    def remembered(x: Array) -> tuple[Array, Array]:
        if not (last and np.array_equal(last[0][0], x)):
            last[:] = [(x.copy(), parts(x))]
        return last[0][1]

    first = np.concatenate([start, np.zeros(pieces)])
    rows = len(data.value) + len(believed) + pieces
    if rows < count + pieces:
        raise ModelError("there are fewer readings than things to learn from them")
    found = least_squares(
        lambda x: remembered(x)[0],
        first,
        jac=lambda x: remembered(x)[1],
        method="lm",
        xtol=PRECISION,
        ftol=PRECISION,
        gtol=PRECISION,
    )
    x = _polished(parts, found.x)
    residual, design = parts(x)
    m = model.values(x[:count]) + error @ x[count:]
    if gauged.any():
        told = equivalent_variance(m[gauged], data.go[gauged], data.nogo[gauged], sd[gauged])
        slope = np.hstack([model.slopes(x[:count]), error])[gauged]
        design[np.flatnonzero(gauged)] = slope / np.sqrt(told)[:, None]
        variance = variance.copy()
        variance[gauged] = told
        off = np.clip(middle(data)[gauged] - m[gauged], -1e9, 1e9)
        one_sided = ~(np.isfinite(data.go) & np.isfinite(data.nogo))[gauged]
        residual[np.flatnonzero(gauged)] = np.where(one_sided, 0.0, off / np.sqrt(told))
    noisy = np.concatenate(
        [
            (data.spread > 0) & ~(gauged & ~(np.isfinite(data.go) & np.isfinite(data.nogo))),
            np.zeros(len(believed), dtype=bool),
            np.ones(pieces, dtype=bool),
        ]
    )
    return Solved(x, design, residual[: len(data.value)], variance, noisy, residual)


def _polished(parts: Callable[[Array], tuple[Array, Array]], x: Array) -> Array:
    """One full step more: linear models are then solved to the last digit."""
    residual, design = parts(x)
    scale = np.linalg.norm(design, axis=0)
    scale = np.where(scale > 0, scale, 1.0)
    step, *_ = np.linalg.lstsq(design / scale, -residual, rcond=None)
    better = x + step / scale
    after, _ = parts(better)
    return better if after @ after <= residual @ residual * (1 + 1e-12) else x


def middle(data: Data) -> Array:
    """The reading, the middle of two gauges, or the one gauge there is."""
    low, high = np.isfinite(data.go), np.isfinite(data.nogo)
    gauge = (np.where(low, data.go, 0.0) + np.where(high, data.nogo, 0.0)) / np.maximum(
        low.astype(int) + high, 1
    )
    found: Array = np.where(data.gauged, gauge, data.value)
    return found


def inverse_of(design: Array) -> Array:
    """Pseudo-inverse of the weighted design, (p, n)."""
    found: Array = np.linalg.pinv(design, rcond=1e-13)
    return found
