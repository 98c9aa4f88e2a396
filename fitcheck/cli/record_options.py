"""How the options of `fitcheck record` are read."""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Mapping, Sequence

from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.learn.made import BoxOutcome, Corner
from fitcheck.plain import shown, written_out
from fitcheck.units import Unit, parse_length, show_mm

MOST_PLAY_MM = 20.0
"""No lid has more play than this."""
NO_CORNER = "none"
MOST_BOXES = 10_000_000
TURNS = ("--set-aside", "--take-back")
ALSO = {
    "binds": BoxOutcome.BOUND,
    "slides": BoxOutcome.SLID,
    "snug": BoxOutcome.SLID,
}
"""What a check says of a lid, as what one that was made did."""


def refuse_beside(
    forecast: bool, of_forecasts: Mapping[str, object], of_boxes: Mapping[str, object]
) -> None:
    """Raise InputError for options that do not go with --forecast, or with what is left out."""
    turns = [option for option in TURNS if of_boxes[option] is not None]
    others = [option for option, value in {**of_forecasts, **of_boxes}.items() if value is not None]
    beside = [option for option in others if option not in turns[:1]]
    if turns and (beside or forecast):
        other = beside[0] if beside else "--forecast"
        raise InputError(
            f"{turns[0]}: read it beside {other}; allowed: by itself, with the number of a box "
            "that was recorded; leave one out"
        )
    if turns:
        return
    given = [option for option, value in of_boxes.items() if value is not None and option != "--by"]
    if forecast and given:
        raise InputError(
            f"{given[0]}: read it beside --forecast; allowed: --forecast before the box is made, "
            f"{given[0]} when it is made; leave one out"
        )
    given = [option for option, value in of_forecasts.items() if value is not None]
    if not forecast and given:
        raise InputError(
            f"{given[0]}: read it without --forecast; allowed: with --forecast alone, as a box "
            "that was made changes no odds; leave it out"
        )
    if not forecast and of_boxes["--outcome"] is None:
        raise InputError(
            f"--outcome: read nothing; allowed: {', '.join(BoxOutcome)}; say what the lid did, or "
            "freeze a forecast with --forecast"
        )


def number_of(text: str, *, aside: bool) -> int:
    """The number of a recorded box; 0 for the last one."""
    said = text.strip().lower().removeprefix("box").strip()
    if said == "last":
        return 0
    if not said.isdecimal() or not 0 < int(said) < MOST_BOXES:
        option = "--set-aside" if aside else "--take-back"
        raise InputError(
            f"{option}: read {shown(text)}; allowed: the number of a box, as 'fitcheck list "
            "records' tells it, or last"
        )
    return int(said)


def outcome_of(text: str) -> BoxOutcome:
    """What the lid did, in the words of a box that was made or in those of a check."""
    said = text.strip().lower()
    said = ALSO.get(said, said)
    if said not in list(BoxOutcome):
        raise InputError(
            f"--outcome: read {shown(text)}; allowed: {', '.join(BoxOutcome)}; say what the lid did"
        )
    return BoxOutcome(said)


def corners_of(texts: Sequence[str] | None) -> tuple[Corner, ...] | None:
    """The corners that split; none of them for ``none``, and None where nothing was said."""
    if not texts:
        return None
    allowed = f"allowed: {', '.join(Corner)}, or {NO_CORNER}"
    if NO_CORNER in texts:
        if len(texts) > 1:
            raise InputError(f"--split: read '{NO_CORNER}' beside others; {allowed}; leave one out")
        return ()
    for text in texts:
        if text not in list(Corner):
            raise InputError(
                f"--split: read {shown(text)}; {allowed}; name the fences of the sheet that meet "
                "there"
            )
    return tuple(corner for corner in Corner if corner in texts)


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
    if outcome in (BoxOutcome.BOUND, BoxOutcome.TIGHT) and go:
        raise InputError(
            f"--play: read {shown(text)} with --outcome {outcome}, and a lid that "
            f"{_DID[outcome]} has no room for {show_mm(go)}; allowed: 0, or :NOGO with the plug "
            "that did not go in; leave --play out, or write --outcome slid"
        )
    if outcome is BoxOutcome.LOOSE and nogo == 0.0:
        raise InputError(
            f"--play: read {shown(text)} with --outcome loose, and a loose lid has play; "
            "allowed: above 0; measure it again or leave --play out"
        )
    return go, nogo


def refuse_right(
    right: str | None, outcome: BoxOutcome, fitted: str | None, want: Collection[str]
) -> None:
    """Raise InputError for a box that is called right and, by what is told of it, is not.

    `want` is what the design wants of its lid.
    """
    if right != "yes":
        return
    if not _BANDS[outcome].isdisjoint(want):
        if fitted == "no":
            raise InputError(
                "--right: read yes with --fitted no, and a right box takes its contents; allowed: "
                "no, or --fitted yes; correct one of them, or leave --right out"
            )
        return
    wanted = " or ".join(verdict for verdict in _VERDICTS if verdict in want)
    raise InputError(
        f"--right: read yes with --outcome {outcome}, and a lid that {_DID[outcome]} is not right "
        f"where {wanted} is wanted; allowed: no, or another outcome; correct one of them, or leave "
        "--right out"
    )


def refuse_by_what_closes(
    design: Design, outcome: BoxOutcome, play: str | None, sink: Sequence[str] | None
) -> None:
    """Raise InputError for what a design's lid or drawer cannot have done, or an open box.

    A lid that turns about its own crease is never loose, and no plug measures how it goes.
    """
    from fitcheck.odds.closing import closing_of

    closing = closing_of(design)
    name = design.path or design.name
    if closing.turned and outcome is BoxOutcome.LOOSE:
        raise InputError(
            f"--outcome: read loose for {name}, whose {closing.called} is in one piece with it; "
            "allowed: bound (it does not close), tight (with a press) or slid (freely); where it "
            "does not stay shut say --right no and a note"
        )
    if closing.turned and play:
        raise InputError(
            f"--play: read {shown(play)} for {name}, whose {closing.called} is in one "
            "piece with it; allowed: no play, which nobody can measure there; leave it out"
        )
    if design.lid is None and sink:
        raise InputError(
            f"--sink: read times for {name}, which has no [lid]; allowed: times of a lid that "
            "sinks over its base; leave them out"
        )


def _length(part: str, text: str, unit: Unit) -> float:
    part = written_out(part)
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


_DID = {
    BoxOutcome.BOUND: "bound",
    BoxOutcome.TIGHT: "was tight",
    BoxOutcome.SLID: "slid",
    BoxOutcome.LOOSE: "was loose",
}
_BANDS: dict[BoxOutcome, frozenset[str]] = {
    BoxOutcome.BOUND: frozenset({"binds"}),
    BoxOutcome.TIGHT: frozenset({"tight"}),
    BoxOutcome.SLID: frozenset({"snug", "slides"}),
    BoxOutcome.LOOSE: frozenset({"loose"}),
}
"""The bands of a design that each outcome may be of."""
_VERDICTS = ("binds", "tight", "snug", "slides", "loose")
