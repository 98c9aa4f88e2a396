"""Departures of cuts and scores from where they were meant: least squares in closed form.

A line through a hand's departures y at distances x, y = m + b (x - X) + e, is told by sums alone;
m and b are independent where X is the mean distance. Days are blocks with an offset each (one-way
analysis of variance), and slopes of several hands on one board are averaged by their weights.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.evaluate import t_factor, widened
from fitcheck.learn.hand_spread import MeanSquare

Array = np.ndarray
DAY_MM = 0.05
"""How much a stop or a fence shifts from day to day (common practice, no source)."""
DAYS_BELIEVED = 2.0
"""So many days that belief counts."""


@dataclass(frozen=True)
class Estimate:
    """A value with its standard uncertainty and that one's degrees of freedom."""

    value: float
    u: float
    dof: float

    @property
    def half_width(self) -> float:
        """Of the 95 % interval (JCGM 100, G.3)."""
        return self.u * t_factor(max(self.dof, 1.0))

    @property
    def wide_u(self) -> float:
        """The standard uncertainty of a normal law with the same 95 % interval."""
        return widened(self.u, max(self.dof, 1.0))


@dataclass(frozen=True, eq=False)
class Line:
    """A line through departures, fitted within days."""

    at_mm: float
    """The mean distance, where level and slope are independent."""
    level_mm: float
    """The departure there, over all days alike."""
    slope: float
    sxx: float
    """Sum of squared distances from their day's mean, mm2."""
    rest: MeanSquare
    """Of the residuals within days."""
    count: int
    days: int
    among: MeanSquare
    """Of the days' levels, mm2, chance in them included; nothing with one day."""

    @property
    def between(self) -> float:
        """Variance of the days' own offsets, mm2: what they differ by beyond chance."""
        return max(0.0, self.among.value - self.rest.value * self.days / self.count)

    @property
    def offset(self) -> Estimate:
        """The departure at ``at_mm``, mm, on the day itself; of several days on another day.

        Days are too few to tell how much a stop shifts from one to the next, so what is usual
        counts as ``DAYS_BELIEVED`` days more.
        """
        own = self.rest.value / self.count
        if self.days == 1:
            return Estimate(self.level_mm, math.sqrt(own), self.rest.dof)
        usual = DAY_MM**2 + own * self.days
        dof = self.among.dof + DAYS_BELIEVED
        variance = (self.among.dof * self.among.value + DAYS_BELIEVED * usual) / dof
        return Estimate(self.level_mm, math.sqrt(variance * (1.0 + 1.0 / self.days)), dof)


def line_through(x: Array, y: Array, days: Sequence[str], *, sloped: bool) -> Line:
    """Least squares of departures y (n,) at x (n,), with an offset for each day.

    Source: JCGM 100, H.3 for the line, H.5 for the days. Raises ``ValueError`` without a departure.

    >>> made = line_through(np.array([1.0, 2, 3]), np.array([1.0, 2, 4]), "aaa", sloped=True)
    >>> round(made.slope, 6), round(made.rest.value, 6), made.rest.dof
    (1.5, 0.166667, 1.0)
    """
    if not len(y):
        raise ValueError("a line needs a departure")
    names = {name: k for k, name in enumerate(dict.fromkeys(days))}
    day = np.array([names[one] for one in days])
    counts = np.bincount(day)
    x_days, y_days = np.bincount(day, x) / counts, np.bincount(day, y) / counts
    xc, yc = x - x_days[day], y - y_days[day]
    sxx = float(xc @ xc) if sloped else 0.0
    slope = float(xc @ yc) / sxx if sxx > 0 else 0.0
    residuals = yc - slope * xc
    dof = len(y) - len(names) - (1 if sxx > 0 else 0)
    rest = MeanSquare(float(residuals @ residuals) / dof if dof > 0 else 0.0, float(max(dof, 0)))
    middle = float(x.mean())
    levels = y_days - slope * (x_days - middle)
    mean = float(levels.mean())
    freedom = float(len(names) - 1)
    among = float(((levels - mean) ** 2).sum()) / freedom if freedom else 0.0
    return Line(
        middle,
        mean,
        slope,
        sxx,
        rest,
        len(y),
        len(names),
        MeanSquare(among, freedom),
    )


def common_slope(lines: Sequence[Line]) -> Estimate | None:
    """The slope that several lines share, each weighted by what it tells; None if none tells any.

    Source: Graybill and Deal (1959) for the mean, Meier (1953) for its uncertainty and degrees of
    freedom, which allow for weights that are themselves estimated.
    """
    sloped = [line for line in lines if line.sxx > 0 and line.rest.dof >= 2 and line.rest.value > 0]
    if not sloped:
        return None
    weights = np.array([line.sxx / line.rest.value for line in sloped])
    dofs = np.array([line.rest.dof for line in sloped])
    whole = float(weights.sum())
    share = weights / whole
    value = float(share @ np.array([line.slope for line in sloped]))
    again = 1.0 + 4.0 * float((share * (1.0 - share) / dofs).sum())
    return Estimate(value, math.sqrt(again / whole), 1.0 / float((share**2 / dofs).sum()))
