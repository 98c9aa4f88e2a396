"""A variate is a quantity with its distribution, from which any number of values can be drawn."""

from __future__ import annotations

import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass

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

    @classmethod
    def between(cls, name: str, low: float, high: float) -> Variate:
        """Anywhere between two limits.

        >>> round(Variate.between("x", -4.0, 4.0).u, 4)
        2.3094
        """
        half = 0.5 * (high - low)
        return cls(name, half / HALF_WIDTHS[Law.RECTANGULAR], Law.RECTANGULAR, 0.5 * (low + high))


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
        draw_standard(variate.law, stream, row)
        np.multiply(row, variate.u, out=row)
        if variate.mean:
            np.add(row, variate.mean, out=row)
    return out
