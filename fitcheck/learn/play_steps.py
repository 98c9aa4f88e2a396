"""What the play of a box adds to the sums that are watched, if the odds are right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from fitcheck.learn.looks import Steps
from fitcheck.learn.play_law import PlayLaw, scores_between

CAP = 3.0
"""A play further off than so many deviations counts as one that far off."""
SLIP = 0.001
"""How often a play is taken to be a slip to either side, at the least."""
GRID = 0.1
"""Scores of plays are rounded to it."""


@lru_cache(maxsize=4096)
def score_at(law: PlayLaw, mm: float) -> float:
    """How many deviations of a normal law a play lies from the middle of what was said."""
    return law.score_at(mm)


@lru_cache(maxsize=4096)
def play_steps(
    law: PlayLaw,
    ends_mm: tuple[float, float, float],
    *,
    read: bool,
    part: float = 0.0,
    away: float = 0.0,
) -> tuple[Steps, Steps]:
    """What a box adds to the sums of scores and of their squares less one.

    ``ends_mm`` are those of lids that bind, are tight and slide. Plays are ``read`` from 0 on; a
    lid that is tight or bound tells no more than that. ``part`` of their variance is shared by all
    boxes, and lies ``away`` deviations to one side.
    """
    bound, tight, loose = (score_at(law, end) for end in ends_mm)
    cells = [(-math.inf, bound), (bound, tight)]
    if not read:
        cells += [(tight, loose), (loose, math.inf)]
    above = tight if read else math.inf
    lies = (away * math.sqrt(part), math.sqrt(1.0 - part))
    return (
        _steps_of(cells, above, lies, square=False),
        _steps_of(cells, above, lies, square=True),
    )


def _steps_of(
    cells: Sequence[tuple[float, float]], above: float, lies: tuple[float, float], *, square: bool
) -> Steps:
    """The law of a score, or its square less one: its mean in each cell, itself ``above``.

    Scores ``lie`` about a middle with a deviation.
    """
    ends = (-1.0, CAP**2 - 1.0) if square else (-CAP, CAP)
    first, last = (round(end / GRID) for end in ends)
    chances = np.zeros(last - first + 1)
    for low, high in cells:
        mass = float(_mass(np.array(low), np.array(high), -math.inf, lies))
        if mass > 0.0:
            score = scores_between(low, high)[square]
            chances[min(max(round(score / GRID), first), last) - first] += mass
    steps = np.arange(first, last + 1)
    lower, upper = (steps - 0.5) * GRID, (steps + 0.5) * GRID
    lower[0], upper[-1] = (-np.inf, np.inf) if not square else (-1.0, np.inf)
    if not square:
        chances += _mass(lower, upper, above, lies)
    else:
        near, far = np.sqrt(np.maximum(lower + 1.0, 0.0)), np.sqrt(np.maximum(upper + 1.0, 0.0))
        chances += _mass(near, far, above, lies) + _mass(-far, -near, above, lies)
    slips = np.array([0 if square else SLIP, SLIP])
    chances *= (1.0 - slips.sum()) / chances.sum()
    chances[[0, -1]] += slips
    return Steps(first, chances)


def _mass(
    lower: np.ndarray, upper: np.ndarray, above: float, lies: tuple[float, float]
) -> np.ndarray:
    """How much of a normal law lies between two scores and above a third."""
    from scipy.special import ndtr

    low, high = np.maximum(lower, above), np.maximum(upper, above)
    middle, u = lies
    found: np.ndarray = ndtr((high - middle) / u) - ndtr((low - middle) / u)
    return found
