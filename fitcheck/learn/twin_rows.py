"""Rows that say the same in every column: honest repeats often do, and only more alike is told."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitcheck.learn.bench_readings import Reading, listed
from fitcheck.learn.csv_table import MOST_PROBLEMS

STILL_MM = 0.01
"""Repeats of a sure hand still scatter by about this, half of what is usual (common practice, no
source)."""
HARDLY = 0.001
"""Honest repeats are as much alike in so few of all files."""
MANY = 300
"""Of more repeats than this how many are alike is a normal law."""
MOST_REPEATS = 5
"""A coupon asks for no more of one piece."""


def same_row(reading: Reading) -> tuple[object, ...]:
    """All that a row says, wherever it stands and however its texts are spaced."""
    return (
        reading.date,
        " ".join(reading.by.split()),
        " ".join(reading.instrument.split()),
        " ".join(reading.note.split()),
        reading.resolution_mm,
        *reading.measured,
    )


def chance_alike(step_mm: float, scatter_mm: float) -> float:
    """How often two readings that scatter so are the same in steps of an instrument.

    They differ by a normal law of sqrt(2) times the scatter, and the steps lie anywhere: the mean
    of 1 - distance / step, where that is above 0.

    >>> round(chance_alike(0.01, 0.01), 3), round(chance_alike(0.5, 0.01), 3)
    (0.271, 0.977)
    """
    z = step_mm / (math.sqrt(2) * scatter_mm)
    inside = math.erf(z / math.sqrt(2))
    return inside - math.sqrt(2 / math.pi) * (1 - math.exp(-(z**2) / 2)) / z


def twin_notes(readings: Sequence[Reading], file: str) -> list[str]:
    """A line for each group of rows, where so many would hardly come out alike by themselves."""
    groups: dict[tuple[object, ...], list[int]] = {}
    taken: dict[tuple[object, ...], int] = {}
    alike, chances = 0, []
    for reading in readings:
        rows = groups.setdefault(same_row(reading), [])
        rows.append(reading.row)
        if reading.reading_mm is None:
            continue
        own = (reading.date, reading.by, reading.note, *reading.measured[:3])
        before = taken[own] = taken.get(own, -1) + 1
        if before:
            alike += len(rows) > 1
            chances.append(min(1.0, before * chance_alike(reading.resolution_mm, STILL_MM)))
    hardly = alike > 0 and _at_least(alike, chances) <= HARDLY
    told = [rows for rows in groups.values() if len(rows) > (1 if hardly else MOST_REPEATS)]
    return [
        f"{file}: rows {listed(rows)} say the same in every column, more alike than readings are "
        f"as a rule: counted as {len(rows)} readings; if each was read, leave them so"
        for rows in told[:MOST_PROBLEMS]
    ]


def _at_least(count: int, chances: Sequence[float]) -> float:
    """How likely so many or more of events happen that have these chances."""
    mean = math.fsum(chances)
    if len(chances) > MANY:
        spread = math.sqrt(math.fsum(one * (1 - one) for one in chances))
        return 0.5 * math.erfc((count - 0.5 - mean) / max(math.sqrt(2) * spread, 1e-9))
    law = [1.0]
    for one in chances:
        stay, come = [*law, 0.0], [0.0, *law]
        law = [(1 - one) * a + one * b for a, b in zip(stay, come, strict=True)]
    return math.fsum(law[count:])
