"""How thick a stack can be: what can hardly be true is asked, another thing is refused."""

from __future__ import annotations

import bisect
import statistics
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.learn.aside_words import new_batch
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.questions import Doubt, Question

THIN_MM = 0.1
"""Office paper; nobody folds boxes of less (common practice, no source)."""
THICK_MM = 1.0
"""Heavy card ends near 0.6 mm and greyboard is sold up to 3 mm (common practice, no source)."""
LIGHTEST, HEAVIEST = 0.5, 1.3
"""Density of paper and card, g/cm3 (common practice, no source)."""
RECOUNT = (
    "a decimal place may have slipped, or the count be wrong: count the stack, measure it again "
    "and write that"
)
STACKS_RATIO = 1.15
"""Papers of one name differ by some 5 per cent in thickness (US GPO JCP K10, CAL-1: 0.013 mm of
0.23 to 0.35 mm)."""
GAP_RATIO = 1.10
STACK_FACTOR = 2.5
"""Papers sold under one name differ by up to twice in bulk (common practice, no source), and a
stack miscounted by one of ten by a tenth; beyond this another thing was measured."""


@dataclass(frozen=True)
class Known:
    """What a paper is known by; None for what nobody measured or no file says."""

    sheet_mm: float | None = None
    """Thickness of a sheet."""
    allowance_mm: float | None = None
    """What a crease adds to the outside of a wall."""
    grammage_gsm: float | None = None
    """Mass per area, g/m2."""


def of_stacks(
    rows: Sequence[Reading], older: Sequence[Reading], known: Known
) -> Iterator[Question]:
    """What new stacks say that can hardly be, by themselves and beside what is known."""
    new, old = _stacks(rows), _stacks(older)
    before = [one.each for one in old]
    usual = statistics.median(before) if before else known.sheet_mm
    for one in new:
        if one.each < THIN_MM:
            yield Question(
                Doubt.SHEETS,
                f"{one.place}: {one.each:.3f} mm a sheet, thinner than office paper",
                "it may be one sheet: write 1 in count",
            )
        elif usual is None or _ratio(one.each, usual) > GAP_RATIO:
            yield from _of_weight(one, known.grammage_gsm)
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
    if new and before:
        now, then = (statistics.median(v) for v in ([s.each for s in new], before))
        if _ratio(now, then) > GAP_RATIO:
            yield Question(
                Doubt.GAP,
                f"{new[0].place}: {now:.3f} mm a sheet, and older records have {then:.3f} mm",
                "measure the stack again; "
                + new_batch(row.file for row in older if row.feature is Feature.STACK),
            )


def _of_weight(one: _Stack, grammage_gsm: float | None) -> Iterator[Question]:
    """A sheet that is too thick or too thin for what it weighs, or for card of unknown weight."""
    if grammage_gsm is None:
        if one.each > THICK_MM:
            yield Question(
                Doubt.SHEETS,
                f"{one.place}: {one.each:.3f} mm a sheet, thicker than card that is folded",
                RECOUNT,
            )
        return
    density = grammage_gsm / (1000 * one.each)
    if not LIGHTEST <= density <= HEAVIEST:
        away = "thick" if density < LIGHTEST else "thin"
        low, high = (grammage_gsm / (1000 * limit) for limit in (HEAVIEST, LIGHTEST))
        yield Question(
            Doubt.SHEETS,
            f"{one.place}: {one.each:.3f} mm a sheet, too {away} for {grammage_gsm:g} g/m2 "
            f"({low:.2f} to {high:.2f} mm is usual)",
            RECOUNT,
        )


def slipped(place: str, sheet: float, tell: str) -> Question:
    """A stack of which a tenth is what the folds ``tell``."""
    return Question(
        Doubt.SHEETS,
        f"{place}: the stacks come to {sheet:.3f} mm a sheet, and {tell}, as sheets of about "
        f"{sheet / 10:.3f} mm have it",
        RECOUNT,
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


def sheet_of(readings: Sequence[Reading]) -> float | None:
    """Thickness of one sheet, the middle of all stacks, mm; None where none was read."""
    each = [stack.each for stack in _stacks(readings)]
    return statistics.median(each) if each else None


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
