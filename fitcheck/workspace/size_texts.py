"""Sizes typed in one breath, such as 2 3/4 x 3 x 3/4 in, and how sizes are told."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from fitcheck.plain import shown, written_out
from fitcheck.units import (
    MM_PER,
    NUDGE,
    TIMES,
    ZERO_MM,
    Unit,
    hand_step_mm,
    hand_unit,
    parse_length,
    show_inches,
    show_number,
)
from fitcheck.workspace.lengths import FILE_UNITS, LARGEST_MM

_TIMES = re.compile(r" ?[x\u00d7] ?", re.IGNORECASE)
_UNIT = re.compile(r"(?P<number>.*?) ?(?P<unit>mm|cm|inches|inch|in|pt|\"|\u2033)?", re.IGNORECASE)
_LONGEST = 200
THOU_MM = 0.0254
"""A thousandth of an inch, in which thin things are told."""


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
    plain = [f"{float(show_number(mm, _places(mm))):g}" for mm in lengths_mm]
    return _in_both(plain, [show_mark(mm) for mm in lengths_mm], unit)


def show_sizes(lengths_mm: Sequence[float], unit: Unit) -> str:
    """Sizes as they are: in mm to a tenth, in inches as the nearest that a rule shows.

    >>> show_sizes([12.16], Unit.IN), show_sizes([12.16], Unit.MM)
    ('15/32 in (12.2 mm)', '12.2 mm (15/32 in)')
    >>> show_sizes([85.73, 0.3], Unit.IN)
    '3 3/8 x 0.012 in (85.7 x 0.3 mm)'
    """
    end = "" if unit is Unit.IN else ".0"
    tenths = [show_number(mm, _places(mm)).removesuffix(end) for mm in lengths_mm]
    return _in_both(tenths, [show_mark(mm) for mm in lengths_mm], unit)


def show_room(lengths_mm: Sequence[float], unit: Unit, *, up: bool = False) -> str:
    """What is between walls: never more than there is; of what is round them, `up`, never less.

    Inches in brackets are the nearest: what goes in is not told as larger than its room.

    >>> show_room([72.84, 117.29], Unit.IN), show_room([63.33, 88.73], Unit.MM)
    ('2 27/32 x 4 19/32 in (72.8 x 117.2 mm)', '63.3 x 88.7 mm (2 1/2 x 3 1/2 in)')
    >>> show_room([63.33], Unit.MM, up=True), show_room([63.5], Unit.IN, up=True)
    ('63.4 mm (2 1/2 in)', '2 1/2 in (63.5 mm)')
    """

    def to(steps: float) -> int:
        return math.ceil(steps - NUDGE) if up else math.floor(steps + NUDGE)

    tenths = []
    for mm in lengths_mm:
        step = 0.1 if to(mm / 0.1) else 0.01
        tenths.append(f"{float(show_number(to(mm / step) * step, 2)):g}")
    nearest = round if hand_unit(unit) is Unit.MM else to
    return _in_both(tenths, [show_mark(mm, nearest) for mm in lengths_mm], unit)


def show_mark(mm: float, to: Callable[[float], int] = round) -> str:
    """The mark of an inch rule that is nearest, or by `to`, without its unit; a length that is
    nothing there in decimals.

    >>> show_mark(57.5), show_mark(0.3), show_mark(0.5, math.floor), show_mark(0.01)
    ('2 1/4', '0.012', '0.019', '0.0004')
    """
    step = hand_step_mm(Unit.IN)
    if to(mm / step) or abs(mm) < ZERO_MM:
        return show_inches(to(mm / step) * step).removesuffix(" in")
    places = 3 if to(mm / THOU_MM) else 4
    return show_number(to(mm / MM_PER[Unit.IN] * 10**places) / 10**places, places)


def _places(mm: float) -> int:
    """Decimals of a size in millimetres: one, and two where that would show nothing."""
    return 1 if abs(mm) >= 0.05 - NUDGE else 2


def _in_both(in_mm: Sequence[str], in_inches: Sequence[str], unit: Unit) -> str:
    tenths, inches = f"{TIMES.join(in_mm)} mm", f"{TIMES.join(in_inches)} in"
    return f"{inches} ({tenths})" if hand_unit(unit) is Unit.IN else f"{tenths} ({inches})"


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
