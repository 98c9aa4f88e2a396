"""What was recorded of boxes that were made, as text."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fitcheck.learn.outcomes import BoxRecord, Forecast
from fitcheck.learn.scores import Score, Tally
from fitcheck.plain import brief

LONGEST = 80
"""Of a text of the record that is shown again."""
WAYS = ("bind", "slide on", "are loose")


def recorded_text(box: BoxRecord, place: object) -> str:
    """One record as it was kept."""
    return (
        f"{brief(box.title, LONGEST)}: {box.outcome}{_play(box)}, kept in {place}\n"
        f"  predicted  {forecast_text(box.forecast)}\n"
    )


def forecast_text(forecast: Forecast) -> str:
    """The prediction in words."""
    nominal = f"{forecast.verdict} with {forecast.play_mm:.2f} mm of play"
    if forecast.chances is None:
        return f"{nominal}; no odds were worked out, so it counts in no score"
    ways = ", ".join(
        f"{_of_100(chance)} {way}" for way, chance in zip(WAYS, forecast.chances, strict=True)
    )
    right = "" if forecast.right is None else f"; {_of_100(forecast.right)} come out right"
    return f"{nominal}; of 100 made by hand {ways}{right}"


def _of_100(share: float) -> str:
    """Boxes of 100; what is rarer than one of 200 is a bound."""
    return "over 99" if share >= 0.995 else "under 1" if share <= 0.005 else f"{100 * share:.0f}"


def score_lines(score: Score | None, *, details: bool = False) -> Iterator[str]:
    """How the odds have done so far, in counts; with the scores behind them if wanted."""
    if score is None:
        yield "no box was predicted with odds yet: there is nothing to score"
        return
    boxes = "1 box" if score.boxes == 1 else f"{score.boxes} boxes"
    yield f"odds against what happened, {boxes}:"
    for tally in score.tallies:
        yield f"  {_tally_words(tally)}"
    yield (
        "  the odds are off: this is further from them than chance explains"
        if score.surprising
        else "  nothing speaks against the odds: it is within what chance does"
    )
    if details:
        yield (
            f"  Brier score   {score.brier:.3f}{_u(score.brier_u)}  (0 is perfect, "
            f"{score.ignorant:.3f} is knowing nothing; {score.expected:.3f} +- "
            f"{score.expected_u:.3f} if the odds are right)"
        )
        yield (
            f"  log score     {score.log:.3f}{_u(score.log_u)}  (0 is perfect, 1.099 knowing "
            "nothing)"
        )


def _tally_words(tally: Tally) -> str:
    """One line of counts.

    >>> _tally_words(Tally(8, 12, 9))
    'of 12 boxes predicted to slide on 8 times in 10, 9 did'
    >>> _tally_words(Tally(10, 1, 1))
    '1 box predicted to slide on nearly always: it did'
    """
    often = {0: "hardly ever", 10: "nearly always"}.get(tally.tenths, f"{tally.tenths} times in 10")
    if tally.boxes == 1:
        return f"1 box predicted to slide on {often}: it {'did' if tally.slid else 'did not'}"
    did = tally.slid or "none"
    return f"of {tally.boxes} boxes predicted to slide on {often}, {did} did"


def box_rows(boxes: Sequence[BoxRecord]) -> Iterator[tuple[str, str, str]]:
    """Name, what and source of each box, for the list."""
    for box in boxes:
        held = f", with {brief(box.contents, LONGEST)}" if box.contents else ""
        yield (
            f"{box.date} {brief(box.design, LONGEST)}",
            f"{box.outcome}{_play(box)}{held}; predicted {forecast_text(box.forecast)}",
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


def _u(u: float) -> str:
    return "" if math.isnan(u) else f" +- {u:.3f}"
