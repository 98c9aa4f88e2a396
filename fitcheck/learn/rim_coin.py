"""A coin on the free edge of a folded wall: how far it sinks tells the spring of the fold.

A strip of width b is folded, its floor held, its wall of height h level; a weight F on the edge
turns the fold by F h l / (S b) and bends the wall besides, so that the edge sinks by

    F h^2 (l + h / 3) / (S b)

with S the bending stiffness up the wall and l the length whose stiffness is the fold's spring.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.stock.gives import GRAM_N, Gives

LEAST_MM, MOST_MM = 0.5, 500.0
"""Of a crease length that a file may say."""
ALL_ALIKE = 0.10
"""How far folds of one paper differ in their spring, as a factor (assumed)."""


def crease_length(readings: Sequence[Reading], gives: Gives) -> tuple[float, float] | None:
    """The crease length of a paper and its standard uncertainty, mm; None without such readings.

    The stiffness is as the paper's file says or as it is estimated; its error is one for all.
    """
    own = [
        reading
        for reading in readings
        if reading.feature is Feature.RIM
        and reading.reading_mm is not None
        and reading.coin_g is not None
        and reading.wide_mm is not None
        and reading.nominal_mm is not None
    ]
    if not own:
        return None
    lengths, slopes, noise = [], [], []
    for reading in own:
        length, slope = _length(reading, gives)
        lengths.append(length)
        slopes.append(slope)
        noise.append(slope * reading.resolution_mm / math.sqrt(12.0) / (reading.reading_mm or 1.0))
    count = len(own)
    mean = math.fsum(lengths) / count
    each = math.fsum(own_u**2 for own_u in noise) / count**2
    if count > 1:
        each = max(each, math.fsum((one - mean) ** 2 for one in lengths) / (count - 1) / count)
    stiffness = gives.along.log_u * math.fsum(slopes) / count
    u = math.sqrt(each + stiffness**2 + (ALL_ALIKE * mean) ** 2)
    return min(max(mean, LEAST_MM), MOST_MM), min(u, max(mean, LEAST_MM))


def _length(reading: Reading, gives: Gives) -> tuple[float, float]:
    """The crease length by one reading, and how it goes with the logarithm of S, mm."""
    assert reading.nominal_mm and reading.coin_g and reading.wide_mm and reading.reading_mm
    up = gives.across.value if reading.grain == "along" else gives.along.value
    if reading.grain is None:
        up = math.sqrt(gives.along.value * gives.across.value)
    force, high = reading.coin_g * GRAM_N, reading.nominal_mm
    slope = reading.reading_mm * up * reading.wide_mm / (force * high**2)
    return slope - high / 3.0, slope
