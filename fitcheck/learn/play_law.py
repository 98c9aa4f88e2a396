"""The law of a play as it was frozen: a table of its levels, from which chances and scores come."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

Array = np.ndarray
LEVELS = (
    *(0.0005, 0.001, 0.0025, 0.005, 0.01, 0.015, 0.02),
    *(round(0.025 * k, 3) for k in range(1, 40)),
    *(0.98, 0.985, 0.99, 0.995, 0.9975, 0.999, 0.9995),
)
"""The shares of boxes whose greatest play is kept."""
LEAST_U_MM = 1e-6
LEAST_CHANCE = 1e-12


@dataclass(frozen=True)
class PlayLaw:
    """How the smaller play of a lid comes out over boxes, mm."""

    mean_mm: float
    u_mm: float
    """Standard deviation."""
    levels: tuple[float, ...]
    """(n,) rising, between 0 and 1."""
    values_mm: tuple[float, ...]
    """(n,) never falling: so large a share of boxes have at most this play."""

    @classmethod
    def of(cls, plays_mm: Array) -> PlayLaw:
        """The law of drawn plays (m,)."""
        values = np.quantile(plays_mm, LEVELS)
        return cls(float(plays_mm.mean()), float(plays_mm.std()), LEVELS, tuple(map(float, values)))

    def below(
        self, mm: Array | float, shift_mm: Array | float = 0.0, stretch: float = 1.0
    ) -> Array:
        """The share of boxes with less play than so much, of the shape of ``mm`` and ``shift_mm``.

        The law can be moved by ``shift_mm`` and drawn out about its mean by ``stretch``. Between
        levels it is linear; beyond the last ones it falls off as a normal law does.
        """
        from scipy.special import log_ndtr

        x = np.asarray((np.asarray(mm) - self.mean_mm - shift_mm) / stretch + self.mean_mm)
        values, u = np.array(self.values_mm), max(self.u_mm, LEAST_U_MM)
        found = np.interp(x, values, self.levels)

        def beyond(end_mm: float, share: float, side: float) -> Array:
            far = side * (x - self.mean_mm) / u
            end = min(side * (end_mm - self.mean_mm) / u, 0.0)
            fall: Array = share * np.exp(np.minimum(log_ndtr(far) - log_ndtr(end), 0.0))
            return fall

        found = np.where(x < values[0], beyond(values[0], self.levels[0], 1.0), found)
        top = 1.0 - beyond(values[-1], 1.0 - self.levels[-1], -1.0)
        return np.where(x > values[-1], top, found)

    def between(
        self, low: float, high: float, shift_mm: Array | float = 0.0, stretch: float = 1.0
    ) -> Array:
        """The share of boxes whose play lies between two lengths, mm; either may be infinite."""
        upper = self.below(high, shift_mm, stretch) if math.isfinite(high) else np.asarray(1.0)
        lower = self.below(low, shift_mm, stretch) if math.isfinite(low) else np.asarray(0.0)
        found: Array = np.maximum(upper - lower, LEAST_CHANCE)
        return found

    def score_at(self, mm: float) -> float:
        """The normal score of a play: how many deviations of a normal law it lies from the middle.

        It is the probability integral transform (Dawid 1984) laid on a normal law: if the forecast
        is right, scores of plays are those of a standard normal law.
        """
        from scipy.special import ndtri

        share = float(np.clip(self.below(mm), 1e-9, 1.0 - 1e-9))
        return float(ndtri(share))

    def crps(self, mm: float) -> float:
        """The continuous ranked probability score of a play that was measured, mm; 0 is perfect.

        The integral of (F(x) - [x >= mm])^2 over x, exact for the table's own law (Matheson and
        Winkler 1976; Gneiting and Raftery 2007, 4.2): it is the mean distance in mm where the
        forecast is a single play. For F linear from p to q over a width w it is
        w (p^2 + p q + q^2) / 3.

        >>> round(PlayLaw(0.5, 0.29, (0.0, 1.0), (0.0, 1.0)).crps(0.5), 6)
        0.083333
        """
        x = np.array((self.values_mm[0], *self.values_mm, self.values_mm[-1]))
        share = np.array((0.0, *self.levels, 1.0))
        at = float(np.clip(mm, x[0], x[-1]))
        index = int(np.searchsorted(x, at))
        if x[index] != at:
            within = np.interp(at, x[index - 1 : index + 1], share[index - 1 : index + 1])
            x, share = np.insert(x, index, at), np.insert(share, index, within)
        behind = np.arange(len(x) - 1) >= index
        p = np.where(behind, 1.0 - share[:-1], share[:-1])
        q = np.where(behind, 1.0 - share[1:], share[1:])
        return abs(mm - at) + float(np.sum(np.diff(x) * (p * p + p * q + q * q) / 3.0))


def scores_between(low: float, high: float) -> tuple[float, float]:
    """Means of z and of z^2 - 1 of a standard normal law between two scores; ends may be infinite.

    What a finding between two gauges, or a lid that bound, says on the average about a play that
    was not read (generalised residuals: Gourieroux, Monfort, Renault and Trognon 1987).

    >>> [round(x, 4) for x in scores_between(0.0, math.inf)]
    [0.7979, 0.0]
    """
    from scipy.special import ndtr

    mass = float(ndtr(-low) - ndtr(-high)) if low > 0 else float(ndtr(high) - ndtr(low))
    if mass < LEAST_CHANCE:
        middle = low if abs(low) < abs(high) else high
        return middle, middle**2 - 1.0
    at_low, at_high = _density(low), _density(high)
    first = (at_low - at_high) / mass
    second = (_times(low, at_low) - _times(high, at_high)) / mass
    return first, second


def _density(z: float) -> float:
    return math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi) if math.isfinite(z) else 0.0


def _times(z: float, density: float) -> float:
    return z * density if math.isfinite(z) else 0.0
