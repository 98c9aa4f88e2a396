"""Boxes that were made and the forecasts frozen before them, as the page lists and scores them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from fitcheck.bench.known import What
from fitcheck.errors import InputError
from fitcheck.learn.boxes_file import BOXES_FILE, read_boxes
from fitcheck.learn.causes import PERSON, Cause
from fitcheck.learn.forecast_files import KeptForecast, all_forecasts
from fitcheck.learn.held_plays import far_plays
from fitcheck.learn.made import BoxRecord
from fitcheck.learn.scored_boxes import beside
from fitcheck.learn.standing import Standing, standing_of
from fitcheck.outputs.forecast_text import said_lines, share_words
from fitcheck.outputs.record_text import forecast_text, what_came
from fitcheck.outputs.score_text import (
    ALARM_WORDS,
    MEASURED,
    MOST_CAUSES,
    MOST_FAR,
    cause_words,
    far_words,
    play_words,
    quiet_words,
    since_words,
    splits_words,
    tally_words,
)
from fitcheck.plain import brief, one_line

LONGEST = 200
"""Of a text of a record that is shown again."""


def boxes_told(root: Path) -> dict[str, Any]:
    """The boxes, the newest first, the frozen forecasts, and how these have done so far."""
    problems: list[str] = []
    forecasts = list(all_forecasts(root))
    try:
        boxes = read_boxes(root)
        scored, apart = beside(boxes, dict(forecasts))
    except InputError as error:
        problems += [f"{BOXES_FILE}: cannot be used: {line}" for line in error.lines]
        boxes, scored, apart = (), (), ()
    why = {one.box.number: one.why for one in apart}
    return {
        "boxes": [_box(box, why) for box in reversed(boxes)],
        "forecasts": [_forecast(name, kept) for name, kept in forecasts],
        "score": _score(standing_of(scored, apart)),
        "problems": problems,
    }


def _box(box: BoxRecord, why: Mapping[int, str]) -> dict[str, Any]:
    apart = why.get(box.number)
    name = box.frozen.name if box.frozen else ""
    return {
        "number": box.number,
        "aside": box.aside,
        "date": box.date,
        "design": _text(box.design),
        "came": what_came(box),
        "inside": _text(box.contents),
        "said": forecast_text(box.forecast),
        "forecast": "" if apart is not None else _text(name),
        "apart": apart or "",
        "by": _text(box.by),
        "note": _text(box.note),
    }


def _forecast(name: str, kept: KeptForecast | InputError) -> dict[str, Any]:
    if isinstance(kept, InputError):
        return {"name": name, "design": "", "frozen": "", "words": "", "wrong": kept.lines[0]}
    forecast = kept.forecast
    return {
        "name": name.removesuffix(".json"),
        "design": _text(forecast.design),
        "frozen": forecast.frozen,
        "words": f"of 100 boxes {share_words(forecast.chances.right)} come out right",
        "lines": [" ".join(line.split()) for line in said_lines(forecast)],
        "wrong": "",
    }


def _score(standing: Standing) -> dict[str, Any]:
    """How the forecasts have done, in counts that a maker can check by hand."""
    return {
        "boxes": len(standing.scored),
        "apart": len(standing.apart),
        "lines": list(_counts(standing)) if standing.scored else [],
        "verdict": _verdict(standing) if standing.scored else "",
        "causes": [
            {"words": cause_words(cause), **_remedy(cause)}
            for cause in standing.causes[:MOST_CAUSES]
        ],
    }


def _counts(standing: Standing) -> Iterator[str]:
    if standing.older:
        yield f"the last {len(standing.scored)} count, {standing.older} from before do not"
    yield from map(tally_words, standing.tallies)
    fits = standing.fits
    if fits is not None:
        said = f"contents, said to go into {100.0 * fits.said:.0f} of 100"
        yield f"{said}: {fits.fitted} of {fits.boxes} went in"
    if standing.plays is not None:
        yield play_words(standing.plays)
    if standing.splits is not None:
        yield splits_words(standing.splits)


def _verdict(standing: Standing) -> str:
    last = standing.watch.last
    if last is None:
        far = " ".join(f"{far_words(one)}." for one in far_plays(standing.scored)[-MOST_FAR:])
        said = far or f"{quiet_words(standing)}."
        return said[:1].upper() + said[1:]
    box = standing.scored[last.stop - 1].box
    since = since_words(standing)
    later = f" {since[:1].upper()}{since[1:]}." if since else ""
    return (
        f"The odds are off: {ALARM_WORDS[last.sign, last.more]}, by more than luck explains. It "
        f"showed at the box of {box.date} ({_text(box.design)}).{later}"
    )


def _remedy(cause: Cause) -> dict[str, str]:
    """What to measure to learn it, and under which name; nothing where it is no profile's."""
    if cause.source in ("content", "humidity") or (cause.source == PERSON and not cause.coupon):
        return {"what": "", "of": ""}
    what = What.PAPER if cause.source in MEASURED else What.HAND
    return {"what": what.value, "of": cause.coupon or cause.of}


def _text(text: str) -> str:
    return one_line(brief(text, LONGEST))
