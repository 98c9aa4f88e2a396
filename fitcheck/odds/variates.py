"""A variate is a quantity with its distribution, from which any number of values can be drawn."""

from __future__ import annotations

import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fitcheck.folding.pose import Array


class Law(enum.StrEnum):
    """The shape of a distribution."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    """Anywhere between two limits."""
    TRIANGULAR = "triangular"
    ARCSINE = "arcsine"
    """What swings between two limits, like a room's temperature."""


HALF_WIDTHS = {Law.RECTANGULAR: math.sqrt(3.0), Law.TRIANGULAR: math.sqrt(6.0), Law.ARCSINE: 2**0.5}
"""Half the distance of the limits over the standard uncertainty (JCGM 100, 4.3.7 to 4.3.9)."""


FAR, PANELS = 9.0, 600
"""How far out a normal density is summed, and in how many pairs of steps."""


@dataclass(frozen=True)
class Variate:
    """One quantity that is not known exactly."""

    name: str
    u: float
    """Standard uncertainty, in the quantity's own unit."""
    law: Law = Law.NORMAL
    mean: float = 0.0
    degrees: float = math.inf
    """Degrees of freedom of `u`; only the linear law's effective degrees use them."""
    largest_of: int = 1
    """Of so many that are alike only the largest counts, of less than 0 only the smallest; normal
    ones only. `u` and `mean` are those of one of them."""

    @property
    def expected(self) -> float:
        """Its expected value."""
        middle, _ = extremes(abs(self.largest_of))
        return self.mean + math.copysign(middle, self.largest_of) * self.u

    @property
    def deviation(self) -> float:
        """Its standard deviation."""
        return extremes(abs(self.largest_of))[1] * self.u

    @classmethod
    def between(cls, name: str, low: float, high: float) -> Variate:
        """Anywhere between two limits.

        >>> round(Variate.between("x", -4.0, 4.0).u, 4)
        2.3094
        """
        half = 0.5 * (high - low)
        return cls(name, half / HALF_WIDTHS[Law.RECTANGULAR], Law.RECTANGULAR, 0.5 * (low + high))


@lru_cache
def extremes(count: int) -> tuple[float, float]:
    """Mean and standard deviation of the largest of so many standard normal values.

    By Simpson's rule over the density n phi Phi^(n - 1) (David and Nagaraja, Order Statistics).

    >>> extremes(1), [round(value, 4) for value in extremes(2)]
    ((0.0, 1.0), [0.5642, 0.8256])
    """
    if count == 1:
        return 0.0, 1.0
    x = np.linspace(-FAR, FAR, 2 * PANELS + 1)
    below = 0.5 * (1.0 + np.array([math.erf(value / math.sqrt(2.0)) for value in x.tolist()]))
    weights = np.ones(len(x))
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    density = weights * np.exp(-0.5 * x**2) * below ** (count - 1)
    density /= density.sum()
    mean = float(density @ x)
    return mean, math.sqrt(float(density @ (x - mean) ** 2))


def draw_standard(law: Law, rng: np.random.Generator, out: Array) -> None:
    """Fill `out` (m,) with draws of mean 0 and standard deviation 1."""
    if law is Law.NORMAL:
        rng.standard_normal(out=out)
        return
    half = HALF_WIDTHS[law]
    rng.random(out=out)
    if law is Law.ARCSINE:
        out *= math.pi
        np.cos(out, out=out)
        out *= half
        return
    out -= 0.5
    out *= 2.0 * half
    if law is Law.TRIANGULAR:
        # one draw for each value: the inverse of the distribution, so that chunks do not matter
        out /= half
        np.copyto(out, np.sign(out) * (1.0 - np.sqrt(1.0 - np.abs(out))) * half)


def draw_values(
    variates: Sequence[Variate], streams: Sequence[np.random.Generator], out: Array
) -> Array:
    """Fill `out` (k, m), a row for each of k variates, each from a stream of its own."""
    for variate, stream, row in zip(variates, streams, out, strict=True):
        if variate.largest_of == 1:
            draw_standard(variate.law, stream, row)
        else:
            many = stream.standard_normal((len(row), abs(variate.largest_of)))
            np.max(many, axis=1, out=row)
            np.multiply(row, math.copysign(1.0, variate.largest_of), out=row)
        np.multiply(row, variate.u, out=row)
        if variate.mean:
            np.add(row, variate.mean, out=row)
    return out
