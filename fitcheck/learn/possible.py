"""What is left of a value and its uncertainty where only a part of it is possible."""

import math

import numpy as np

CLEAR = 2.0
"""So many standard uncertainties inside what is possible the limits do not matter."""
POINTS = 2001


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
