"""Sizes typed in one breath, such as 2 3/4 x 3 x 3/4 in, and how they are told back."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.plain import shown, written_out
from fitcheck.units import (
    MM_PER,
    TIMES,
    ZERO_MM,
    Unit,
    hand_unit,
    parse_length,
    show_hand,
    show_number,
)
from fitcheck.workspace.lengths import FILE_UNITS, LARGEST_MM

_TIMES = re.compile(r" ?[x\u00d7] ?", re.IGNORECASE)
_UNIT = re.compile(r"(?P<number>.*?) ?(?P<unit>mm|cm|inches|inch|in|pt|\"|\u2033)?", re.IGNORECASE)
_LONGEST = 200


@dataclass(frozen=True)
class SizeTexts:
    """Some sizes: as they were typed, and what they are."""

    unit: Unit
    """All are in it; mm where they were typed in several."""
    numbers: tuple[str, ...]
    """In that unit, each without it."""
    mm: tuple[float, ...]


def read_sizes(text: str) -> SizeTexts:
    """Sizes with an x between them; a unit behind the last holds for those that have none.

    Raises ``ValueError`` with the rest of a sentence that begins with what was read.

    >>> read_sizes("2 3/4 x 3 x 3/4 in").numbers, read_sizes("40 x 3 cm x 12 mm").numbers
    (('2 3/4', '3', '3/4'), ('40', '30', '12'))
    >>> read_sizes("1 x 2 in").mm
    (25.4, 50.8)
    """
    if len(text) > _LONGEST:
        raise ValueError(f"is too long for sizes, {len(text)} letters")
    typed = []
    for one in _TIMES.split(" ".join(written_out(text).split())):
        found = _UNIT.fullmatch(one)
        assert found is not None, "a number may be any text"
        typed.append((found["number"], (found["unit"] or "").lower()))
    last = typed[-1][1]
    if not last:
        raise ValueError("has no unit: write mm, cm or in behind the last size")
    units = [unit or last for _, unit in typed]
    mm = tuple(_length(number, unit) for (number, _), unit in zip(typed, units, strict=True))
    kinds = {_unit(unit) for unit in units}
    only = kinds.pop() if len(kinds) == 1 else Unit.MM
    if len({_unit(unit) for unit in units}) > 1 or only not in FILE_UNITS:
        return SizeTexts(Unit.MM, tuple(f"{round(own, 4):g}" for own in mm), mm)
    return SizeTexts(only, tuple(number for number, _ in typed), mm)


def size_words(lengths_mm: Sequence[float], unit: Unit) -> str:
    """Sizes as they were given, to a tenth of a millimetre, and at the nearest marks of a rule.

    >>> size_words([83.0, 57.5], Unit.IN), size_words([83.2], Unit.MM)
    ('3 9/32 x 2 1/4 in (83 x 57.5 mm)', '83.2 mm (3 9/32 in)')
    """
    plain = TIMES.join(f"{float(show_number(mm, 1)):g}" for mm in lengths_mm) + " mm"
    marks = TIMES.join(show_hand(mm, Unit.IN) for mm in lengths_mm) + " in"
    return f"{marks} ({plain})" if hand_unit(unit) is Unit.IN else f"{plain} ({marks})"


def _unit(spelled: str) -> Unit:
    return next((unit for unit in Unit if unit.value == spelled), Unit.IN)


def _length(number: str, unit: str) -> float:
    try:
        mm = parse_length(f"{number} {unit}", Unit.MM)
    except ValueError as error:
        raise ValueError(f"has the size {shown(number)}, which {error}") from None
    if not ZERO_MM <= mm <= LARGEST_MM:
        raise ValueError(
            f"has the size {shown(number)}, out of range: lengths are above 0 and up to "
            f"{LARGEST_MM:g} mm ({LARGEST_MM / MM_PER[Unit.IN]:.0f} in)"
        )
    return mm
