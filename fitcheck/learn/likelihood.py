"""Go and no-go findings are readings known to lie in an interval, and count by their likelihood.

A finding with noise ``s`` about a true size ``m`` has the likelihood that the size met by the
gauges lay between the largest that went in and the smallest that did not. Its signed root,

    r(m) = sign(m - middle) sqrt(2 (log L(best) - log L(m)))

behaves like the residual of a reading: half its square is the loss of log-likelihood. So findings
and readings go into one least-squares fit that is the maximum likelihood of both.
"""

import numpy as np

from fitcheck.uncertainty import width_variance

Array = np.ndarray
NEAR = 1e-3
"""Closer to the middle than this many ``s`` the root is taken from its series."""
SQRT_TAU = np.sqrt(2 * np.pi)


def interval_residuals(m: Array, go: Array, nogo: Array, s: Array) -> tuple[Array, Array]:
    """Signed root of the lost log-likelihood, and its derivative by ``m``; all (n,), mm.

    ``go`` may be -inf and ``nogo`` inf, not both.
    """
    two_sided = np.isfinite(go) & np.isfinite(nogo)
    roots, slopes = np.empty_like(m), np.empty_like(m)
    if two_sided.any():
        part = (m[two_sided], go[two_sided], nogo[two_sided], s[two_sided])
        roots[two_sided], slopes[two_sided] = _between(*part)
    one = ~two_sided
    if one.any():
        roots[one], slopes[one] = _beyond(m[one], go[one], nogo[one], s[one])
    return roots, slopes


def equivalent_variance(m: Array, go: Array, nogo: Array, s: Array) -> Array:
    """Variance of the reading that would tell as much as each finding, (n,) mm2.

    Between two gauges the size is anywhere (JCGM 100, 4.3.7): the steps' rectangle is added to
    the noise. With one gauge alone it is the curvature of the likelihood that tells.
    """
    two_sided = np.isfinite(go) & np.isfinite(nogo)
    width = np.where(two_sided, nogo - go, 0.0)
    z = np.where(np.isfinite(go), (m - go) / s, (nogo - m) / s)
    ratio = _mills(z)
    curvature = np.maximum(ratio * (ratio + z), 1e-300)
    return np.where(two_sided, s**2 + width_variance(width), s**2 / curvature)


def _between(m: Array, go: Array, nogo: Array, s: Array) -> tuple[Array, Array]:
    from scipy.special import ndtr

    half = (nogo - go) / (2 * s)
    x = (m - (go + nogo) / 2) / s
    most = 2 * ndtr(half) - 1
    lost = 2 * (np.log(most) - _log_between(np.abs(x), half))
    root = np.sqrt(np.maximum(lost, 0.0))
    bend = np.sqrt(np.maximum(2 * half * _density(half) / most, 0.0))
    near = (np.abs(x) < NEAR) | (root == 0)
    steep = _slope_of_log(np.abs(x), half) / np.where(near, 1.0, root)
    return np.where(near, bend * x, np.sign(x) * root), np.where(near, bend, steep) / s


def _log_between(x: Array, half: Array) -> Array:
    """Log of Phi(half - x) - Phi(-half - x) for x >= 0, without loss far away."""
    from scipy.special import log_ndtr

    upper, lower = log_ndtr(half - x), log_ndtr(-half - x)
    difference: Array = upper + np.log1p(-np.exp(lower - upper))
    return difference


def _slope_of_log(x: Array, half: Array) -> Array:
    """Minus the derivative of ``_log_between`` by x."""
    log_probability = _log_between(x, half)
    near = np.exp(-((half - x) ** 2) / 2 - log_probability)
    far = np.exp(-((half + x) ** 2) / 2 - log_probability)
    slope: Array = (near - far) / SQRT_TAU
    return slope


def _beyond(m: Array, go: Array, nogo: Array, s: Array) -> tuple[Array, Array]:
    from scipy.special import log_ndtr

    upward = np.isfinite(go)
    z = np.where(upward, m - go, nogo - m) / s
    root = np.sqrt(-2 * log_ndtr(z))
    safe = np.where(root > 0, root, 1.0)
    slope = np.where(root > 0, -_mills(z) / safe, 0.0)
    return root, np.where(upward, slope, -slope) / s


def _mills(z: Array) -> Array:
    """Density over distribution of the standard normal."""
    from scipy.special import log_ndtr

    ratio: Array = np.exp(-(z**2) / 2 - log_ndtr(z)) / SQRT_TAU
    return ratio


def _density(z: Array) -> Array:
    density: Array = np.exp(-(z**2) / 2) / SQRT_TAU
    return density
