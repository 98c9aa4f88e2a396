"""Readings of a paper that can hardly be true become questions."""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.doubtful_stacks import THIN_MM, Known, of_stacks, sheet_of, slipped
from fitcheck.learn.questions import GAP_MM, Doubt, Question
from fitcheck.stock.crease import usual_share
from fitcheck.stock.tools import BOARD_SCALE_U


def of_readings(
    rows: Sequence[Reading],
    older: Sequence[Reading],
    known: Known,
    confirmed: Collection[Doubt] = (),
) -> Iterator[Question]:
    """What new readings of a paper say that can hardly be, by themselves and beside older ones."""
    read = sheet_of([*older, *rows])
    sheet = known.sheet_mm if read is None else read
    tell = None
    if sheet is not None and Doubt.SHEETS not in confirmed:
        tell = _tell_of_tenth(rows, sheet)
    if sheet is not None and tell is not None:
        yield slipped(rows[0].file, sheet, tell)
        return
    yield from of_stacks(rows, older, known)
    if sheet is None:
        return
    walls = list(_walls(rows))
    if not walls:
        usual = usual_share(sheet) * sheet if known.allowance_mm is None else known.allowance_mm
        yield from _of_channels(rows, sheet, usual)
    for place, apart, steps in walls:
        if not apart + steps > sheet:
            yield Question(
                Doubt.CHANNELS,
                f"{place} is {max(apart, 0.0):.2f} mm wider than the inside of the same piece, and "
                f"two sheets of {sheet:.3f} mm lie between them",
                "measure channels over their outside, or write inside in feature",
            )
        elif apart - steps > max(4 * sheet, 2 * sheet + 4 * GAP_MM / 3):
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
    shortest = _shortest(rows)
    if shortest is None:
        return
    nominal, off, steps = shortest
    if off + steps / 2 + BOARD_SCALE_U * nominal / 2 < usual - sheet / 2:
        yield Question(
            Doubt.CHANNELS,
            f"{rows[0].file}: channels of {nominal:g} mm are {2 * off:+.2f} mm beside their "
            f"nominal, as if their inside had been measured ({2 * usual:+.2f} mm is usual)",
            "measure them over their outside, or write inside in feature",
        )


def _shortest(rows: Sequence[Reading]) -> tuple[float, float, float] | None:
    """Nominal of the shortest channels, how far each of their walls stands out, and what steps
    leave open of what was read, mm.
    """
    by_nominal: dict[float, list[Reading]] = defaultdict(list)
    for row in rows:
        if row.feature is Feature.CHANNEL and row.reading_mm is not None and row.nominal_mm:
            by_nominal[row.nominal_mm].append(row)
    if not by_nominal:
        return None
    nominal = min(by_nominal)
    own = by_nominal[nominal]
    off = statistics.fmean(((row.reading_mm or 0.0) - nominal) / 2 for row in own)
    return nominal, off, _steps(own)


def _steps(rows: Sequence[Reading]) -> float:
    """How far a size may be from what was read of it: half a step of the coarsest instrument.

    Readings of one piece are rounded alike. What a gauge leaves open is its own question.
    """
    return max((row.resolution_mm / 2 for row in rows if row.reading_mm is not None), default=0.0)


def _tell_of_tenth(rows: Sequence[Reading], sheet: float) -> str | None:
    """What folds are like that are those of sheets a tenth as thick, and not of these; else None.

    A tenth that nobody folds boxes of explains nothing.
    """
    tenth = sheet / 10
    if tenth < THIN_MM:
        return None
    walls = list(_walls(rows))
    if walls:
        apart = statistics.median(apart for _, apart, _ in walls)
        steps = max(steps for _, _, steps in walls)
        return (
            f"outside and inside of a piece are {apart:.2f} mm apart"
            if tenth < apart + steps < 4 * tenth + 4 * GAP_MM / 3
            else None
        )
    shortest = _shortest(rows)
    if shortest is None:
        return None
    nominal, off, steps = shortest
    if abs(off - usual_share(tenth) * tenth) + steps / 2 > tenth / 2 + BOARD_SCALE_U * nominal / 2:
        return None
    return f"channels of {nominal:g} mm are {2 * off:+.2f} mm beside their nominal"


def _walls(rows: Sequence[Reading]) -> Iterator[tuple[str, float, float]]:
    """Pieces of which outside and inside were read: where, how far these are apart, and how much of
    that the instruments' steps leave open, mm.
    """
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
            apart = statistics.median(wide) - statistics.median(free)
            yield outside[key][0].place, apart, _steps(outside[key]) + _steps(inside[key])


def _middle(reading: Reading) -> float | None:
    if reading.reading_mm is not None:
        return reading.reading_mm
    if reading.go_mm is None or reading.nogo_mm is None:
        return None
    return (reading.go_mm + reading.nogo_mm) / 2
