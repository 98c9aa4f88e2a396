"""Readings become one entry for each piece and feature: a mean of repeats, or a finding."""

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.evaluate import resolution_u
from fitcheck.learn.readings import Feature, Reading, listed
from fitcheck.learn.solving import Data

ODD_SPREADS = 7.0
"""A repeat this many spreads from the median of its piece is a slip of the pen or of the hand."""
ODD_STEPS = 4.0
"""... and this many steps of the instrument, so that rounding alone is never odd."""
MAD_TO_S = 1.4826
"""Standard deviation of a normal distribution over its median absolute deviation."""


@dataclass(frozen=True, eq=False, slots=True)
class Entry:
    """What was found of one feature of one piece."""

    feature: Feature
    nominal_mm: float
    count: int
    grain: str | None
    readings: tuple[Reading, ...]
    piece: object
    """What tells pieces apart."""

    @property
    def value_mm(self) -> float | None:
        """Mean of its repeats; None for a go / no-go finding."""
        if len(self.readings) == 1:
            return self.readings[0].reading_mm
        values = self.values_mm
        return math.fsum(values) / len(values) if values else None

    @property
    def values_mm(self) -> tuple[float, ...]:
        """Its repeats."""
        return tuple(r.reading_mm for r in self.readings if r.reading_mm is not None)

    @property
    def go_mm(self) -> float:
        """Largest gauge that went in; -inf if none."""
        first = self.readings[0]
        return -math.inf if first.go_mm is None or first.reading_mm is not None else first.go_mm

    @property
    def nogo_mm(self) -> float:
        """Smallest gauge that did not go in; inf if none."""
        first = self.readings[0]
        return math.inf if first.nogo_mm is None or first.reading_mm is not None else first.nogo_mm

    @property
    def place(self) -> str:
        """Where its rows stand."""
        first, rows = self.readings[0], listed([reading.row for reading in self.readings])
        word = "rows" if len(self.readings) > 1 else "row"
        return first.place.replace(f"row {first.row}", f"{word} {rows}")


@dataclass(frozen=True)
class Repeats:
    """Spread of repeats within pieces, pooled over one class of features."""

    s_mm: float
    dof: float


def entries_of(readings: Sequence[Reading]) -> tuple[Entry, ...]:
    """Readings by piece, feature and instrument, in the order of first appearance.

    The same finding of the same piece counts once: gauging again tells nothing new.
    """
    groups: dict[tuple[object, ...], list[Reading]] = defaultdict(list)
    instruments: dict[str, str] = {}
    for reading in readings:
        own = (reading.feature, reading.nominal_mm, reading.count, reading.grain)
        piece = reading.piece or (reading.file, *own)
        finding = (reading.go_mm, reading.nogo_mm) if reading.reading_mm is None else ()
        instrument = instruments.get(reading.instrument)
        if instrument is None:
            instrument = " ".join(reading.instrument.split()).casefold()
            instruments[reading.instrument] = instrument
        groups[(*own, piece, instrument, finding)].append(reading)
    return tuple(
        Entry(
            feature=found[0].feature,
            nominal_mm=found[0].nominal_mm or 0.0,
            count=found[0].count or 1,
            grain=key[3],  # type: ignore[arg-type]
            readings=tuple(found),
            piece=key[4],
        )
        for key, found in groups.items()
    )


def pooled(entries: Sequence[Entry]) -> Repeats | None:
    """Pooled spread of repeats, or None when nothing was read twice. Source: JCGM 100, H.3.6."""
    squares, dof = 0.0, 0
    for entry in entries:
        if len(entry.readings) < 2:
            continue
        values = entry.values_mm
        if len(values) > 1:
            mean = math.fsum(values) / len(values)
            squares += math.fsum((value - mean) ** 2 for value in values)
            dof += len(values) - 1
    return Repeats(math.sqrt(squares / dof), float(dof)) if dof else None


def odd_repeats(entries: Sequence[Entry]) -> tuple[Reading, ...]:
    """Repeats far from the other repeats of their own piece (of three or more)."""
    off: list[tuple[float, Reading]] = []
    for entry in entries:
        if len(entry.readings) < 3:
            continue
        values = entry.values_mm
        if len(values) >= 3:
            away = np.abs(np.array(values) - np.median(values))
            # One of them is the median itself, or the nearest to it, and tells nothing.
            lowest = int(np.argmin(away))
            off += [(float(away[k]), entry.readings[k]) for k in range(len(values)) if k != lowest]
    if len(off) < 4:
        return ()
    spread = MAD_TO_S * float(np.median([distance for distance, _ in off]))
    return tuple(
        reading
        for distance, reading in off
        if distance > max(ODD_SPREADS * spread, ODD_STEPS * reading.resolution_mm)
    )


def data_of(
    entries: Sequence[Entry],
    repeats: Callable[[Entry], Repeats | None],
    spread: Callable[[Entry], float],
    model_variance: Callable[[Entry], float] = lambda entry: 0.0,
) -> tuple[Data, np.ndarray]:
    """Entries as arrays, and the part of each variance that comes from repeats, (n,) mm2."""
    from_repeats = np.zeros(len(entries))
    fixed = np.zeros(len(entries))
    value = np.full(len(entries), np.nan)
    for place, entry in enumerate(entries):
        found = entry.value_mm
        fixed[place] = model_variance(entry)
        if found is not None:
            value[place] = found
            pool = repeats(entry)
            if pool is not None:
                from_repeats[place] = pool.s_mm**2 / len(entry.readings)
            coarsest = max([reading.resolution_mm for reading in entry.readings])
            fixed[place] += resolution_u(coarsest) ** 2
    data = Data(
        value=value,
        go=np.array([e.go_mm for e in entries]),
        nogo=np.array([e.nogo_mm for e in entries]),
        fixed_variance=fixed + from_repeats,
        spread=np.array([spread(e) for e in entries]),
        piece=_shared(entries),
    )
    return data, from_repeats


def _shared(entries: Sequence[Entry]) -> np.ndarray:
    """Numbers of the pieces that several entries were taken of; -1 for the others."""
    by_piece: dict[object, list[int]] = defaultdict(list)
    stack = Feature.STACK
    for place, entry in enumerate(entries):
        if entry.feature is not stack:
            by_piece[entry.piece].append(place)
    numbers = np.full(len(entries), -1)
    for number, places in enumerate(p for p in by_piece.values() if len(p) > 1):
        numbers[places] = number
    return numbers
