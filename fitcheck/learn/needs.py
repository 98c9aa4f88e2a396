"""How many more readings or pieces would reach a wanted uncertainty, and where more would not."""

import bisect
import math
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.block_elimination import inverse, triangle
from fitcheck.learn.learning import Learnt
from fitcheck.learn.solving import Data
from fitcheck.uncertainty import width_variance

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
    pieces: int | None
    """How many more pieces that is, where no number of readings of those at hand gets there."""
    floor_u: float
    """What is left however often the same coupon is made and read with the same instrument."""


def need_of(learnt: Learnt, name: str, wanted_u: float) -> Need:
    """What it takes to bring one property to ``wanted_u``."""
    found = learnt.get(name)
    if found is None:
        raise KeyError(name)
    more_of = _Coupons(learnt, name)
    floor = min(more_of.expected_u(math.inf), found.u)  # a hand that trembles reads between steps
    if found.u <= wanted_u:
        return Need(name, found.u, wanted_u, 0, None, floor)
    rows = sum(len(entry.readings) for entry in learnt.entries)
    if more_of.expected_u(MOST_TIMES + 1) > wanted_u:
        return Need(name, found.u, wanted_u, None, None, floor)
    more = more_of.count(rows, wanted_u)
    own = more_of.pieces if more_of.read_again_u() > wanted_u else None
    pieces = None if own is None else more_of.count(own, wanted_u)
    return Need(name, found.u, wanted_u, more, pieces, floor)


def expected_u(learnt: Learnt, name: str, times: float) -> float:
    """Uncertainty of a property after ``times`` the readings of as many coupons.

    Scatter between pieces, repeats and days averages out; the resolution of the instrument, its
    maker's tolerance and the beliefs about joint and board do not.
    """
    return _Coupons(learnt, name).expected_u(times)


class _Coupons:
    """The readings at hand, those of one variance put together, to be taken any number of times."""

    def __init__(self, learnt: Learnt, name: str) -> None:
        data, model = learnt.data, learnt.model
        self.place = model.names.index(name)
        from_repeats = sum((part for part, _ in learnt.repeats), np.zeros(len(data.value)))
        stays = np.maximum(data.fixed_variance - from_repeats, 0.0) + _step_variance(data)
        scatter = data.spread * learnt.fit.noise**2
        self.pieces = int((data.piece < 0).sum()) + len(set(data.piece[data.piece >= 0].tolist()))
        slopes = model.slopes(learnt.fit.values)
        kinds = [(rows, triangle(slopes[rows])) for rows in _alike(stays, from_repeats, scatter)]
        self.rows = np.vstack([reduced for _, reduced in kinds])
        first = np.repeat([rows[0] for rows, _ in kinds], [len(reduced) for _, reduced in kinds])
        self.stays, self.repeats, self.scatter = stays[first], from_repeats[first], scatter[first]
        prior_u = model.prior_u.copy()
        for kept, _, u in learnt.beliefs:
            if kept in learnt.fit.kept:
                prior_u[model.names.index(kept)] = u
        believed = np.isfinite(prior_u)
        self.beliefs = np.diag(1 / np.where(believed, prior_u, 1.0))[believed]
        self.instrument_u = float(learnt.shared_u[self.place])
        self.of_days = 0.0
        if learnt.fit.day_mm > 0:
            self.of_days = max(learnt.fit.u(name) ** 2 - self._apart(1.0) ** 2, 0.0)

    def expected_u(self, times: float) -> float:
        """Uncertainty of the property after so many times the readings and days."""
        share = 0.0 if math.isinf(times) else 1 / times
        return math.hypot(self._apart(share), self.instrument_u, math.sqrt(self.of_days * share))

    def read_again_u(self) -> float:
        """Uncertainty of the property when the pieces at hand are read however often."""
        return math.hypot(self._apart(1.0, 0.0), self.instrument_u, math.sqrt(self.of_days))

    def count(self, own: int, wanted_u: float) -> int:
        """How many more than ``own`` reach an uncertainty, one after the other tried."""
        counts = range(1, MOST_TIMES * own)
        return counts.start + bisect.bisect_left(
            counts, True, key=lambda count: self.expected_u(1 + count / own) <= wanted_u
        )

    def _apart(self, share: float, of_repeats: float | None = None) -> float:
        """The same without what shifts whole days, or all that an instrument reads.

        ``of_repeats`` is the share of what repeats scatter that is left, ``share`` if left out.
        """
        repeats = self.repeats * (share if of_repeats is None else of_repeats)
        u = np.sqrt(np.maximum(self.stays + self.scatter * share + repeats, 1e-18))
        design = triangle(np.vstack([self.rows / u[:, None], self.beliefs]))
        return float(np.linalg.norm(inverse(design)[self.place]))


def _alike(*values: np.ndarray) -> list[np.ndarray]:
    """The places of entries that have the same values, (n,) each."""
    order = np.lexsort(values)
    new = np.zeros(len(order), dtype=bool)
    for value in values:
        new[1:] |= np.diff(value[order]) != 0
    return np.split(order, np.flatnonzero(new))


def _step_variance(data: Data) -> np.ndarray:
    """Between two gauges a size may lie anywhere (JCGM 100, 4.3.7), (n,) mm2."""
    between = np.isfinite(data.go) & np.isfinite(data.nogo) & data.gauged
    width = np.where(between, data.nogo, 0.0) - np.where(between, data.go, 0.0)
    return width_variance(width)
