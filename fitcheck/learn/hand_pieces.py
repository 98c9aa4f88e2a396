"""Readings of a hand's strips become departures: how far each cut and score lies from its place.

A score cannot be gripped by a caliper, a fold can. So a strip is folded over at the score and read
from either edge to the fold: near = x + e, far = L - x + e, where L is the strip's own length, read
flat, and e what the closed fold stands out. Then x = (near - far + L) / 2, whatever e is, and
e = (near + far - L) / 2 says whether the three readings belong together. A knife's cuts are told by
the pieces between them (`hand_knife`).
"""

from __future__ import annotations

import enum
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.entries import Entry, Repeats, pooled
from fitcheck.learn.hand_knife import cuts_of
from fitcheck.learn.hand_slips import without_slips
from fitcheck.learn.hand_spread import MeanSquare
from fitcheck.learn.hand_strips import Strip, strips_of
from fitcheck.plain import one_line, shown
from fitcheck.stock.tools import Tools
from fitcheck.uncertainty import resolution_u

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
    names = _Names(readings)
    kept = without_slips(readings)
    noise = _Noise(kept.entries)
    notes: list[str] = []
    found = [
        one
        for strip in strips_of(kept.entries)
        for one in _of_strip(strip, tools, noise, names, notes)
    ]
    found += _of_knife(kept.entries, noise, names)
    return Hands(tuple(found), names.shown, kept.lines, tuple(notes))


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
            groups[entry.instrument].append(entry)
        self._pools: dict[str, Repeats | None] = {key: pooled(own) for key, own in groups.items()}

    def of(self, entry: Entry) -> MeanSquare:
        """Variance of an entry's mean, mm2; its instrument's step, where that says more."""
        step = resolution_u(max(reading.resolution_mm for reading in entry.readings)) ** 2
        pool = self._pools[entry.instrument]
        if pool is None or pool.s_mm**2 <= step:
            return MeanSquare(step, math.inf)
        return MeanSquare(pool.s_mm**2 / len(entry.readings), pool.dof)


def _of_strip(
    strip: Strip, tools: Tools, noise: _Noise, names: _Names, notes: list[str]
) -> Iterator[Departure]:
    own = strip.entries
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
            act=act,
            by=by,
            day=first.readings[0].date,
            at_mm=at,
            off_mm=off,
            noise=MeanSquare(value, dof),
            step_mm=step,
            place=first.place,
            gap_mm=gap,
        )

    folds = {fold.near: fold for fold in strip.folds}
    for entry in own:
        found = entry.value_mm
        if found is None:
            continue
        off = found - entry.nominal_mm
        if entry.feature is Feature.CUT:
            yield departure(Act.CUT, entry.nominal_mm, off, [(1.0, entry)])
        elif entry.feature is Feature.SCORE:
            yield departure(_scored(entry, tools), entry.nominal_mm, off, [(1.0, entry)])
        elif entry.feature is Feature.FOLD_NEAR:
            fold = folds.get(entry)
            if fold is None:
                notes.append(
                    f"{entry.place}: left out: its strip has no 'cut' row, or no 'fold-far' row "
                    "with what is left of the strip as nominal_mm; read all three"
                )
                continue
            parts = [(0.5, fold.near), (-0.5, fold.far), (0.5, fold.cut)]
            at = math.fsum(share * (one.value_mm or 0.0) for share, one in parts)
            off = at - entry.nominal_mm
            yield departure(_scored(entry, tools), entry.nominal_mm, off, parts, fold.gap_mm)


def _of_knife(entries: Sequence[Entry], noise: _Noise, names: _Names) -> Iterator[Departure]:
    by_person: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.feature is Feature.KNIFE and entry.value_mm is not None:
            by_person[names.of(entry.readings)[0]].append(entry)
    for by, own in by_person.items():
        for cut in cuts_of(own):
            off = math.fsum(
                share * ((one.value_mm or 0.0) - one.nominal_mm) for share, one in cut.parts
            )
            noises = [(share**2, noise.of(one)) for share, one in cut.parts]
            value = math.fsum(share * one.value for share, one in noises)
            step = max(abs(share) * one.readings[0].resolution_mm for share, one in cut.parts)
            last = cut.last
            yield Departure(
                Act.KNIFE,
                by,
                last.readings[0].date,
                last.nominal_mm,
                off,
                MeanSquare(value, min(one.dof for _, one in noises)),
                step,
                last.place,
            )


def _scored(entry: Entry, tools: Tools) -> Act:
    return Act.GROOVE if tools.on_grid(entry.nominal_mm) else Act.BETWEEN


def grubbs(count: int, chance: float) -> float:
    """How many standard deviations the furthest of so many values exceeds with that chance.

    Source: NIST/SEMATECH e-Handbook of statistical methods, 1.3.5.17.1 (two-sided).

    >>> round(grubbs(8, 0.05), 4)
    2.1266
    """
    from scipy.special import stdtrit

    t2 = float(stdtrit(count - 2, 1.0 - chance / (2 * count))) ** 2
    return (count - 1) / math.sqrt(count) * math.sqrt(t2 / (count - 2 + t2))
