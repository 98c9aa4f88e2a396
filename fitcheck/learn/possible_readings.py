"""The rules that say which readings can be true, each with what is allowed and what to do."""

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import INCH, TOOLS_FEATURES, Feature, Reading
from fitcheck.plain import shown

_STACK, _HEM = Feature.STACK, Feature.HEM


@dataclass(frozen=True)
class Limits:
    """What is possible for one feature."""

    nominal_mm: tuple[float, float] | None
    least_mm: float
    """Of the reading itself."""
    most_mm: float
    away_mm: float | None
    """Greatest distance of a reading from its nominal."""
    gauged: bool
    """Whether go / no-go findings make sense."""


_FOLD = (5.0, 1000.0)
LIMITS = {
    Feature.STACK: Limits(None, 0.02, 200.0, None, False),
    Feature.CHANNEL: Limits(_FOLD, 1.0, 1100.0, 5.0, True),
    Feature.HEM: Limits(_FOLD, 1.0, 1100.0, 5.0, True),
    Feature.CORNER: Limits(_FOLD, 1.0, 1100.0, 5.0, True),
    Feature.INSIDE: Limits(_FOLD, 1.0, 1100.0, 5.0, True),
    Feature.OUTSIDE_X: Limits((0.5, 1000.0), 0.1, 1100.0, 3.0, True),
    Feature.OUTSIDE_Y: Limits((0.5, 1000.0), 0.1, 1100.0, 3.0, True),
    Feature.INSIDE_X: Limits((0.5, 1000.0), 0.1, 1100.0, 3.0, True),
    Feature.INSIDE_Y: Limits((0.5, 1000.0), 0.1, 1100.0, 3.0, True),
    Feature.HEIGHT: Limits((0.2, 1000.0), 0.1, 1100.0, 3.0, True),
    Feature.FIRST_LAYER: Limits((0.5, 1000.0), 0.1, 1100.0, 3.0, True),
    Feature.RIM: Limits((5.0, 60.0), 0.2, 60.0, None, False),
    **dict.fromkeys(TOOLS_FEATURES, Limits(_FOLD, 1.0, 1100.0, 5.0, False)),
}
SHEET_MM = (0.05, 3.0)
"""Thinnest and thickest sheet that is folded into boxes: tracing paper and grey board (common
practice, no source; office paper is 0.1 mm)."""
COARSEST_MM = INCH / 16
"""The step of a ruler in sixteenths of an inch; coarser readings say nothing about a fit."""
MOST_SHEETS = 1000

AGAIN = "measure it again"
"""What to do about a reading that cannot be true."""
Problem = tuple[str, str, str, str]
"""Column, what was read and is wrong, what is allowed, what to do."""


def problems(reading: Reading) -> Iterator[Problem]:
    """Everything in one row that cannot be true."""
    swapped = _swapped(reading)
    if swapped is not None:
        yield swapped
        return
    if not 0 < reading.resolution_mm <= COARSEST_MM:
        yield (
            "resolution_mm",
            f"read {reading.resolution_mm:g}",
            f"above 0 and up to {COARSEST_MM:g} mm (1/16 in), the step of the instrument's display",
            "write 0.01 for a caliper that shows hundredths, 0.5 for a ruler read to half a mm, "
            "1/16 in for one read to sixteenths",
        )
    yield from _settings(reading)
    yield from _findings(reading)


def _swapped(reading: Reading) -> Problem | None:
    value = reading.reading_mm
    if value is not None and reading.resolution_mm > COARSEST_MM and value <= COARSEST_MM:
        return (
            "resolution_mm",
            f"read {reading.resolution_mm:g} here and {value:g} in reading_mm",
            "the instrument's step here, the reading there",
            "the two look swapped: exchange them",
        )
    go, nogo = reading.go_mm, reading.nogo_mm
    if go is not None and nogo is not None and go >= nogo:
        return (
            "go_mm",
            f"read {go:g} and nogo_mm {nogo:g}",
            "go_mm smaller than nogo_mm: the largest gauge that went in, then the smallest that "
            "did not",
            "the two look swapped: exchange them",
        )
    return None


def _settings(reading: Reading) -> Iterator[Problem]:
    limits = LIMITS[reading.feature]
    if reading.feature is Feature.RIM and not (reading.coin_g and reading.wide_mm):
        yield (
            "note",
            f"read {shown(reading.note)}",
            "the coin's mass and the strip's width, such as 'wide 20 mm, coin 3.6 g'",
            "weigh the coin and write it there",
        )
    if reading.feature is _STACK:
        if reading.count is None or not 1 <= reading.count <= MOST_SHEETS:
            read = "nothing" if reading.count is None else f"{reading.count}"
            swap = reading.count is None and reading.nominal_mm is not None
            yield (
                "count",
                f"read {read}",
                f"the number of sheets in the stack, 1 to {MOST_SHEETS}",
                "it seems to stand in nominal_mm: move it" if swap else "write the number",
            )
        return
    if limits.nominal_mm is None or (reading.feature is _HEM and reading.nominal_mm is None):
        return
    least, most = limits.nominal_mm
    if reading.nominal_mm is None or not least <= reading.nominal_mm <= most:
        read = "nothing" if reading.nominal_mm is None else f"{reading.nominal_mm:g}"
        yield (
            "nominal_mm",
            f"read {read}",
            f"{least:g} to {most:g} mm, as the coupon or gauge has it",
            "copy it from the sheet",
        )


def _findings(reading: Reading) -> Iterator[Problem]:
    gauges = [("go_mm", reading.go_mm), ("nogo_mm", reading.nogo_mm)]
    given = [(column, value) for column, value in gauges if value is not None]
    if reading.reading_mm is not None and given:
        yield (
            "reading_mm",
            f"read {reading.reading_mm:g} and a go or no-go size beside it",
            "one of the two in a row",
            "put the gauge's finding in a row of its own",
        )
        return
    if given and not LIMITS[reading.feature].gauged:
        yield (
            given[0][0],
            f"read {given[0][1]:g}",
            f"nothing: a {reading.feature} is measured, not gauged",
            "measure it and write reading_mm",
        )
        return
    if reading.reading_mm is not None:
        given.append(("reading_mm", reading.reading_mm))
    for column, value in given:
        yield from _possible(reading, column, value)


def range_mm(reading: Reading) -> tuple[float, float]:
    """From which to which length a reading of this row can be true, mm."""
    limits = LIMITS[reading.feature]
    low, high = limits.least_mm, limits.most_mm
    if reading.feature is _STACK and reading.count:
        return SHEET_MM[0] * reading.count, SHEET_MM[1] * reading.count
    if limits.away_mm is not None and reading.nominal_mm is not None:
        low = max(low, reading.nominal_mm - limits.away_mm)
        high = reading.nominal_mm + limits.away_mm
    if reading.feature is _HEM and reading.nominal_mm is None:
        low = 2 * SHEET_MM[0]  # some read how thick it is: then nothing shorter is folded over
    return low, high


def _possible(reading: Reading, column: str, value: float) -> Iterator[Problem]:
    low, high = range_mm(reading)
    if low <= value <= high:
        return
    if reading.feature is _STACK and reading.count:
        inches = low <= value * INCH <= high
        yield _no_paper(reading.count, column, value, inches)
        return
    expected = _expected(reading)
    inches = expected is not None and abs(value * INCH - expected) <= 0.05 * expected + 0.2
    do = f"it looks like inches: write {value * INCH:.2f}" if inches else AGAIN
    yield column, f"read {value:g}", f"{low:g} to {high:g} mm", do


def _no_paper(count: int, column: str, value: float, inches: bool) -> Problem:
    """A stack whose sheets are thinner or thicker than any that is folded."""
    least, most = SHEET_MM
    guesses = []
    if inches:
        guesses.append(f"it looks like inches: write {value * INCH:.2f}")
    if least <= value < least * count:
        guesses.append("it looks like one sheet: write 1 in count, or measure the whole stack")
    do = "; or ".join(guesses) or "count the sheets and measure them again"
    return (
        column,
        f"read {value:g} for {count} sheets, {value / count:.3f} mm a sheet",
        f"{least * count:g} to {most * count:g} mm ({least:g} to {most:g} mm a sheet)",
        do,
    )


def _expected(reading: Reading) -> float | None:
    return None if reading.feature is _STACK else reading.nominal_mm


def refuse_days_to_come(readings: Iterable[Reading]) -> None:
    """Raise ``InputError`` with the first new reading of a day to come: its year is a slip."""
    last = datetime.date.today() + datetime.timedelta(days=1)  # it may be tomorrow elsewhere
    for reading in readings:
        if datetime.date.fromisoformat(reading.date) > last:
            raise InputError(
                f"{reading.file}: row {reading.row}: date: read {shown(reading.date)}, a day to "
                f"come; allowed: up to today, {datetime.date.today()}; write the day of the "
                "reading, or set this machine's clock"
            )
