"""A design's lengths in another unit, the same as before; at a rule's marks only where asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, MutableMapping
from fractions import Fraction
from typing import Any

from fitcheck.design.read import DEFAULT_TOOLS
from fitcheck.design.schema import length_keys
from fitcheck.units import MM_PER, NUDGE, ROUNDED_MM, Unit, hand_step_mm, parse_length

EASED = frozenset({"oversize", "ease", "same_sheet", "slack", "tab_setback", "clear"})
THIN = frozenset({"joint", "tight", "snug", "loose"})
GIVING = EASED | THIN | {"play", "short", "slot"}
"""Lengths that say how much one thing gives to another: none is rounded to a rule's marks."""
SAME_MM = 0.0015
"""Nobody sees or feels so little: a length so near to one with fewer digits is that one."""
FINEST_FRACTION = 64
Table = MutableMapping[str, Any]


def bring_to(document: Table, old: Unit, new: Unit) -> None:
    """Write every length of a design in another unit, so that no size moves.

    What names its own unit stays as it is. A design that names no board keeps the one it had.
    """

    def brought(key: str, value: Any) -> Any:
        try:
            mm, unchanged = parse_length(value, old), parse_length(value, new)
        except ValueError:
            return value  # a word, or what is told as no length in either unit
        return value if mm == unchanged else in_unit(mm, new)

    if "tools" not in document and DEFAULT_TOOLS[old] != DEFAULT_TOOLS[new]:
        document["tools"] = DEFAULT_TOOLS[old]
    _change(document, brought)
    document["unit"] = str(new)


def bring_to_marks(document: Table, unit: Unit) -> None:
    """Write every size that lies between the marks of a rule as the nearest mark; eases stay."""

    def brought(key: str, value: Any) -> Any:
        mm = _off_mark(key, value, unit)
        return value if mm is None else in_unit(_mark(mm, unit), unit)

    _change(document, brought)


def between_marks(document: Mapping[str, Any], unit: Unit) -> tuple[int, float]:
    """How many sizes lie between the marks of a rule, and the furthest from its mark, mm."""
    off = [_off_mark(key, value, unit) for key, value in _lengths(document)]
    gaps = [abs(mm - _mark(mm, unit)) for mm in off if mm is not None]
    return len(gaps), max(gaps, default=0.0)


def in_unit(mm: float, unit: Unit) -> str | float:
    """A length as a file of that unit has it, in as few digits as tell it.

    >>> in_unit(88.9, Unit.IN), in_unit(83.0, Unit.IN), in_unit(92.075, Unit.MM)
    ('3 1/2', '3.2677', 92.075)
    """
    if unit is Unit.IN:
        inches = mm / MM_PER[unit]
        mark = Fraction(round(inches * FINEST_FRACTION), FINEST_FRACTION)
        if abs(float(mark) * MM_PER[unit] - mm) > SAME_MM or (mark == 0 and mm):
            return f"{inches:.4f}".rstrip("0").rstrip(".")
        return _fraction(mark)
    own = mm / MM_PER[unit]
    few = range(4 if unit is Unit.CM else 3)
    near = (k for k in few if abs(round(own, k) * MM_PER[unit] - mm) <= SAME_MM)
    exact = (k for k in (3, 4, 5) if abs(round(own, k) - own) < NUDGE)
    short = round(own, next(near, next(exact, 3)) if abs(mm) > SAME_MM else 5)
    return int(short) if short == int(short) else short


def _fraction(value: Fraction) -> str:
    sign, (whole, over) = "-" if value < 0 else "", divmod(abs(value), 1)
    if not over:
        return f"{sign}{whole}"
    return f"{sign}{whole} {over}" if whole else f"{sign}{over}"


def _off_mark(key: str, value: Any, unit: Unit) -> float | None:
    """A size in mm that is at no mark of a rule; None for all others, and for what is no length."""
    if key in GIVING:
        return None
    try:
        mm = parse_length(value, unit)
    except ValueError:
        return None
    return None if abs(mm - _mark(mm, unit)) <= ROUNDED_MM else mm


def _mark(mm: float, unit: Unit) -> float:
    """The mark next to a size, and the first one where that would be nothing."""
    step = hand_step_mm(unit)
    return max(1, round(mm / step)) * step


def _lengths(table: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Every length of a table and of those in it, by its key."""
    for key, value in table.items():
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, Mapping):
                yield from _lengths(one)
            elif key in length_keys():
                yield key, one


def _change(table: Table, new: Callable[[str, Any], Any]) -> None:
    """Put other lengths in the place of a table's, and of those in it; what is the same stays."""
    for key, value in table.items():
        known = key in length_keys()
        for place, one in enumerate(value) if isinstance(value, list) else ():
            if isinstance(one, MutableMapping):
                _change(one, new)
            elif known and (changed := new(key, one)) is not one:
                value[place] = changed
        if isinstance(value, MutableMapping):
            _change(value, new)
        elif known and not isinstance(value, list) and (changed := new(key, value)) is not value:
            table[key] = changed
