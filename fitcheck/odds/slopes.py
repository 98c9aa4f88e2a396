"""Boxes with one input off are read again, and slopes of limits come of central differences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from fitcheck.odds.inputs import Input
from fitcheck.odds.making import Made
from fitcheck.odds.readings import Member, Reader, Readings

Key = tuple[str, Member]
"""The family and the member of a limit."""
LEVER = 20.0
"""Where a limit moves by more than so many times what an input moves a line by, other ends of two
pieces meet: where they do says nothing of where the first did."""


def touches(reader: Reader, one: Input) -> bool:
    """Whether an input may change what is read."""
    return bool(reader.moved_by & {*one.parts, *([] if one.parts else [one.item])})


class Slope(NamedTuple):
    """How a limit changes with one input, slopes."""

    middle: float
    """Of both sides."""
    kink: float
    """What the high side has more than that, and the low side less."""


def slopes(read: Readings, up: Readings, down: Readings, one: Input) -> dict[Key, Slope]:
    """How each limit changes with one input, off by its standard uncertainty to both sides.

    A roll that leans one way only, or another corner of a plate that comes first, makes the sides
    differ. A pair that has come apart on one side, or whose other ends meet there, is judged by the
    other side alone.
    """
    step = one.variate.u
    moved_mm = step * one.lever_mm
    found = {}
    for family in read.keys() & (up.keys() | down.keys()):
        above_all, below_all = up.get(family, {}), down.get(family, {})
        for member, value in read[family].items():
            above, below = (
                followed(value, own.get(member), moved_mm) for own in (above_all, below_all)
            )
            if above is not None and below is not None:
                bent = 0.5 * (above + below) - value
                found[family, member] = Slope((above - below) / (2.0 * step), bent / step)
            elif above is not None:
                found[family, member] = Slope((above - value) / step, 0.0)
            elif below is not None:
                found[family, member] = Slope((value - below) / step, 0.0)
    return found


def followed(value: float, other: float | None, moved_mm: float) -> float | None:
    """What is read of a limit where an input moves lines so far; None where other ends meet, mm."""
    return None if other is None or abs(other - value) > LEVER * moved_mm else other


def read_anew(
    boxes: Sequence[Made | None], readers: Sequence[Reader], within_mm: float
) -> list[Readings]:
    """All pairs of each box within reach; none of one that cannot be folded."""
    return _read(boxes, readers, within_mm, None)


def read_again(
    boxes: Sequence[Made | None], readers: Sequence[Reader], read: Readings
) -> list[Readings]:
    """The same pairs read of other boxes; none of one that cannot be folded."""
    return _read(boxes, readers, math.inf, read)


def _read(
    boxes: Sequence[Made | None],
    readers: Sequence[Reader],
    within_mm: float,
    wanted: Readings | None,
) -> list[Readings]:
    found: list[Readings] = [{} for _ in boxes]
    there = [(k, made) for k, made in enumerate(boxes) if made is not None]
    for reader in readers if there else ():
        read = reader.read_all([made for _, made in there], within_mm, wanted)
        for (k, _), own in zip(there, read, strict=True):
            found[k] |= own
    return found
