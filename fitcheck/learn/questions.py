"""What can hardly be true of readings is asked about, and nothing is kept until it is confirmed."""

from __future__ import annotations

import enum
import math
import statistics
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.learn.learning import Learnt
from fitcheck.learn.model_stock import BOARD_SCALE_U, GIVE
from fitcheck.learn.readings import Feature, Kind, Reading
from fitcheck.stock.crease import UNCALIBRATED_SHARE

THIN_MM = 0.1
"""Office paper; nobody folds boxes of less (common practice, no source)."""
STACKS_RATIO = 1.15
"""Papers of one name differ by some 5 per cent in thickness (US GPO JCP K10, CAL-1: 0.013 mm of
0.23 to 0.35 mm)."""
GAP_RATIO = 1.10
GAP_MM = 0.3
"""Folds of two days differ by some hundredths of a millimetre (common practice, no source)."""
GAP_U = 4.0
ALIKE = 6
"""So many readings that are the same to the last digit are no second measurement."""
SCALE_ERROR, OFFSET_MM = 0.02, 0.6
"""A printer that is off by more is not ready to be measured (common practice, no source)."""


class Doubt(enum.StrEnum):
    """What is asked, by the word that confirms it."""

    CHANNELS = "channels"
    SHEETS = "sheets"
    STACKS = "stacks"
    AGAIN = "again"
    GAP = "gap"
    CORNER = "corner"
    PRINTER = "printer"


@dataclass(frozen=True)
class Question:
    """One thing that can hardly be true."""

    doubt: Doubt
    told: str
    """Where, what was read and why it can hardly be."""
    cure: str
    """What to do where it is not so."""

    @property
    def line(self) -> str:
        """The question as one line."""
        return f"{self.told}: is that so? if not, {self.cure}; if it is, add --confirm {self.doubt}"


def ask(questions: Iterable[Question], confirmed: Collection[Doubt]) -> None:
    """Raise ``InputError`` with every question that nobody has confirmed."""
    lines = [one.line for one in questions if one.doubt not in confirmed]
    if lines:
        raise InputError(lines)


def of_repeats(
    rows: Sequence[Reading], sheets: Mapping[str, Sequence[Reading]]
) -> Iterator[Question]:
    """Readings that are the same as older ones but for who took them, when and with what.

    ``sheets`` are the readings of every record by its name.
    """
    said = Counter(map(_measured, rows))
    for name, readings in sheets.items():
        older = Counter(map(_measured, readings))
        if _many(older) and not older - said:
            yield _again(rows[0].file, f"the {len(readings)} readings of {name}")
    half = len(rows) // 2
    first, second = list(map(_measured, rows[:half])), list(map(_measured, rows[half:]))
    if first == second and _many(Counter(first)):
        yield _again(rows[0].file, "the first half of its rows")


def _again(file: str, which: str) -> Question:
    return Question(
        Doubt.AGAIN,
        f"{file}: says the same as {which}, to the last digit, but for who, when or with what",
        "leave the copy out: readings count once",
    )


def _many(said: Counter[tuple[object, ...]]) -> bool:
    return said.total() >= ALIKE and len(said) > ALIKE // 2


def _measured(reading: Reading) -> tuple[object, ...]:
    return (
        reading.feature,
        reading.nominal_mm,
        reading.count,
        reading.reading_mm,
        reading.go_mm,
        reading.nogo_mm,
    )


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


def of_fit(learnt: Learnt, file: str, new: Collection[str]) -> Iterator[Question]:
    """What a fit says that can hardly be; ``new`` are the names of the records that came last."""
    if learnt.kind is Kind.PRINTER:
        yield from _of_printer(learnt, file)
        return
    give = learnt.known(GIVE)
    if give is not None and not -give.u <= give.value <= 2 + give.u:
        yield Question(
            Doubt.CORNER,
            f"{file}: the tray's glued walls stand out by {give.value:.1f} times a sheet and the "
            "adhesive, and by about once is usual",
            "read it from front to back, at the rim",
        )
    yield from _of_gap(learnt, file, new)


def _of_gap(learnt: Learnt, file: str, new: Collection[str]) -> Iterator[Question]:
    """A fold made lately that is much wider or narrower than those before."""
    rest = learnt.fit.residuals
    lately: list[float] = []
    before: list[float] = []
    for entry, off in zip(learnt.entries, rest, strict=True):
        if entry.feature in (Feature.CHANNEL, Feature.INSIDE, Feature.CORNER) and math.isfinite(
            off
        ):
            (lately if entry.readings[0].file in new else before).append(float(off))
    if not lately or not before:
        return
    apart = statistics.fmean(lately) - statistics.fmean(before)
    u = math.sqrt(2) * learnt.fit.noise * math.sqrt(1 / len(lately) + 1 / len(before))
    if abs(apart) > max(GAP_MM, GAP_U * u):
        side = "wider" if apart > 0 else "narrower"
        yield Question(
            Doubt.GAP,
            f"{file}: its folds are {abs(apart):.2f} mm {side} than those of older records",
            "check nominal_mm, the board and the paper; learn another paper under another name",
        )


def _of_printer(learnt: Learnt, file: str) -> Iterator[Question]:
    for found in learnt.properties:
        scale = found.name.startswith("scale")
        most = SCALE_ERROR if scale else OFFSET_MM
        if not found.kept and abs(found.value) > most:
            told = f"{100 * found.value:+.1f} %" if scale else f"{found.value:+.2f} mm"
            limit = f"{100 * most:g} %" if scale else f"{most:g} mm"
            yield Question(
                Doubt.PRINTER,
                f"{file}: gives {found.name} {told}, and printers are within {limit} as a rule",
                "check nominal_mm, the axes and what was measured",
            )
