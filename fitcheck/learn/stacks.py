"""Stacks of sheets are held against each other and against the paper as it is known."""

from __future__ import annotations

import bisect
from collections.abc import Sequence

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading

FACTOR = 2.5
"""Papers sold under one name differ by up to twice in bulk (common practice, no source), and a
stack miscounted by one of ten by a tenth; beyond this another thing was measured."""


def check_stacks(name: str, readings: Sequence[Reading], known_mm: float | None) -> None:
    """Raise ``InputError`` with a line for each stack that cannot be of this paper.

    ``known_mm`` is the caliper that the paper is known by; without one, three stacks or more are
    held against the median of the others.
    """
    stacks = [
        (reading, reading.reading_mm / reading.count)
        for reading in readings
        if reading.feature is Feature.STACK and reading.count and reading.reading_mm is not None
    ]
    lines = []
    in_order = sorted(each for _, each in stacks)
    for reading, each in stacks:
        if known_mm is not None:
            wanted, known = known_mm, f"{name} is known as {known_mm:.3f} mm"
        elif len(stacks) > 2:
            wanted = _median_without(in_order, each)
            known = f"the other stacks come to {wanted:.3f} mm"
        else:
            continue
        if not wanted / FACTOR <= each <= wanted * FACTOR:
            lines.append(_line(reading, each, wanted, known))
    if lines:
        raise InputError(lines)


def _median_without(in_order: Sequence[float], one: float) -> float:
    """The median of sorted numbers but one of them.

    >>> _median_without([1.0, 2.0, 4.0, 7.0], 2.0), _median_without([1.0, 2.0, 4.0], 4.0)
    (4.0, 1.5)
    """
    place, half = bisect.bisect_left(in_order, one), (len(in_order) - 1) // 2
    upper = in_order[half + (half >= place)]
    if len(in_order) % 2 == 0:
        return upper
    return (in_order[half - 1 + (half - 1 >= place)] + upper) / 2


def _line(reading: Reading, each: float, wanted: float, known: str) -> str:
    whole = reading.reading_mm or 0.0
    like = round(whole / wanted)
    guess = (
        "it looks like one sheet: write 1 in count, or measure the whole stack"
        if like == 1
        else f"it measures like about {like} sheets: count them and measure again"
    )
    return (
        f"{reading.file}: row {reading.row}: reading_mm: read {whole:g} for {reading.count} "
        f"sheets, {each:.3f} mm a sheet, and {known}; allowed: {wanted / FACTOR:.3f} to "
        f"{wanted * FACTOR:.3f} mm a sheet; {guess}; learn another paper under another name"
    )
