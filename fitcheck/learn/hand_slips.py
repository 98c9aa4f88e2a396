"""Readings of a hand that contradict each other: what is set aside, and why.

Two repeats that are no repeats are found first, each against all other repeats of its instrument;
the folds of the strip say which of them is the slip. Then the gaps of all folds are held together:
e = (near + far - L) / 2 is what a closed fold stands out, much alike for all. A side that was
misread moves one of them, a length that was misread moves all of its strip alike.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.bench_readings import Reading
from fitcheck.learn.entries import HAND_MM, Entry, entries_of, place_of
from fitcheck.learn.hand_strips import Fold, Strip, strips_of
from fitcheck.learn.outliers import SURE, most_to_set_aside
from fitcheck.learn.repeats import Torn, odd_repeats, torn_pairs

ODD_CHANCE, TORN_CHANCE = 0.002, 0.001
"""What chance alone makes stand out so far in so few of all coupons is a slip: gaps, repeats."""
LEAST_SLIP_MM = 0.2
"""Of a reading; half of it is in the gap. Folds pressed by hand stand out differently by some
hundredths (common practice, no source)."""
HIDDEN = 4
"""So many slips may hide each other: after so many that chance explains no other is looked for."""
LEAST_FOLDS = 4
"""Fewer say nothing of each other."""
MAD = 1.4826
"""A normal law's standard deviation in median absolute deviations."""


@dataclass(frozen=True)
class Kept:
    """What is left of some readings, and what to say of those that were set aside."""

    entries: tuple[Entry, ...]
    lines: tuple[str, ...]


def without_slips(readings: Sequence[Reading]) -> Kept:
    """The readings by entry, without those that contradict others.

    Raises ``InputError`` for a strip that was cut to two lengths.
    """
    odd = odd_repeats(entries_of(readings))
    lines = [
        f"{r.place}: {r.reading_mm:g} is far from the other repeats of this piece: set aside; "
        "read it again"
        for r in odd
    ]
    entries = _without(entries_of(readings), odd)
    torn = _judged(entries)
    lines += [one.line("the rest of its strip does") for one in torn]
    entries = _without(entries, [reading for one in torn for reading in one.aside])
    found = _contradictions(strips_of(entries))
    lines += [one.line for one in found]
    gone = {entry for one in found for entry in one.entries}
    return Kept(tuple(entry for entry in entries if entry not in gone), tuple(lines))


def _without(entries: Sequence[Entry], aside: Sequence[Reading]) -> tuple[Entry, ...]:
    """Entries without some readings, and without what is nothing once others are gone."""
    if not aside:
        return tuple(entries)
    gone = set(map(id, aside))
    lost = {entry for entry in entries if all(id(one) in gone for one in entry.readings)}
    useless = {
        side
        for strip in strips_of(entries)
        for fold in strip.folds
        if lost.intersection(fold.entries)
        for side in (fold.near, fold.far)
    }
    kept = [entry for entry in entries if entry not in lost | useless]
    return entries_of([r for entry in kept for r in entry.readings if id(r) not in gone])


def _judged(entries: Sequence[Entry]) -> list[Torn]:
    """Pairs of repeats that are none, each with the reading that its strip does not bear out."""
    groups: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        groups[entry.instrument].append(entry)
    torn = [
        own[place]
        for own in groups.values()
        for place in torn_pairs(own, TORN_CHANCE)
        if abs(own[place].values_mm[0] - own[place].values_mm[1]) >= LEAST_SLIP_MM
    ]
    if not torn:
        return []
    folds = [fold for strip in strips_of(entries) for fold in strip.folds]
    doubtful = set(torn)
    sound = np.array([fold.gap_mm for fold in folds if not doubtful.intersection(fold.entries)])
    listed = []
    for entry in torn:
        own = [
            fold
            for fold in folds
            if entry in fold.entries and doubtful.intersection(fold.entries) == {entry}
        ]
        listed.append(Torn(entry, _slips_in(entry, own, sound)))
    return listed


def _slips_in(entry: Entry, own: Sequence[Fold], sound: np.ndarray) -> tuple[Reading, ...]:
    """Which of two repeats makes its folds unlike all others, or both where nothing tells."""
    first, second = entry.readings
    if not own or len(sound) < LEAST_FOLDS:
        return first, second
    middle = float(np.median(sound))
    s2 = (MAD * float(np.median(np.abs(sound - middle)))) ** 2 + HAND_MM**2
    lost = [
        math.fsum((fold.gap_if(entry, value) - middle) ** 2 for fold in own) / s2 / 2
        for value in entry.values_mm
    ]
    if abs(lost[0] - lost[1]) < SURE:
        return first, second
    return (first,) if lost[0] > lost[1] else (second,)


@dataclass(frozen=True)
class _Slip:
    """Readings that do not belong together."""

    entries: tuple[Entry, ...]
    """What is set aside."""
    line: str


@dataclass(frozen=True)
class _Worst:
    """The one misreading that explains most of what the gaps differ by."""

    place: int
    """Of the fold, or of the strip's first fold, among the gaps."""
    length: bool
    """Whether it is the strip's length, not a side of the fold."""
    either: bool
    """Whether it may as well be the other one."""
    apart_mm: float
    """How far its gaps are from those of all others."""
    chance: float
    """In how few of all coupons one looks so."""


def _contradictions(strips: Sequence[Strip]) -> list[_Slip]:
    """Folds and strips whose readings do not add up, worst first.

    They are taken out one after the other, a fifth of the folds at most, and as many count as the
    last of them that chance does not explain, so that some do not hide each other. Source: Rosner
    (1983), generalised extreme studentized deviates, NIST/SEMATECH handbook, 1.3.5.17.3.
    """
    folds = [(strip, fold) for strip in strips for fold in strip.folds]
    gaps = np.array([fold.gap_mm for _, fold in folds])
    steps = np.array([fold.steps_variance for _, fold in folds])
    number = np.repeat(np.arange(len(strips)), [len(strip.folds) for strip in strips])
    left = np.arange(len(gaps))
    found: list[_Slip] = []
    sure = 0
    most = max(most_to_set_aside(len(gaps)), 1)
    while len(found) < min(most, sure + HIDDEN) and len(left) >= LEAST_FOLDS:
        worst = _worst(gaps[left], number[left], steps[left])
        if 2.0 * abs(worst.apart_mm) < LEAST_SLIP_MM:
            break
        place = int(left[worst.place])
        found.append(_slip(*folds[place], worst))
        sure = len(found) if worst.chance < ODD_CHANCE else sure
        whole = worst.length or worst.either
        left = left[number[left] != number[place]] if whole else left[left != place]
    return found[:sure]


def _worst(gaps: np.ndarray, strip: np.ndarray, steps: np.ndarray) -> _Worst:
    """Every fold and every strip's length taken as misread, one at a time.

    ``gaps`` mm, the number of the ``strip`` of each, and the variance that ``steps`` add, mm2, all
    (n,). A side's slip leaves its own gap free, a length's slip shifts all gaps of its strip alike.
    A fold is judged among folds, a length among strips too, as what a good reading of it is off by
    is in all its folds.
    """
    off = gaps - np.median(gaps)
    count, inside = len(off), np.bincount(strip)[strip].astype(float)
    own = np.bincount(strip, off)[strip]
    rest = np.stack(
        [
            off @ off - off**2 - (off.sum() - off) ** 2 / (count - 1),
            off @ off - (off.sum() - own) ** 2 / np.maximum(count - inside, 1) - own**2 / inside,
        ]
    )
    rest[1, inside == count] = np.inf
    rest = np.maximum(rest, 1e-12)
    length, place = (int(k) for k in np.unravel_index(np.argmin(rest), rest.shape))
    mine = strip == strip[place]
    best, other = float(rest[length, place]), float(rest[1 - length, mine].min())
    chance = left_out_chance(off, best, float(steps[place]))
    if length:
        mean = own / inside
        each = mean[np.unique(strip, return_index=True)[1]]
        others = mean[~mine][np.unique(strip[~mine], return_index=True)[1]]
        chance = max(chance, left_out_chance(each, _squares(others), float(steps[place])))
    guesses = count + len(np.unique(strip[inside > 1]))
    this = mine if length else np.arange(count) == place
    return _Worst(
        place,
        bool(length),
        0.5 * count * math.log(other / best) < SURE,
        float(off[this].mean() - off[~this].mean()),
        guesses * chance,
    )


def left_out_chance(values: np.ndarray, rest: float, more: float = 0.0) -> float:
    """How rarely leaving one of some values free leaves so small a sum of squares of the others.

    Student's t of the deleted residual; 1 for fewer than three values. Values that an instrument's
    steps made alike tell no scatter: ``more`` is a variance that counts besides theirs.
    """
    from scipy.special import stdtr

    dof = len(values) - 2
    if dof < 1:
        return 1.0
    own = max(_squares(values) - rest, 0.0)
    t = math.sqrt(own / (max(rest, 1e-12) / dof + more))
    return 2.0 * float(stdtr(dof, -t))


def _squares(values: np.ndarray) -> float:
    return float(((values - values.mean()) ** 2).sum())


def _slip(strip: Strip, fold: Fold, worst: _Worst) -> _Slip:
    apart = 2.0 * abs(worst.apart_mm)
    if worst.either or worst.length:
        sides = [side for one in strip.folds for side in (one.near, one.far)]
        entries = (strip.folds[0].cut, *sides)
        side = "shorter" if worst.apart_mm < 0 else "longer"
        why = (
            f"near and far side and the strip's length do not add up by {apart:.2f} mm, and "
            "nothing says which is wrong: all are set aside"
            if worst.either
            else f"its folds, read from both edges, say that it is {apart:.2f} mm {side} than "
            "read: the strip is set aside"
        )
        return _Slip(entries, f"{place_of(entries)}: {why}; read this strip again")
    return _Slip(
        (fold.near, fold.far),
        f"{place_of(fold.entries)}: near and far side and the strip's length do not add up by "
        f"{apart:.2f} mm: set aside; read this strip again",
    )
