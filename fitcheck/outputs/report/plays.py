"""The play along each axis as a bar against the bands."""

from __future__ import annotations

from fitcheck.design.model import Bands
from fitcheck.findings import show_press
from fitcheck.fit.lid import LidFit
from fitcheck.fit.right import verdict_of_play
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.bands import LEFT, Scale, band_marks, headroom, scale_for
from fitcheck.outputs.report.svg import Drawing
from fitcheck.pattern.sheet import Axis

TOP = 9.0
ROW = 13.0
BAR = 5.0


def play_drawing(lid: LidFit, bands: Bands) -> Drawing:
    """One bar for each axis."""
    plays = {axis: lid.slide.travel(axis).play_mm for axis in Axis}
    scale = scale_for(bands, min(plays.values()), max(plays.values()))
    top = TOP + headroom(scale, bands)
    foot = top + ROW * len(plays)
    marks = band_marks("plays", scale, bands, top, foot)
    for row, (axis, play) in enumerate(plays.items()):
        marks += _bar(axis, play, scale, top + ROW * row + 0.5 * ROW)
    said = "; ".join(
        f"along the {axis} {_said(play)}, which {_verb(verdict_of_play(play, bands))}"
        for axis, play in plays.items()
    )
    return Drawing(
        name="plays",
        title="Play along each axis against the bands",
        words=f"The lid's play: {said}.",
        width=180.0,
        height=foot + 9.0,
        marks=tuple(marks),
    )


def _bar(axis: Axis, play: float, scale: Scale, level: float) -> list[str]:
    zero, end = scale.x(0.0), scale.x(play)
    left, right = min(zero, end), max(zero, end)
    marks = [
        svg.text(str(axis), LEFT - 7.0, level + 1.4, "strong end"),
        svg.rect("bar", left, level - 0.5 * BAR, max(right - left, 0.5), BAR),
    ]
    if scale.beyond(play):
        way = 1.0 if play > 0.0 else -1.0
        marks.append(svg.arrow("mark-tip", (end + 4.0 * way, level), (way, 0.0), 4.0))
    words = _said(play)
    # beside the bar, or beyond nought where a press leaves no room on its own side
    at = max(zero, end) + 2.5
    if at + 2.2 * len(words) > 180.0:
        return [
            *marks,
            svg.text(words, min(zero, end) - 2.5, level + 1.4, "mark-text end label-on"),
        ]
    return [*marks, svg.text(words, at, level + 1.4, "mark-text start label-on")]


def _said(play: float) -> str:
    if play == float("inf"):
        return "without limit"
    return f"{play:.2f} mm" if play >= 0.0 else f"presses {show_press(-play)}"


def _verb(verdict: object) -> str:
    verbs = {"tight": "is tight", "snug": "is snug", "loose": "is loose"}
    return verbs.get(str(verdict), str(verdict))
