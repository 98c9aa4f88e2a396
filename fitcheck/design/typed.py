"""Lengths typed without a unit into a file in inches: some may have been meant in millimetres."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from fitcheck.plain import shown
from fitcheck.styles.places import PLACES
from fitcheck.units import Unit

ROOMS = frozenset(
    ["oversize", "same_sheet", "slack", "ease", "play", "clear", "short", "slot", "tab_setback"]
)
"""Keys of what is left free between parts and round contents."""
HEIGHTS = frozenset(["depth", "height", "rise", "legs"])
SIDES = frozenset(["floor", "inside", "opening", "cut", "window", "length"])
BARE = re.compile(r"-?\d+(\.\d+)?")


@dataclass(frozen=True)
class Typed:
    """A length, or two, written without a unit."""

    place: str
    key: str
    numbers: tuple[float, ...]
    """Those without a unit, as they were typed."""
    written: str
    """What stands in the file."""
    in_mm: str
    """What would stand there were millimetres meant."""


def typed_numbers(data: Mapping[str, Any], unit: Unit) -> tuple[Typed, ...]:
    """All lengths of parts that a file in inches gives without a unit; none in another unit."""
    return tuple(_typed(data)) if unit is Unit.IN else ()


def _typed(data: Mapping[str, Any]) -> Iterator[Typed]:
    for place in PLACES:
        table = data.get(place.name)
        for key, value in table.items() if isinstance(table, dict) else ():
            if key not in ROOMS | HEIGHTS | SIDES:
                continue
            lengths = value if isinstance(value, list) else [value]
            numbers = tuple(float(one) for one in lengths if _bare(one))
            if numbers:
                said = [f'"{one} mm"' if _bare(one) else shown(one) for one in lengths]
                text = f"[{', '.join(said)}]" if isinstance(value, list) else said[0]
                yield Typed(place.name, key, numbers, shown(value), text)


def _bare(value: object) -> bool:
    if isinstance(value, str):
        return BARE.fullmatch(value) is not None
    return isinstance(value, int | float) and not isinstance(value, bool)
