"""How many more readings would reach a wanted uncertainty, and where more would not help."""

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.learning import Learnt
from fitcheck.learn.solving import Data

MOST_TIMES = 400
"""More than so many times the readings is as good as never."""
WANTED = {
    "caliper": 0.003,
    "crease allowance": 0.02,
    "allowance along": 0.02,
    "allowance across": 0.02,
    "corner give": 0.1,
    "scale_x": 0.0005,
    "scale_y": 0.0005,
    "scale_z": 0.0005,
    "outside_offset_mm": 0.01,
    "hole_offset_mm": 0.01,
    "first_layer_mm": 0.02,
    "height_offset_mm": 0.02,
}
"""Uncertainties that make a difference of a tenth of the usual snug band (0.20 mm) or less."""


@dataclass(frozen=True)
class Need:
    """What it takes to know one property as well as wanted."""

    name: str
    u: float
    wanted_u: float
    more: int | None
    """How many more readings, spread as those at hand; 0 when it is known well enough, None when
    no number of them gets there."""
    floor_u: float
    """What is left however often the same coupon is made and read with the same instrument."""


def need_of(learnt: Learnt, name: str, wanted_u: float) -> Need:
    """What it takes to bring one property to ``wanted_u``."""
    found = learnt.get(name)
    if found is None:
        raise KeyError(name)
    floor = expected_u(learnt, name, math.inf)
    if found.u <= wanted_u:
        return Need(name, found.u, wanted_u, 0, floor)
    rows = sum(len(entry.readings) for entry in learnt.entries)
    steps = range(1, MOST_TIMES * rows + 1)
    if expected_u(learnt, name, MOST_TIMES + 1) > wanted_u:
        return Need(name, found.u, wanted_u, None, floor)
    low, high = 0, steps[-1]
    while high - low > 1:
        middle = (low + high) // 2
        enough = expected_u(learnt, name, 1 + middle / rows) <= wanted_u
        low, high = (low, middle) if enough else (middle, high)
    return Need(name, found.u, wanted_u, high, floor)


def expected_u(learnt: Learnt, name: str, times: float) -> float:
    """Uncertainty of a property after ``times`` the readings of as many coupons.

    Scatter between pieces and between repeats averages out; the resolution of the instrument and
    the beliefs about joint and board do not.
    """
    data = learnt.data
    share = 0.0 if math.isinf(times) else 1 / times
    from_repeats = sum((part for part, _ in learnt.repeats), np.zeros(len(data.value)))
    fixed = np.maximum(data.fixed_variance - from_repeats, 0.0) + from_repeats * share
    noise = learnt.fit.noise * math.sqrt(share)
    values = learnt.fit.values
    slopes = learnt.model.slopes(values)
    variance = np.maximum(_variance(data, fixed, noise), 1e-18)
    prior_u = learnt.model.prior_u.copy()
    for kept, _, u in learnt.beliefs:
        if kept in learnt.fit.kept:
            prior_u[learnt.model.names.index(kept)] = u
    believed = np.isfinite(prior_u)
    rows = np.diag(1 / np.where(believed, prior_u, 1.0))[believed]
    design = np.vstack([slopes / np.sqrt(variance)[:, None], rows])
    inverse = np.linalg.pinv(design, rcond=1e-13)
    place = learnt.model.names.index(name)
    return float(np.linalg.norm(inverse[place]))


def _variance(data: Data, fixed: np.ndarray, noise: float) -> np.ndarray:
    width = np.where(
        np.isfinite(data.go) & np.isfinite(data.nogo) & data.gauged, data.nogo - data.go, 0.0
    )
    variance: np.ndarray = fixed + data.spread * noise**2 + np.nan_to_num(width) ** 2 / 12
    return variance
