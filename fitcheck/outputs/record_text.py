"""What was recorded of boxes that were made, as text."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fitcheck.learn.outcomes import BoxRecord, Forecast, Score

OUTCOMES = ("bound", "slid", "loose")


def recorded_text(box: BoxRecord, place: object) -> str:
    """One record as it was kept."""
    return (
        f"{box.title}: {box.outcome}{_play(box)}, kept in {place}\n"
        f"  predicted  {forecast_text(box.forecast)}\n"
    )


def forecast_text(forecast: Forecast) -> str:
    """The prediction in words."""
    nominal = f"{forecast.verdict} with {forecast.play_mm:.2f} mm of play"
    if forecast.chances is None:
        return f"{nominal}; no odds were worked out, so it counts in no score"
    odds = ", ".join(
        f"{name} {100 * chance:.1f} %"
        for name, chance in zip(OUTCOMES, forecast.chances, strict=True)
    )
    return f"{nominal}; odds: {odds}"


def score_lines(score: Score | None) -> Iterator[str]:
    """How the odds have done so far."""
    if score is None:
        yield "no box was predicted with odds yet: there is nothing to score"
        return
    boxes = "1 box" if score.boxes == 1 else f"{score.boxes} boxes"
    yield f"odds against what happened, {boxes}:"
    yield (
        f"  Brier score   {score.brier:.3f}{_u(score.brier_u)}  (0 is perfect, "
        f"{score.ignorant:.3f} is knowing nothing)"
    )
    yield (
        f"  if the odds are right it should be {score.expected:.3f} +- {score.expected_u:.3f}: "
        + ("it is not: the odds are off" if score.surprising else "nothing speaks against them")
    )
    yield f"  log score     {score.log:.3f}{_u(score.log_u)}  (0 is perfect, 1.099 knowing nothing)"


def box_rows(boxes: Sequence[BoxRecord]) -> Iterator[tuple[str, str, str]]:
    """Name, what and source of each box, for the list."""
    for box in boxes:
        held = f", with {box.contents}" if box.contents else ""
        yield (
            f"{box.date} {box.design}",
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
