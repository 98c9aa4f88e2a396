"""Readings of a paper that can hardly be true become questions, stacks of another thing errors."""

from __future__ import annotations

import bisect
import statistics
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.model_stock import BOARD_SCALE_U
from fitcheck.learn.questions import GAP_MM, Doubt, Question
from fitcheck.stock.crease import UNCALIBRATED_SHARE

THIN_MM = 0.1
"""Office paper; nobody folds boxes of less (common practice, no source)."""
STACKS_RATIO = 1.15
"""Papers of one name differ by some 5 per cent in thickness (US GPO JCP K10, CAL-1: 0.013 mm of
0.23 to 0.35 mm)."""
GAP_RATIO = 1.10
STACK_FACTOR = 2.5
"""Papers sold under one name differ by up to twice in bulk (common practice, no source), and a
stack miscounted by one of ten by a tenth; beyond this another thing was measured."""


def of_readings(
    rows: Sequence[Reading],
    older: Sequence[Reading],
    sheet_mm: float | None = None,
    allowance_mm: float | None = None,
) -> Iterator[Question]:
    """What new readings of a paper say that can hardly be, by themselves and beside older ones.

    ``sheet_mm`` and ``allowance_mm`` are what the paper is known by, None for what nobody measured.
    """
    yield from _of_stacks(rows, older)
    read = _sheet_of([*older, *rows])
    sheet = sheet_mm if read is None else read
    if sheet is None:
        return
    walls = list(_walls(rows))
    if not walls:
        usual = UNCALIBRATED_SHARE * sheet if allowance_mm is None else allowance_mm
        yield from _of_channels(rows, sheet, usual)
    for place, apart in walls:
        if not apart > sheet:
            yield Question(
                Doubt.CHANNELS,
                f"{place} is {max(apart, 0.0):.2f} mm wider than the inside of the same piece, and "
                f"two sheets of {sheet:.3f} mm lie between them",
                "measure channels over their outside, or write inside in feature",
            )
        elif apart > 4 * sheet and apart > 2 * sheet + 4 * GAP_MM / 3:
            yield Question(
                Doubt.SHEETS,
                f"{place} is {apart:.2f} mm wider than the inside of the same piece, and two "
                f"sheets of {sheet:.3f} mm by the stack lie between them",
                "count the stack's sheets and write that in count (1 for a single one)",
            )


def _of_channels(rows: Sequence[Reading], sheet: float, usual: float) -> Iterator[Question]:
    """Channels that are narrower than a crease makes them, whatever the board: as their inside is.

    The shortest tell, as the board's scale moves them least.
    """
    by_nominal: dict[float, list[float]] = defaultdict(list)
    for row in rows:
        if row.feature is Feature.CHANNEL and row.reading_mm is not None and row.nominal_mm:
            by_nominal[row.nominal_mm].append((row.reading_mm - row.nominal_mm) / 2)
    if not by_nominal:
        return
    nominal = min(by_nominal)
    off = statistics.fmean(by_nominal[nominal])
    if off + BOARD_SCALE_U * nominal / 2 < usual - sheet / 2:
        yield Question(
            Doubt.CHANNELS,
            f"{rows[0].file}: channels of {nominal:g} mm are {2 * off:+.2f} mm beside their "
            f"nominal, as if their inside had been measured ({2 * usual:+.2f} mm is usual)",
            "measure them over their outside, or write inside in feature",
        )


def _of_stacks(rows: Sequence[Reading], older: Sequence[Reading]) -> Iterator[Question]:
    new, old = _stacks(rows), _stacks(older)
    for one in new:
        if one.each < THIN_MM:
            yield Question(
                Doubt.SHEETS,
                f"{one.place}: {one.each:.3f} mm a sheet, thinner than office paper",
                "it may be one sheet: write 1 in count",
            )
    for k, one in enumerate(new):
        if one.torn:
            yield Question(
                Doubt.STACKS,
                f"{one.place}: read {one.torn[0]:g} and {one.torn[1]:g} mm, which contradict each "
                "other",
                "measure it again and write what is right",
            )
        for other in new[:k]:
            if _ratio(one.each, other.each) > STACKS_RATIO:
                yield Question(
                    Doubt.STACKS,
                    f"{one.place}: {one.each:.3f} mm a sheet, and {other.place}: "
                    f"{other.each:.3f} mm, which contradict each other",
                    "count the sheets and measure both again",
                )
    before = [one.each for one in old]
    if new and before:
        now, then = (statistics.median(v) for v in ([s.each for s in new], before))
        if _ratio(now, then) > GAP_RATIO:
            yield Question(
                Doubt.GAP,
                f"{new[0].place}: {now:.3f} mm a sheet, and older records have {then:.3f} mm",
                "learn another paper under another name, or measure the stack again",
            )


@dataclass(frozen=True)
class _Stack:
    place: str
    each: float
    """Thickness of a sheet, mm."""
    torn: tuple[float, float] | None
    """Its two readings where they cannot both be right."""


def _stacks(readings: Iterable[Reading]) -> list[_Stack]:
    groups: dict[object, list[Reading]] = defaultdict(list)
    for reading in readings:
        if reading.feature is Feature.STACK and reading.reading_mm and reading.count:
            groups[(reading.file, reading.piece, reading.count)].append(reading)
    found = []
    for own in groups.values():
        values = sorted(reading.reading_mm or 0.0 for reading in own)
        pair = len(values) == 2 and _ratio(*values) > STACKS_RATIO
        torn = (values[0], values[1]) if pair else None
        each = statistics.median(values) / (own[0].count or 1)
        found.append(_Stack(own[0].place, each, torn))
    return found


def _ratio(one: float, other: float) -> float:
    return max(one, other) / min(one, other)


def _sheet_of(readings: Sequence[Reading]) -> float | None:
    each = [stack.each for stack in _stacks(readings)]
    return statistics.median(each) if each else None


def _walls(rows: Sequence[Reading]) -> Iterator[tuple[str, float]]:
    """Pieces of which outside and inside were read: where, and how far these are apart."""
    outside: dict[object, list[Reading]] = defaultdict(list)
    inside: dict[object, list[Reading]] = defaultdict(list)
    for reading in rows:
        if reading.piece is not None and reading.feature in (Feature.CHANNEL, Feature.INSIDE):
            kind = outside if reading.feature is Feature.CHANNEL else inside
            kind[(reading.piece, reading.nominal_mm)].append(reading)
    for key in outside.keys() & inside.keys():
        wide = [v for v in map(_middle, outside[key]) if v is not None]
        free = [v for v in map(_middle, inside[key]) if v is not None]
        if wide and free:
            yield outside[key][0].place, statistics.median(wide) - statistics.median(free)


def _middle(reading: Reading) -> float | None:
    if reading.reading_mm is not None:
        return reading.reading_mm
    if reading.go_mm is None or reading.nogo_mm is None:
        return None
    return (reading.go_mm + reading.nogo_mm) / 2


def check_stacks(name: str, readings: Sequence[Reading], known_mm: float | None) -> None:
    """Raise ``InputError`` with a line for each stack that cannot be of this paper.

    ``known_mm`` is the caliper that the paper is known by; without one, three stacks or more are
    held against the median of the others.
    """
    stacks = [
        (reading, reading.reading_mm / reading.count)
        for reading in readings
        if reading.feature is Feature.STACK and reading.count and reading.reading_mm is not None
    ]
    lines = []
    in_order = sorted(each for _, each in stacks)
    for reading, each in stacks:
        if known_mm is not None:
            wanted, known = known_mm, f"{name} is known as {known_mm:.3f} mm"
        elif len(stacks) > 2:
            wanted = _median_without(in_order, each)
            known = f"the other stacks come to {wanted:.3f} mm"
        else:
            continue
        if not wanted / STACK_FACTOR <= each <= wanted * STACK_FACTOR:
            lines.append(_line(reading, each, wanted, known))
    if lines:
        raise InputError(lines)


def _median_without(in_order: Sequence[float], one: float) -> float:
    """The median of sorted numbers but one of them.

    >>> _median_without([1.0, 2.0, 4.0, 7.0], 2.0), _median_without([1.0, 2.0, 4.0], 4.0)
    (4.0, 1.5)
    """
    place, half = bisect.bisect_left(in_order, one), (len(in_order) - 1) // 2
    upper = in_order[half + (half >= place)]
    if len(in_order) % 2 == 0:
        return upper
    return (in_order[half - 1 + (half - 1 >= place)] + upper) / 2


def _line(reading: Reading, each: float, wanted: float, known: str) -> str:
    whole = reading.reading_mm or 0.0
    like = round(whole / wanted)
    guess = (
        "it looks like one sheet: write 1 in count, or measure the whole stack"
        if like == 1
        else f"it measures like about {like} sheets: count them and measure again"
    )
    return (
        f"{reading.file}: row {reading.row}: reading_mm: read {whole:g} for {reading.count} "
        f"sheets, {each:.3f} mm a sheet, and {known}; allowed: {wanted / STACK_FACTOR:.3f} to "
        f"{wanted * STACK_FACTOR:.3f} mm a sheet; {guess}; learn another paper under another name"
    )
