"""Boxes that were made, as text: what came of them, beside what had been forecast."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitcheck.learn.forecast_files import KeptForecast
from fitcheck.learn.made import BoxRecord, Forecast
from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.learn.unscored import Otherwise
from fitcheck.outputs.bench_words import row, wrapped
from fitcheck.outputs.forecast_text import by_option, said_lines, share_words
from fitcheck.plain import brief

LONGEST = 80
"""Of a text of the record that is shown again."""
WAYS = ("bind", "go on", "are loose")
MOST_NAMED = 3


@dataclass(frozen=True)
class Against:
    """The forecast that a box is scored against, and what else there is to say of it."""

    kept: KeptForecast
    so_far: int
    """Boxes that are scored against it, this one included."""
    others: tuple[str, ...]
    """Other forecasts of the design that it is not scored against, the newest first."""
    changed: tuple[str, ...]
    """What is another one since it was frozen."""
    odds: str = ""
    """What all boxes so far say against the odds; empty where they say nothing."""
    for_anybody: bool = False
    """Whether it is scored against anybody's odds though its maker's own hand was measured."""


def recorded_text(
    box: BoxRecord,
    place: object,
    against: Against | str,
    given: object,
    otherwise: Otherwise | None = None,
) -> str:
    """One record as it was kept; without a frozen forecast, why there is none.

    ``given`` is how the design was named to the command, ``otherwise`` what all boxes of it without
    a forecast have come to.
    """
    freeze = f"fitcheck record {brief(str(given), LONGEST)} --forecast"
    lines = [f"{brief(box.title, LONGEST)}: {what_came(box)}, kept in {place}"]
    if isinstance(against, str):
        lines.append(wrapped(f"not scored: {against}; it is kept apart", "forecast"))
        lines.append(row("", f"before the next box: {freeze}"))
        lines.append(wrapped(f"said after the event: {forecast_text(box.forecast)}", "hindsight"))
        if otherwise is not None:
            lines.append(wrapped(otherwise_words(otherwise), "otherwise"))
    else:
        by = against.kept.forecast.by
        lines += _scored_lines(box, against, f"{freeze} {by_option(by)}" if by else freeze)
    lines.append(row("a slip?", f"{freeze.removesuffix(' --forecast')} --set-aside last"))
    return "\n".join(lines) + "\n"


def otherwise_words(found: Otherwise) -> str:
    """What came of boxes without a forecast, and what to do before the next one."""
    came = ", ".join(f"{count} {outcome}" for outcome, count in found.came.items())
    stayed = f", contents stayed out of {found.stayed_out}" if found.stayed_out else ""
    first = (
        "what goes in and the room that the box has for it"
        if 2 * found.stayed_out > found.boxes - found.right
        else "how wide base and lid came out at the rim, and a stack of the paper"
    )
    return (
        f"of {found.boxes} boxes without a forecast {found.right} came out right ({came}{stayed}), "
        f"where {share_words(found.said)} of 100 were said: that is much otherwise. Measure first "
        f"{first}; then freeze a forecast before the next box"
    )


def _scored_lines(box: BoxRecord, against: Against, freeze: str) -> Iterator[str]:
    kept = against.kept
    which = f"scored against {kept.name}, frozen on {kept.forecast.frozen}"
    so_far = f"; {against.so_far} boxes are by now" if against.so_far > 1 else ""
    yield row("forecast", which + so_far)
    if against.for_anybody:
        who = brief(box.by, LONGEST)
        yield wrapped(
            f"these are anybody's odds, and the hand of {who} was measured; before the next box: "
            f"{freeze} {by_option(box.by)}",
            " ",
        )
    if against.others:
        named = ", ".join(against.others[:MOST_NAMED])
        more = len(against.others) - MOST_NAMED
        rest = f" and {more} more" if more > 0 else ""
        yield wrapped(
            f"not against {named}{rest}: of those that go with what was told the newest counts; "
            "--against names another",
            " ",
        )
    if against.changed:
        yield wrapped(
            f"since it was frozen this changed: {', '.join(against.changed)}. What was frozen is "
            f"scored all the same; freeze anew before the next box: {freeze}",
            "changed",
        )
    yield from said_lines(kept.forecast)
    scored = ScoredBox(box, kept.forecast)
    came = "right" if scored.right.happened else "not right"
    yield row(
        "came out", f"{came} ({share_words(scored.right.chance)} of 100 were said to be right)"
    )
    if scored.measured:
        below = float(scored.law.below(scored.play_mm[0]))
        yield row(
            "", f"{share_words(below)} of 100 boxes were said to have less play than this one"
        )
    if against.odds:
        yield wrapped(f"{against.odds}; why: fitcheck list records", "odds")


def turned_text(box: BoxRecord, given: object) -> str:
    """A box that was set aside or taken back; ``given`` is how its design was named."""
    what = "set aside: it counts no more" if box.aside else "taken back: it counts again"
    option = "--take-back" if box.aside else "--set-aside"
    name = f"box {box.number}, {box.date} {brief(box.design, LONGEST)}"
    return (
        f"{name} ({what_came(box)}) is {what}\n"
        f"  to undo this: fitcheck record {brief(str(given), LONGEST)} {option} {box.number}\n"
    )


def what_came(box: BoxRecord) -> str:
    """What a box did, in the maker's words."""
    words = [str(box.outcome) + _play(box)]
    if box.fitted is not None:
        words.append("contents fitted" if box.fitted else "contents did not fit")
    if box.split is not None:
        words.append(f"split at {' and '.join(box.split)}" if box.split else "no corner split")
    if box.right is not None:
        words.append("called right" if box.right else "called not right")
    return ", ".join(words)


def forecast_text(forecast: Forecast) -> str:
    """What was said of a box, in words."""
    nominal = f"{forecast.verdict} with {forecast.play_mm:.2f} mm of play"
    if forecast.chances is None:
        return f"{nominal}; no odds were worked out"
    ways = ", ".join(
        f"{share_words(chance)} {way}" for way, chance in zip(WAYS, forecast.chances, strict=True)
    )
    right = "" if forecast.right is None else f"; {share_words(forecast.right)} come out right"
    return f"{nominal}; of 100 made by hand {ways}{right}"


def box_rows(
    boxes: Sequence[BoxRecord], apart: Mapping[int, str]
) -> Iterator[tuple[str, str, str]]:
    """Name, what and source of each box; ``apart`` says by numbers why one counts in no score."""
    for box in boxes:
        inside = f", with {brief(box.contents, LONGEST)}" if box.contents else ""
        why = apart.get(box.number)
        if why is not None:
            said = f"not scored: {why}"
            if box.frozen is None:
                said += f"; said after the event: {forecast_text(box.forecast)}"
        else:
            name = box.frozen.name if box.frozen else ""
            said = f"forecast {brief(name, LONGEST)}: {forecast_text(box.forecast)}"
        yield (
            f"{box.date} {brief(box.design, LONGEST)}, box {box.number}",
            f"{what_came(box)}{inside}; {said}",
            box.by,
        )


def _play(box: BoxRecord) -> str:
    """The play as it was read, so that a slip of the unit is seen."""
    if box.go_mm is not None and box.go_mm == box.nogo_mm:
        return f", play {box.go_mm:.2f} mm"
    if box.go_mm is not None or box.nogo_mm is not None:
        return f", play {_end(box.go_mm, 'above')}{_end(box.nogo_mm, 'below')}".rstrip()
    return ""


def _end(mm: float | None, word: str) -> str:
    return "" if mm is None else f"{word} {mm:.2f} mm "
