"""How a lid sinks, for the page: its time against its play, and its way down at its own pace."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from fitcheck.feel.curve import At, by_play, way_down
from fitcheck.feel.feel import Feel
from fitcheck.feel.touch import DROPS_S, FLOATS_S, SLOWLY_S
from fitcheck.outputs.feel_text import feel_words
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.svg import Drawing

LEFT, RIGHT, TOP, FOOT = 30.0, 174.0, 6.0, 78.0
SPAN_MM = 0.6
"""The curve goes so far to both sides of the play as drawn."""
FEWEST_S, MOST_S = 0.2, 600.0
WORDS = (
    (FLOATS_S, MOST_S, "floats"),
    (SLOWLY_S, FLOATS_S, "sinks slowly"),
    (DROPS_S, SLOWLY_S, "sinks by itself"),
    (FEWEST_S, DROPS_S, "drops"),
)


def sink_drawing(feel: Feel) -> Drawing | None:
    """The time of a lid in a corner and in the middle against its play; None where none sinks."""
    own = feel.measured
    least = min(own.plays_mm)
    found = [one for one in by_play(own, np.linspace(-SPAN_MM, SPAN_MM, 49).tolist()) if one.moves]
    if len(found) < 3:
        return None
    marks = [*_scale(least), *_band(found, least), *_names(), *_now(feel, least)]
    return Drawing(
        name="sinking",
        title="How long the lid takes to sink, by its play",
        words=(
            f"As drawn the lid {feel_words(feel)}. The band goes from a lid that rests in a corner "
            "to one in the middle of its play; below a play of 0.1 mm nothing is sure."
        ),
        width=180.0,
        height=FOOT + 14.0,
        marks=tuple(marks),
    )


def sink_scene(feel: Feel | None) -> dict[str, Any]:
    """The way of a lid that sinks, for the turning view: moments, heights and what is said."""
    if feel is None or feel.sink_s is None or not math.isfinite(feel.sink_s.high):
        return {}
    way = [[round(t, 3), round(mm, 3)] for t, mm in way_down(feel).tolist()]
    return {"sink": {"way": way, "words": f"The lid {feel_words(feel)}."}}


def _x(play_mm: float, least: float) -> float:
    return LEFT + (play_mm - least + SPAN_MM) / (2.0 * SPAN_MM) * (RIGHT - LEFT)


def _y(seconds: float) -> float:
    inside = min(max(seconds, FEWEST_S), MOST_S)
    share = math.log(inside / FEWEST_S) / math.log(MOST_S / FEWEST_S)
    return FOOT - share * (FOOT - TOP)


def _scale(least: float) -> Iterator[str]:
    """Seconds at the left with what a maker calls them, millimetres below."""
    for low, high, word in WORDS:
        if word == "sinks by itself":
            yield svg.rect("wash", LEFT, _y(high), RIGHT - LEFT, _y(low) - _y(high))
    for seconds, _, _ in WORDS:
        yield svg.line("quiet", (LEFT, _y(seconds)), (RIGHT, _y(seconds)))
        yield svg.text(f"{seconds:g} s", LEFT - 2.0, _y(seconds) + 1.4, "end")
    yield svg.line("thin", (LEFT, TOP), (LEFT, FOOT))
    first = math.ceil((least - SPAN_MM) / 0.2 - 1e-9)
    last = math.floor((least + SPAN_MM) / 0.2 + 1e-9)
    for count in range(first, last + 1):
        play = 0.2 * count
        yield svg.line("thin", (_x(play, least), FOOT), (_x(play, least), FOOT + 1.5))
        yield svg.text(f"{play:.1f}", _x(play, least), FOOT + 6.0, "middle")
    yield svg.text("mm of play, the smaller one", 0.5 * (LEFT + RIGHT), FOOT + 12.0, "middle")


def _names() -> Iterator[str]:
    """What a maker calls the times."""
    for low, high, word in WORDS:
        level = 0.5 * (_y(low) + _y(high)) + 1.4
        yield svg.text(word, RIGHT - 2.0, level, "quiet-text end label-on")


def _band(found: list[At], least: float) -> Iterator[str]:
    """Between a corner and the middle."""
    middle = [(_x(one.play_mm, least), _y(one.middle_s)) for one in found]
    corner = [(_x(one.play_mm, least), _y(one.corner_s)) for one in found]
    outline = " ".join(f"{x:.2f},{y:.2f}" for x, y in [*middle, *reversed(corner)])
    yield svg.tag("polygon", "body", points=outline)
    for points in (middle, corner):
        yield svg.tag("polyline", "mark", points=" ".join(f"{x:.2f},{y:.2f}" for x, y in points))


def _now(feel: Feel, least: float) -> Iterator[str]:
    """The lid as drawn."""
    x = _x(least, least)
    yield svg.line("chain", (x, TOP), (x, FOOT))
    yield svg.text(f"as drawn {least:.2f} mm", x + 2.0, TOP + 3.0, "mark-text start label-on")
    if feel.sink_s is not None:
        yield svg.tag("circle", "mark-tip", cx=x, cy=_y(feel.sink_s.high), r=1.3)
        yield svg.tag("circle", "mark-tip", cx=x, cy=_y(feel.sink_s.low), r=1.3)
