"""Readings of a hand's strips become departures: how far each cut and score lies from its place.

A score cannot be gripped by a caliper, a fold can. So a strip is folded over at the score and read
from either edge to the fold: near = x + e, far = L - x + e, where L is the strip's own length, read
flat, and e what the closed fold stands out. Then x = (near - far + L) / 2, whatever e is, and
e = (near + far - L) / 2 says whether the three readings belong together.
"""

from __future__ import annotations

import enum
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.entries import Entry, Repeats, entries_of, pooled
from fitcheck.learn.hand_spread import MeanSquare
from fitcheck.learn.repeats import odd_repeats
from fitcheck.plain import one_line, shown
from fitcheck.stock.tools import ON_GRID_MM, Tools
from fitcheck.uncertainty import resolution_u

ODD_CHANCE = 0.005
"""A triple that chance alone makes stand out so far in so few of all coupons is a slip."""
LEAST_SLIP_MM = 0.1
"""Folds pressed by hand stand out differently by some hundredths (common practice, no source)."""
MOST_SLIPS = 2
LONGEST_NAME = 100
"""Letters of a person's name."""


class Act(enum.StrEnum):
    """What a hand did."""

    CUT = "cut"
    GROOVE = "groove"
    """Scored in a groove."""
    BETWEEN = "between"
    """Scored between grooves."""
    KNIFE = "knife"


@dataclass(frozen=True)
class Departure:
    """How far one cut or score lies beyond its place."""

    act: Act
    by: str
    """Whose hand, spelt alike for one person."""
    day: str
    at_mm: float
    """Where it was meant: the length cut to, or the distance from the fence."""
    off_mm: float
    noise: MeanSquare
    """Variance of what was read of it, mm2."""
    step_mm: float
    """The instrument's step in it."""
    place: str
    """Where its rows stand."""
    gap_mm: float | None = None
    """What the closed fold stands out; None where nothing was folded."""


@dataclass(frozen=True)
class Hands:
    """All departures of a coupon, and what to say of readings that were not used."""

    departures: tuple[Departure, ...]
    people: tuple[str, ...]
    """In the order in which they first appear, each as it was first spelt."""
    set_aside: tuple[str, ...]
    notes: tuple[str, ...]


def hands_of(readings: Sequence[Reading], tools: Tools) -> Hands:
    """The departures in some readings; what contradicts itself is set aside and named."""
    odd = odd_repeats(entries_of(readings))
    slips = set(map(id, odd))
    kept = [reading for reading in readings if id(reading) not in slips]
    lines = [
        f"{r.place}: {r.reading_mm:g} is far from the other repeats of this piece: set aside; "
        "read it again"
        for r in odd
    ]
    entries = entries_of(kept)
    noise = _Noise(entries)
    names = _Names(kept)
    notes: list[str] = []
    found = list(_departures(entries, tools, noise, names, notes))
    gone = _contradictions(found)
    lines += [
        f"{one.place}: near and far side and the strip's length do not add up by "
        f"{abs(apart):.2f} mm: set aside; read this strip again"
        for one, apart in gone
    ]
    out = {id(one) for one, _ in gone}
    return Hands(
        tuple(one for one in found if id(one) not in out), names.shown, tuple(lines), tuple(notes)
    )


class _Names:
    """People by what they wrote in ``by``: blanks and capitals do not make another person."""

    def __init__(self, readings: Iterable[Reading]) -> None:
        self._known: dict[str, str] = {}
        self._of: dict[str, str] = {}
        for reading in readings:
            if reading.by not in self._of:
                self._of[reading.by] = self._spelt(reading)

    def _spelt(self, reading: Reading) -> str:
        name = one_line(" ".join(reading.by.split()))
        if not 0 < len(name) <= LONGEST_NAME:
            raise InputError(
                f"{reading.place}: by: read {shown(name)}, {len(name)} letters; allowed: 1 to "
                f"{LONGEST_NAME}; write a name or initials"
            )
        return self._known.setdefault(name.casefold(), name)

    @property
    def shown(self) -> tuple[str, ...]:
        return tuple(self._known.values())

    def of(self, readings: Iterable[Reading]) -> list[str]:
        """Whoever took some readings, each once."""
        return list(dict.fromkeys(self._of[reading.by] for reading in readings))


class _Noise:
    """What one reading scatters by, for each instrument."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        groups: dict[str, list[Entry]] = defaultdict(list)
        for entry in entries:
            groups[_instrument(entry)].append(entry)
        self._pools: dict[str, Repeats | None] = {key: pooled(own) for key, own in groups.items()}

    def of(self, entry: Entry) -> MeanSquare:
        """Variance of an entry's mean, mm2; its instrument's step, where that says more."""
        step = resolution_u(max(reading.resolution_mm for reading in entry.readings)) ** 2
        pool = self._pools[_instrument(entry)]
        if pool is None or pool.s_mm**2 <= step:
            return MeanSquare(step, math.inf)
        return MeanSquare(pool.s_mm**2 / len(entry.readings), pool.dof)


def _instrument(entry: Entry) -> str:
    return " ".join(entry.readings[0].instrument.split()).casefold()


def _departures(
    entries: Sequence[Entry], tools: Tools, noise: _Noise, names: _Names, notes: list[str]
) -> Iterator[Departure]:
    strips: dict[object, list[Entry]] = defaultdict(list)
    for entry in entries:
        strips[entry.piece].append(entry)
    for own in strips.values():
        yield from _of_strip(own, tools, noise, names, notes)


def _of_strip(
    own: Sequence[Entry], tools: Tools, noise: _Noise, names: _Names, notes: list[str]
) -> Iterator[Departure]:
    readings = [reading for entry in own for reading in entry.readings]
    by, *others = names.of(readings)
    if others:
        notes.append(
            f"{own[0].place}: this strip was read by {by} and {' and '.join(others)}: counted as "
            f"{by}'s work; write in 'by' who cut and scored it"
        )

    def departure(
        act: Act,
        at: float,
        off: float,
        parts: Sequence[tuple[float, Entry]],
        gap: float | None = None,
    ) -> Departure:
        shares = [(share**2, noise.of(entry)) for share, entry in parts]
        value = math.fsum(share * one.value for share, one in shares)
        dof = min((one.dof for _, one in shares), default=math.inf)
        step = max(abs(share) * entry.readings[0].resolution_mm for share, entry in parts)
        first = parts[0][1]
        return Departure(
            act, by, first.readings[0].date, at, off, MeanSquare(value, dof), step, first.place, gap
        )

    cut = _length_of(own)
    fars = {_step(entry.nominal_mm): entry for entry in own if entry.feature is Feature.FOLD_FAR}
    for entry in own:
        found = entry.value_mm
        if found is None:
            continue
        off = found - entry.nominal_mm
        if entry.feature is Feature.CUT:
            yield departure(Act.CUT, entry.nominal_mm, off, [(1.0, entry)])
        elif entry.feature is Feature.KNIFE:
            yield departure(Act.KNIFE, entry.nominal_mm, off, [(1.0, entry)])
        elif entry.feature is Feature.SCORE:
            yield departure(_scored(entry, tools), entry.nominal_mm, off, [(1.0, entry)])
        elif entry.feature is Feature.FOLD_NEAR:
            far = None if cut is None else _far_side(entry, cut, fars)
            if cut is None or far is None:
                notes.append(
                    f"{entry.place}: left out: its strip has no 'cut' row, or no 'fold-far' row "
                    "with what is left of the strip as nominal_mm; read all three"
                )
                continue
            near_mm, far_mm, cut_mm = found, far.value_mm or 0.0, cut.value_mm or 0.0
            at = 0.5 * (near_mm - far_mm + cut_mm)
            parts = [(0.5, entry), (-0.5, far), (0.5, cut)]
            gap = 0.5 * (near_mm + far_mm - cut_mm)
            yield departure(
                _scored(entry, tools), entry.nominal_mm, at - entry.nominal_mm, parts, gap
            )


def _scored(entry: Entry, tools: Tools) -> Act:
    return Act.GROOVE if tools.on_grid(entry.nominal_mm) else Act.BETWEEN


def _length_of(own: Sequence[Entry]) -> Entry | None:
    """The entry of a strip's length. Raises ``InputError`` for a strip that was cut to two."""
    cuts = [entry for entry in own if entry.feature is Feature.CUT]
    lengths = {entry.nominal_mm for entry in cuts if entry.readings[0].piece is not None}
    if len(lengths) > 1:
        raise InputError(
            f"{cuts[0].place}: this strip has {len(lengths)} lengths ({min(lengths):g} to "
            f"{max(lengths):g} mm in nominal_mm); allowed: one; give each strip a letter of its own"
        )
    return cuts[0] if cuts else None


def _step(mm: float) -> int:
    return round(mm / ON_GRID_MM)


def _far_side(near: Entry, cut: Entry, fars: Mapping[int, Entry]) -> Entry | None:
    """The far side's entry that goes with a near side."""
    rest = cut.nominal_mm - near.nominal_mm
    around = (fars.get(_step(rest) + by) for by in (0, -1, 1))
    close = (far for far in around if far is not None and abs(far.nominal_mm - rest) <= ON_GRID_MM)
    return next(close, None)


def _contradictions(found: Sequence[Departure]) -> list[tuple[Departure, float]]:
    """Folds whose three readings do not belong together, by Grubbs' test, worst first.

    Source: ISO 5725-2 and the NIST/SEMATECH handbook, 1.3.5.17.1.
    """
    folded = [one for one in found if one.gap_mm is not None]
    gone: list[tuple[Departure, float]] = []
    while len(folded) >= 4 and len(gone) < MOST_SLIPS * len({one.by for one in folded}):
        gaps = np.array([one.gap_mm for one in folded], dtype=float)
        away = gaps - np.median(gaps)
        worst = int(np.argmax(np.abs(away)))
        s = float(gaps.std(ddof=1))
        apart = abs(gaps[worst] - gaps.mean())
        if abs(away[worst]) < LEAST_SLIP_MM or apart <= grubbs(len(gaps), ODD_CHANCE) * s:
            break
        gone.append((folded.pop(worst), float(away[worst]) * 2.0))
    return gone


def grubbs(count: int, chance: float) -> float:
    """How many standard deviations the furthest of so many values exceeds with that chance.

    Source: NIST/SEMATECH e-Handbook of statistical methods, 1.3.5.17.1 (two-sided).

    >>> round(grubbs(8, 0.05), 4)
    2.1266
    """
    from scipy.special import stdtrit

    t2 = float(stdtrit(count - 2, 1.0 - chance / (2 * count))) ** 2
    return (count - 1) / math.sqrt(count) * math.sqrt(t2 / (count - 2 + t2))
