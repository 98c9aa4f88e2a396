"""A frozen forecast as text for the person at the bench."""

from __future__ import annotations

import shlex

from fitcheck.errors import InputError
from fitcheck.learn.forecast import FrozenForecast
from fitcheck.learn.forecast_files import KeptForecast
from fitcheck.outputs.bench_words import row
from fitcheck.plain import brief

LONGEST = 80
WAYS = {"binds": "bind", "tight": "tight", "snug": "snug", "slides": "slide", "loose": "loose"}
"""What boxes do, by the band of their lid."""


def share_words(share: float) -> str:
    """Boxes of 100; what is rarer than one of 200 is a bound.

    >>> share_words(0.634), share_words(0.999), share_words(0.0)
    ('63', 'over 99', 'under 1')
    """
    return "over 99" if share >= 0.995 else "under 1" if share <= 0.005 else f"{100 * share:.0f}"


def frozen_text(forecast: FrozenForecast, place: object, given: object) -> str:
    """What was frozen, and what to do once the box of the design that was given is made."""
    again = brief(str(given), LONGEST)
    by = f" {by_option(forecast.by)}" if forecast.by else ""
    play = "" if forecast.turned else " --play ..."
    lines = [
        f"{brief(forecast.title, LONGEST)}: the forecast{_whose(forecast)} is frozen in {place}",
        *said_lines(forecast),
        row(
            "next",
            f"make the box; then: fitcheck record {again} --outcome ...{play}{by}",
        ),
    ]
    return "\n".join(lines) + "\n"


def by_option(person: str) -> str:
    """The option that names a person, as it is typed.

    >>> by_option("ada"), by_option("Ada B")
    ('--by ada', "--by 'Ada B'")
    """
    return f"--by {shlex.quote(brief(person, LONGEST))}"


def _whose(forecast: FrozenForecast) -> str:
    return "" if forecast.by is None else f" in the hands of {brief(forecast.by, LONGEST)}"


def said_lines(forecast: FrozenForecast) -> list[str]:
    """What a forecast says, in the words of a check."""
    chances, table = forecast.chances, forecast.play_mm
    low, high = _ends(forecast)
    bands = ", ".join(
        f"{share_words(chances.bands.of(band))} {way}"
        for band, way in WAYS.items()
        if not (forecast.turned and band == "loose")
    )
    lines = [
        row("right", f"of 100 boxes {share_words(chances.right)} come out right"),
        row(forecast.closes, bands),
        row("play", f"{low:.2f} to {high:.2f} mm in 95 of 100, {table.mean:.2f} in the middle"),
    ]
    if chances.fits is not None:
        lines.append(row("contents", f"of 100 boxes {share_words(chances.fits)} take them"))
    made_of = [one.named for one in forecast.made_of if one.what != "design"]
    lines.append(row("made of", ", ".join(brief(name, LONGEST) for name in made_of)))
    return lines


def _ends(forecast: FrozenForecast) -> tuple[float, float]:
    """The 95 % interval of the play, mm: as much left out below as above."""
    table = forecast.play_mm
    by_level = dict(zip(table.levels, table.values, strict=True))
    low, high = by_level.get(0.025), by_level.get(0.975)
    if low is None or high is None:
        return table.values[0], table.values[-1]
    return low, high


def forecast_row(kept: KeptForecast | InputError) -> str:
    """One frozen forecast in a list; of one that cannot be used, why."""
    if isinstance(kept, InputError):
        return f"cannot be used: {kept.lines[0]}"
    forecast = kept.forecast
    return (
        f"forecast of {brief(forecast.design, LONGEST)}{_whose(forecast)}, frozen on "
        f"{forecast.frozen}: of 100 boxes {share_words(forecast.chances.right)} come out right"
    )
