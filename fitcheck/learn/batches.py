"""Whether the stacks of one name are of one batch: they differ by more than dust and hands make."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.entries import Entry
from fitcheck.learn.stack_size import APART_MM, HAND_MM
from fitcheck.uncertainty import resolution_u

CLEAR_U = 3.0
"""Stacks that differ by more of their joint standard uncertainties are of two batches."""
MOST_STACKS = 8
"""Of more stacks two are as far apart by chance."""


def batches_apart_mm(entries: Sequence[Entry]) -> float | None:
    """How much thicker a sheet of one stack is than of another, mm; None where all may be alike."""
    sheets = [
        (entry.piece, entry.value_mm / entry.count, _u_mm(entry))
        for entry in entries
        if entry.feature is Feature.STACK and entry.value_mm is not None
    ]
    if len(sheets) > MOST_STACKS:
        return None
    apart = [
        abs(one - other)
        for (piece, one, u), (others, other, v) in combinations(sheets, 2)
        if piece != others and abs(one - other) > CLEAR_U * math.hypot(u, v)
    ]
    return max(apart, default=None)


def _u_mm(entry: Entry) -> float:
    """Standard uncertainty of a sheet from one stack, mm."""
    hand = HAND_MM / math.sqrt(len(entry.readings))
    step = resolution_u(max(reading.resolution_mm for reading in entry.readings))
    return math.hypot(APART_MM, hand, step) / entry.count
