"""Who stands in ``by`` made a strip of tools: whole sets of two people in one file are apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import combinations

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Kind, Reading
from fitcheck.plain import folded

LEAST_SHARED = 3
"""So many strips of the same letters are no strips that somebody else read again."""
PART = "/"
"""No name of a record holds it."""


def refuse_mixed_sets(rows: Sequence[Reading]) -> None:
    """Raise ``InputError`` for new readings of tools in which two people's strips run together.

    Somebody else may read a few strips again; who has most of them under the same letters has made
    strips, and then has to have them whole for them to be told from the others.
    """
    for people in _strips(rows).values():
        names = {who_read(row): " ".join(row.by.split()) for row in reversed(rows)}
        for (one, own), (other, others) in combinations(people.items(), 2):
            letters, theirs = ({str(row[0]) for row in each} for each in (own, others))
            both = len(letters & theirs)
            if own == others or both < LEAST_SHARED or 2 * both < len(letters | theirs):
                continue
            letter, feature, nominal = min(own ^ others, key=str)
            who = other if (letter, feature, nominal) in own else one
            raise InputError(
                f"{rows[0].file}: by: read {names[one]} and {names[other]} with strips of the same "
                f"letters, and {names[who]} has no '{feature}' of {nominal:g} mm of piece "
                f"{letter}; allowed: a whole set each, or one person's strips; write in 'by' who "
                "cut and scored a strip, or give each person's strips a file of their own"
            )


def parts_of(readings: Iterable[Reading]) -> dict[tuple[str, str], str]:
    """Whose strips are apart in a file: of tools, where people have the same strips each.

    Who stands in ``by`` has cut and scored them; of two whole sets under the same letters each is
    somebody's own.
    """
    return {
        (file, who): PART + who
        for file, people in _strips(readings).items()
        for place, who in enumerate(people)
        if place > 0 and any(people[who] == people[other] for other in people if other != who)
    }


def _strips(readings: Iterable[Reading]) -> dict[str, dict[str, set[tuple[object, ...]]]]:
    """What each person has of each strip of tools, by file and person."""
    own: dict[str, dict[str, set[tuple[object, ...]]]] = defaultdict(lambda: defaultdict(set))
    for reading in readings:
        if reading.kind is Kind.TOOLS and reading.piece is not None:
            row = (reading.piece[1], reading.feature, rounded(reading.nominal_mm))
            own[reading.file][who_read(reading)].add(row)
    return own


def who_read(reading: Reading) -> str:
    """Who stands in ``by``, however it is spaced or written large."""
    return folded(reading.by)


def rounded(mm: float | None) -> float | None:
    """A nominal as it tells sizes apart, mm."""
    return None if mm is None else round(mm, 2)
