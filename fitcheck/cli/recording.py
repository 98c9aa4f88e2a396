"""How the options of `fitcheck record` are read, and what is predicted of the box."""

from __future__ import annotations

import datetime
import re

from fitcheck.cli.odds_options import BOXES
from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.learn.outcomes import BoxOutcome, Forecast
from fitcheck.plain import shown
from fitcheck.units import Unit, parse_length, show_mm

MOST_PLAY_MM = 20.0
"""No lid has more play than this."""


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
        day = datetime.date.fromisoformat(text)
    except ValueError:
        raise InputError(f"--date: read {shown(text)}; allowed: a day as YYYY-MM-DD") from None
    if day > datetime.date.today() + datetime.timedelta(days=1):  # it may be tomorrow elsewhere
        raise InputError(
            f"--date: read {shown(text)}, a day to come; allowed: the day on which the box was made"
        )
    return day.isoformat()


def play_of(text: str | None, unit: Unit, outcome: BoxOutcome) -> tuple[float | None, float | None]:
    """LENGTH or GO:NOGO in mm; an end left out is not known.

    Bare decimals are mm, as the plugs are marked; a bare fraction is inches in a design in inches.
    Raises InputError for what no such box can have.
    """
    if not text:
        return None, None
    low, colon, high = text.partition(":")
    go = _length(low, text, unit) if low.strip() else None
    nogo = _length(high, text, unit) if high.strip() else None
    if not colon:
        nogo = go
    elif go is not None and nogo is not None and go >= nogo:
        raise InputError(
            f"--play: read {shown(text)}; allowed: GO:NOGO with the smaller plug first, such "
            "as 0.3:0.4"
        )
    if outcome is BoxOutcome.BOUND and go:
        raise InputError(
            f"--play: read {shown(text)} with --outcome bound, and a lid that bound has no "
            f"room for {show_mm(go)}; allowed: 0, or :NOGO with the plug that did not go in; "
            "leave --play out, or write --outcome slid"
        )
    if outcome is BoxOutcome.LOOSE and nogo == 0.0:
        raise InputError(
            f"--play: read {shown(text)} with --outcome loose, and a loose lid has play; "
            "allowed: above 0; measure it again or leave --play out"
        )
    return go, nogo


def _length(part: str, text: str, unit: Unit) -> float:
    fraction = "/" in part and not re.search(r"[a-z\"\u2033]", part, re.IGNORECASE)
    if fraction and unit is not Unit.IN:
        raise InputError(
            f"--play: read {shown(text)}, in which {shown(part.strip())} has no unit and the "
            f"design is in {unit}; allowed: mm as decimals, or a fraction with its unit; write "
            f"{shown(part.strip() + ' in')} if inches are meant"
        )
    try:
        found = parse_length(part, Unit.IN if fraction else Unit.MM)
    except ValueError as error:
        raise InputError(f"--play: read {shown(text)}, which {error}") from None
    if not 0 <= found <= MOST_PLAY_MM:
        raise InputError(
            f"--play: read {shown(text)}; allowed: 0 to {MOST_PLAY_MM:g} mm; measure it again"
        )
    return found
