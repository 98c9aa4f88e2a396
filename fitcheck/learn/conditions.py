"""Paper grows with the humidity: what was read on a damper day is led back to the day it was made.

A note tells the air: '55 % rh' of a reading, 'made at 45 % rh' of its piece. Without the latter a
piece was made in the air of its first reading. The board sets a floor's length when it is scored;
later it is n (1 + strain dRH), the strain that across the folds. The outside grows no further: an
allowance is a third of a millimetre.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.stock.paper import Hygroexpansion

_AIR = r"(\d{1,3}(?:[.,]\d+)?)\s*%\s*(?:rh|r\.h\.|humidity|relative humidity)\b"
_READ = re.compile(r"(?<!made at )(?<!made in )\b" + _AIR, re.IGNORECASE)
_MADE = re.compile(r"\bmade (?:at|in)\s+" + _AIR, re.IGNORECASE)
_FLOORS = (Feature.CHANNEL, Feature.INSIDE)
USUAL = Hygroexpansion(along=0.00004, across=0.0001)
"""Of paper and card for each % of relative humidity, within a factor of two or so (common practice,
no source)."""
WORTH_MM = 0.005
"""Less than this is not worth a word."""


def air_of(reading: Reading) -> float | None:
    """Relative humidity in % that a reading was taken in, where its note says so.

    >>> from types import SimpleNamespace
    >>> air_of(SimpleNamespace(note="piece C, made at 45 % rh, read at 55 % RH"))
    55.0
    """
    return _number(_READ.search(reading.note))


def made_in(reading: Reading) -> float | None:
    """Relative humidity in % that its piece was made in, where its note says so."""
    return _number(_MADE.search(reading.note))


def _number(found: re.Match[str] | None) -> float | None:
    if found is None:
        return None
    value = float(found[1].replace(",", "."))
    return value if 0.0 <= value <= 100.0 else None


def as_made(
    readings: Sequence[Reading], strain: Hygroexpansion | None, name: str = "NAME"
) -> tuple[tuple[Reading, ...], tuple[str, ...]]:
    """Readings as they would be in the air that their pieces were made in, and what to say of it.

    Only a fold whose note says how it runs to the grain can be led back, and only for a paper whose
    strain is known.
    """
    made = _made(readings)
    if strain is None:
        return tuple(readings), _not_led_back(readings, made, name)
    found, most, count = [], 0.0, 0
    for reading in readings:
        by = _grown(reading, made.get(reading.piece), strain)
        count += abs(by) >= WORTH_MM
        most = max(most, abs(by))
        found.append(_less(reading, by) if by else reading)
    if not count:
        return tuple(found), ()
    what = "1 reading was" if count == 1 else f"{count} readings were"
    return tuple(found), (
        f"{what} taken in another air than the piece was made in: led back by up to {most:.2f} mm",
    )


def _not_led_back(
    readings: Sequence[Reading], made: Mapping[tuple[str, str] | None, float], name: str
) -> tuple[str, ...]:
    """That what notes tell of the air was not used, how far that may be off, and what helps."""
    grown = [abs(_grown(reading, made.get(reading.piece), USUAL)) for reading in readings]
    count = sum(by >= WORTH_MM for by in grown)
    if not count:
        return ()
    what = "1 reading was" if count == 1 else f"{count} readings were"
    return (
        f"{what} taken in another air than the piece was made in, and used as they are: nobody "
        f"says how this paper swells. As paper usually does that is up to {max(grown):.2f} mm, "
        "which looks like an error of the board's scale; write into its file hygroexpansion = "
        f"{{along = {USUAL.along:.5f}, across = {USUAL.across:.5f}}} (usual of paper, common "
        f"practice, no source) or what its maker says, then fitcheck learn {name} --rebuild",
    )


def _made(readings: Iterable[Reading]) -> dict[tuple[str, str] | None, float]:
    """The air that each piece was made in."""
    found: dict[tuple[str, str] | None, float] = {}
    for reading in readings:
        air = made_in(reading)
        if air is not None:
            found[reading.piece] = air
    for reading in sorted(readings, key=lambda one: one.date):
        air = air_of(reading)
        if air is not None:
            found.setdefault(reading.piece, air)
    found.pop(None, None)
    return found


def _grown(reading: Reading, made: float | None, strain: Hygroexpansion) -> float:
    """How much too long a reading is for what its piece was when it was made, mm."""
    air = air_of(reading)
    if air is None or made is None or reading.feature not in _FLOORS:
        return 0.0
    if reading.grain is None or reading.nominal_mm is None:
        return 0.0
    # a floor between folds along the grain is measured across it
    rate = strain.across if reading.grain == "along" else strain.along
    return reading.nominal_mm * rate * (air - made)


def _less(reading: Reading, by: float) -> Reading:
    return replace(
        reading,
        reading_mm=None if reading.reading_mm is None else reading.reading_mm - by,
        go_mm=None if reading.go_mm is None else reading.go_mm - by,
        nogo_mm=None if reading.nogo_mm is None else reading.nogo_mm - by,
    )
