"""Repeats become standard uncertainties the way JCGM 100 has it, and these intervals."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

COVERAGE = 0.95
NORMAL_FACTOR = 1.959963984540054
"""Half-width of a normal distribution's 95 % interval in standard deviations."""
LEAST_DOF, MOST_DOF = 0.5, 1e6
"""Between these degrees of freedom are told apart."""
CLEAR = 2.0
"""So many standard uncertainties inside what is possible the limits do not matter."""
POINTS = 2001


@dataclass(frozen=True)
class TypeA:
    """Repeats of one reading, JCGM 100 clause 4.2."""

    mean: float
    s: float
    """Experimental standard deviation of one reading."""
    u: float
    """Standard uncertainty of the mean, s / sqrt(n)."""
    dof: int


def repeats(values: Sequence[float]) -> TypeA:
    """Mean, spread and uncertainty of at least two repeats. Source: JCGM 100, 4.2.

    >>> found = repeats([10.0, 12.0])
    >>> found.mean, round(found.s, 4), found.u, found.dof
    (11.0, 1.4142, 1.0, 1)
    """
    count = len(values)
    if count < 2:
        raise ValueError("the spread of repeats needs at least two readings")
    mean = math.fsum(values) / count
    s = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (count - 1))
    return TypeA(mean, s, s / math.sqrt(count), count - 1)


def t_factor(dof: float, coverage: float = COVERAGE) -> float:
    """Half-width of a coverage interval in standard uncertainties. Source: JCGM 100, table G.2.

    >>> round(t_factor(16), 3), round(t_factor(math.inf), 3)
    (2.12, 1.96)
    """
    from scipy.special import ndtri, stdtrit

    tail = (1 + coverage) / 2
    return float(ndtri(tail) if math.isinf(dof) else stdtrit(dof, tail))


def dof_of_factor(factor: float) -> float:
    """The degrees of freedom whose ``t_factor`` that is; inf for the normal law's or less.

    >>> round(dof_of_factor(2.1199), 2), dof_of_factor(1.9)
    (16.0, inf)
    """
    from scipy.optimize import brentq

    if factor <= t_factor(MOST_DOF):
        return math.inf
    if factor >= t_factor(LEAST_DOF):
        return LEAST_DOF
    ends = math.log(LEAST_DOF), math.log(MOST_DOF)
    found = brentq(lambda log: t_factor(math.exp(log)) - factor, *ends)
    return math.exp(float(found))


def widened(u: float, dof: float) -> float:
    """``u`` such that 1.96 of it is the 95 % interval of few readings (JCGM 100, G.3 and G.6).

    Profiles carry it, so that whoever draws normal variates from them gets that interval.
    """
    return u * t_factor(dof) / NORMAL_FACTOR


def reaches_beyond(value: float, u: float, most: float) -> bool:
    """Whether a good part of it lies below 0 or above ``most``."""
    return not CLEAR * u <= value <= most - CLEAR * u


def what_is_possible(value: float, u: float, most: float) -> tuple[float, float]:
    """Mean and standard uncertainty of a normal law of which only 0 to ``most`` is possible.

    Where nearly all of it is possible they are its own. Of one that says nothing, the middle and
    most / sqrt(12) are left (JCGM 100, 4.3.7).

    >>> what_is_possible(0.2, 0.02, 0.6)
    (0.2, 0.02)
    >>> [round(number, 3) for number in what_is_possible(0.0, 0.1, 10.0)]
    [0.08, 0.06]
    """
    if u <= 0:
        return min(max(value, 0.0), most), u
    if not reaches_beyond(value, u, most):
        return value, u
    nearest = min(max(value, 0.0), most)
    reach = min(most, 40 * u)
    at = np.linspace(max(nearest - reach, 0.0), min(nearest + reach, most), POINTS)
    weight = np.exp(0.5 * ((nearest - value) / u) ** 2 - 0.5 * ((at - value) / u) ** 2)
    weight[[0, -1]] *= 0.5
    mean = float(weight @ at / weight.sum())
    return mean, math.sqrt(float(weight @ (at - mean) ** 2 / weight.sum()))
