"""Readings become one entry for each piece and feature: a mean of repeats, or a finding."""

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.bench_readings import Feature, Reading, listed
from fitcheck.learn.solving import Data
from fitcheck.plain import folded
from fitcheck.uncertainty import resolution_u

HAND_MM = 0.02
"""Usual scatter of one reading of a fold (common practice, no source)."""
HAND_DOF = 2.0
"""As many degrees of freedom as this counts for where pieces were read more than once."""


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
    def instrument(self) -> str:
        """What it was read with, however that was spelt."""
        return folded(self.readings[0].instrument)

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
    def day(self) -> str:
        """When it was first read."""
        return min(reading.date for reading in self.readings)

    @property
    def place(self) -> str:
        """Where its rows stand."""
        return place_of([self])


def place_of(entries: Sequence[Entry]) -> str:
    """Where the rows of some entries stand, and what the first of them is of."""
    first = entries[0].readings[0]
    rows = [reading.row for entry in entries for reading in entry.readings]
    if len(entries) > 1:
        rows.sort()
    word = "rows" if len(rows) > 1 else "row"
    return first.place.replace(f"row {first.row}", f"{word} {listed(rows)}")


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
        piece = reading.piece or (reading.pieces or reading.file, *own)
        finding = (reading.go_mm, reading.nogo_mm) if reading.reading_mm is None else ()
        instrument = instruments.get(reading.instrument)
        if instrument is None:
            instrument = folded(reading.instrument)
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


def hand_scatter(entries: Sequence[Entry]) -> Repeats:
    """Scatter of one reading: of repeats, and as usual as far as they are few."""
    pool = pooled(entries)
    if pool is None:
        return Repeats(HAND_MM, math.inf)
    dof = HAND_DOF + pool.dof
    return Repeats(math.sqrt((HAND_DOF * HAND_MM**2 + pool.dof * pool.s_mm**2) / dof), dof)


def data_of(
    entries: Sequence[Entry],
    repeats: Callable[[Entry], Repeats | None],
    spread: Callable[[Entry], float],
    model_variance: Callable[[Entry], float] = lambda entry: 0.0,
    *,
    by_day: bool = False,
) -> tuple[Data, np.ndarray]:
    """Entries as arrays, and the part of each variance that comes from repeats, (n,) mm2.

    ``by_day``: what was made on one day may be off together.
    """
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
    piece = _shared(entries)
    data = Data(
        value=value,
        go=np.array([e.go_mm for e in entries]),
        nogo=np.array([e.nogo_mm for e in entries]),
        fixed_variance=fixed + from_repeats,
        spread=np.array([spread(e) for e in entries]),
        piece=piece,
        day=_days(entries, piece) if by_day else None,
    )
    return data, from_repeats


def shared_pieces(entries: Sequence[Entry]) -> set[object]:
    """The pieces that several entries were taken of."""
    seen: set[object] = set()
    again: set[object] = set()
    for entry in entries:
        if entry.feature is not Feature.STACK:
            (again if entry.piece in seen else seen).add(entry.piece)
    return again


def _days(entries: Sequence[Entry], piece: np.ndarray) -> np.ndarray:
    """The number of the day on which each entry's piece was first read."""
    names = np.array([entry.day for entry in entries])
    days = np.unique(names, return_inverse=True)[1]
    first = np.full(int(piece.max(initial=-1)) + 1, len(days))
    shared = piece >= 0
    np.minimum.at(first, piece[shared], days[shared])
    days[shared] = first[piece[shared]]
    found: np.ndarray = days
    return found


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
