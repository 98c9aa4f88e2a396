"""Fractions of an inch that no rule is divided into, as they stand in a design file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from fitcheck.plain import shown, written_out
from fitcheck.styles.places import PLACES
from fitcheck.units import MM_PER, Unit

ON_RULES = (2, 4, 8, 16, 32, 64)
"""What inches are divided into on rules (common practice, no source)."""
FRACTION = re.compile(
    r"[+-]?\s*(?:(?P<whole>\d+)(?:\s*-\s*|\s+))?(?P<over>\d+)\s*/\s*(?P<under>\d+)"
    r"\s*(?P<unit>in|inch|inches|\"|\u2033)?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class OddFraction:
    """A fraction of an inch with an unusual lower number."""

    place: str
    key: str
    written: str
    mm: float
    under: int
    meant: tuple[str, ...]
    """What may have been meant: the same with a lower number that is one slip of a key away."""


def odd_fractions(data: Mapping[str, Any], unit: Unit) -> tuple[OddFraction, ...]:
    """Those among the lengths of parts; `unit` is that of the file."""
    return tuple(_odd(data, unit))


def _odd(data: Mapping[str, Any], unit: Unit) -> Iterator[OddFraction]:
    for place in PLACES:
        table = data.get(place.name)
        for key, value in table.items() if isinstance(table, dict) else ():
            for one in value if isinstance(value, list) else [value]:
                found = FRACTION.fullmatch(written_out(one).strip()) if _short(one) else None
                if found is None or (found["unit"] is None and unit is not Unit.IN):
                    continue
                over, under = int(found["over"]), int(found["under"])
                if under and over % under and under not in ON_RULES:
                    mm = (int(found["whole"] or 0) + over / under) * MM_PER[Unit.IN]
                    whole = f"{found['whole']} " if found["whole"] else ""
                    meant = tuple(f"{whole}{over}/{own}" for own in _near(over, under))
                    yield OddFraction(place.name, key, shown(one), mm, under, meant)


def _short(value: object) -> bool:
    return isinstance(value, str) and len(value) <= 20


def _near(over: int, under: int) -> Iterator[int]:
    """What is on a rule and comes of a number by one digit more, less or other; of tens only, as
    any digit comes of any other."""
    typed = str(under)
    if len(typed) < 2:
        return
    for own in map(str, ON_RULES):
        less = {typed[:k] + typed[k + 1 :] for k in range(len(typed))}
        other = len(own) == len(typed) and sum(a != b for a, b in zip(own, typed, strict=True)) == 1
        if (own in less or other) and int(own) > over:
            yield int(own)
