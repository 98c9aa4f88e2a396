"""Several people in one file of a paper: have they read one coupon, or has each made their own?"""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.mixed_sets import PART, rounded, who_read
from fitcheck.learn.other_readers import Likeness, likeness, scatter_of_repeats
from fitcheck.uncertainty import resolution_u

LEAST_SIZES = 5
"""Who reads fewer sizes of somebody else's letters reads a few pieces again."""
_Size = tuple[str, Feature, float | None, str | None]


@dataclass(frozen=True)
class OtherHand:
    """Somebody whose letters in a file are those of somebody before them there."""

    file: str
    who: str
    """As ``by`` is told apart."""
    names: tuple[str, str]
    """Who came before and this one, as they are spelt."""
    letters: tuple[str, ...]
    clear: bool
    """Whether what they read is further apart than readings of the same pieces."""


def other_hands(readings: Iterable[Reading]) -> tuple[OtherHand, ...]:
    """Those who may have made pieces of their own: what they read is not that of the same pieces.

    Each is held against all who came before in the file, by the sizes that both have.
    """
    files: dict[str, dict[str, dict[_Size, list[Reading]]]] = defaultdict(dict)
    for row in readings:
        if row.kind is not Kind.STOCK:
            return ()
        if row.piece is None or row.reading_mm is None or row.feature is Feature.STACK:
            continue
        size = (row.piece[1], row.feature, rounded(row.nominal_mm), row.grain)
        files[row.file].setdefault(who_read(row), defaultdict(list))[size].append(row)
    found = []
    for file, people in files.items():
        names = list(people)
        for place, who in enumerate(names[1:], 1):
            told = [
                (like, before)
                for before in names[:place]
                if (like := _like(people[before], people[who])) is not None
            ]
            if told and all(like is not Likeness.SAME for like, _ in told):
                like, before = told[0]
                own, others = people[who], people[before]
                found.append(
                    OtherHand(
                        file,
                        who,
                        (_spelt(others), _spelt(own)),
                        tuple(dict.fromkeys(size[0] for size in own if size in others)),
                        like is Likeness.OTHERS,
                    )
                )
    return tuple(found)


def parts_made_anew(hands: Sequence[OtherHand]) -> dict[tuple[str, str], str]:
    """The part of a file that each of them has, where it is said that they made their own."""
    return {(one.file, one.who): PART + one.who for one in hands}


def _spelt(own: dict[_Size, list[Reading]]) -> str:
    return " ".join(next(iter(own.values()))[0].by.split())


def _like(older: dict[_Size, list[Reading]], own: dict[_Size, list[Reading]]) -> Likeness | None:
    """Whether two people read the same pieces; None where they share too few sizes to ask."""
    both = [size for size in own if size in older]
    if len(both) < LEAST_SIZES:
        return None
    sets = [[row.reading_mm or 0.0 for row in of[size]] for size in both for of in (older, own)]
    s2, dof = scatter_of_repeats(sets)
    offs, u2s = [], []
    for size in both:
        before, now = older[size], own[size]
        offs.append(_mean(now) - _mean(before))
        step = max(row.resolution_mm for row in (*before, *now))
        u2s.append(s2 * (1 / len(before) + 1 / len(now)) + 2 * resolution_u(step) ** 2)
    return likeness(offs, u2s, dof)


def _mean(rows: Sequence[Reading]) -> float:
    return statistics.fmean(row.reading_mm or 0.0 for row in rows)
