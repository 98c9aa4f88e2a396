"""How the options of `fitcheck record` are read, and what is predicted of the box."""

from __future__ import annotations

import datetime

from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.learn.outcomes import Forecast
from fitcheck.units import Unit, parse_length

BOXES = 20_000
"""Virtual boxes behind a prediction: chances to a third of a per cent."""


def forecast_of(design: Design) -> Forecast:
    """What is predicted of a design now: verdict, play and odds. Raises InputError without lid."""
    from fitcheck.cli.progress import Bar
    from fitcheck.design.model import LidVerdict
    from fitcheck.fit.check import check
    from fitcheck.odds.odds import odds_of

    found = check(design)
    if found.lid is None:
        raise InputError(
            f"{design.path or design.name}: has no [lid]; allowed: a design with a lid, since the "
            "record says what the lid did"
        )
    with Bar() as progress:
        odds = odds_of(found, BOXES, folded_again=0, progress=progress)
    chances = None
    if odds.lid is not None:
        share = {verdict: chance.share for verdict, chance in odds.lid.chances.items()}
        bound, loose = share[LidVerdict.BINDS], share[LidVerdict.LOOSE]
        chances = (bound, 1.0 - bound - loose, loose)
    right = odds.good.share
    return Forecast(found.lid.verdict.value, found.lid.slide.play_mm, chances, right)


def day_of(text: str | None) -> str:
    """A day as YYYY-MM-DD, today without a text."""
    if text is None:
        return datetime.date.today().isoformat()
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise InputError(f"--date: read '{text}'; allowed: a day as YYYY-MM-DD") from None


def play_of(text: str | None) -> tuple[float | None, float | None]:
    """LENGTH or GO:NOGO in mm; an end left out is not known."""
    if not text:
        return None, None
    low, colon, high = text.partition(":")
    go = _length(low, text) if low.strip() else None
    nogo = _length(high, text) if high.strip() else None
    if not colon:
        return go, go
    if go is not None and nogo is not None and go >= nogo:
        raise InputError(
            f"--play: read '{text}'; allowed: GO:NOGO with the smaller plug first, such as 0.3:0.4"
        )
    return go, nogo


def _length(part: str, text: str) -> float:
    try:
        found = parse_length(part, Unit.MM)
    except ValueError as error:
        raise InputError(f"--play: read '{text}', which {error}") from None
    if not 0 <= found <= 20:
        raise InputError(f"--play: read '{text}'; allowed: 0 to 20 mm; measure it again")
    return found
