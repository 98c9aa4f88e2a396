"""Sensitivities of a published example's model, worked out apart from the program."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from fitcheck.odds.variates import Variate

Model = Callable[[np.ndarray], np.ndarray]


def law_inputs(model: Model, variates: Sequence[Variate]) -> tuple[float, np.ndarray]:
    """The model's value at the inputs' means and its slopes (k,), by central differences over one
    standard uncertainty to each side (JCGM 100:2008, 5.1.3, note 2)."""
    means = np.array([v.mean for v in variates])
    slopes = []
    for place, variate in enumerate(variates):
        step = np.zeros(len(variates))
        step[place] = variate.u
        high, low = (float(model((means + side * step)[:, None])[0, 0]) for side in (1.0, -1.0))
        slopes.append((high - low) / (2.0 * variate.u))
    return float(model(means[:, None])[0, 0]), np.array(slopes)
