"""Running dimensions: from a fence, one line with an arrowhead and a value at every score on it.

This is the running dimensioning of ISO 129-1: a small circle marks the origin, and each value
stands by its arrowhead, along its extension line (here the score itself).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.shapes import Anchor, Label, LineKind, Point, Stroke, line
from fitcheck.pattern.plan import Plan, RuledLine
from fitcheck.pattern.sheet import Fence, Sheet

TYPE_MM = 2.3
SMALL_TYPE_MM = 1.8
ARROW_MM = 2.2
ORIGIN_MM = 0.7
GAP_MM = 0.6
SLOT_MM = 3.4
"""From one text beside the sheet to the next."""
SHARES = (0.22, 0.78, 0.3, 0.7, 0.14, 0.86, 0.4, 0.6)
"""Where along the scores a dimension line may run, best first."""


@dataclass(frozen=True)
class RunningLine:
    """The dimension line of one fence and the places that it measures."""

    fence: Fence
    along_mm: float
    """Where it runs, measured along the fence."""
    stops_mm: tuple[float, ...]
    """Distances from the fence, growing."""


def running_lines(plan: Plan, share_at: int = 0) -> tuple[RunningLine, ...]:
    """One dimension line for each fence that is scored from."""
    lines = []
    for number, fence in enumerate(Fence):
        scores = [score for score in plan.scores if score.fence is fence]
        if scores:
            share = SHARES[(share_at + number) % len(SHARES)]
            lines.append(
                RunningLine(fence, _along(scores, share), tuple({s.at_mm: 0 for s in scores}))
            )
    return tuple(lines)


def _along(scores: list[RuledLine], share: float) -> float:
    """A place along the fence that meets all scores, or the longest one if there is none."""
    low, high = max(s.start_mm for s in scores), min(s.stop_mm for s in scores)
    if high <= low:
        longest = max(scores, key=lambda s: s.stop_mm - s.start_mm)
        low, high = longest.start_mm, longest.stop_mm
    return low + share * (high - low)


def line_strokes(sheet: Sheet, running: RunningLine) -> list[Stroke]:
    """The dimension line, its origin circle and its arrowheads."""
    start = sheet.spot(running.fence, 0.0, running.along_mm)
    stop = sheet.spot(running.fence, running.stops_mm[-1], running.along_mm)
    strokes = [line(LineKind.THIN, start, stop), _circle(start)]
    for at in running.stops_mm:
        strokes.append(_arrow(sheet, running, at))
    return strokes


def value_places(sheet: Sheet, running: RunningLine, at: float, text: str) -> Iterator[Label]:
    """Where the value of a score may stand: along the score, near its arrowhead first."""
    upright = running.fence.upright
    for height in (TYPE_MM, SMALL_TYPE_MM):
        for slide in (0.0, 3.0, 6.0, 10.0, 15.0, 22.0, 30.0):
            for towards_fence in (True, False):
                for beyond in (True, False):
                    base = _baseline(sheet, running.fence, at, towards_fence, height)
                    offset = GAP_MM + 1.2 + slide
                    along = running.along_mm + (offset if beyond else -offset)
                    point = (base, along) if upright else (along, base)
                    yield Label(
                        text, point, height, Anchor.START if beyond else Anchor.END, upright
                    )


def _baseline(sheet: Sheet, fence: Fence, at: float, towards_fence: bool, height: float) -> float:
    """Where a text beside a score has its baseline, across the score."""
    place = sheet.spot(fence, at, 0.0)[0 if fence.upright else 1]
    lower = towards_fence != fence.far  # the text stands at smaller x or y than the score
    if fence.upright:  # turned letters stand to the left of their baseline
        return place - GAP_MM - 0.25 * height if lower else place + GAP_MM + 0.8 * height
    return place - GAP_MM - 0.8 * height if lower else place + GAP_MM + 0.25 * height


def outside_values(
    placer: Placer, plan: Plan, running: RunningLine, texts: Sequence[str]
) -> tuple[list[Label], list[Stroke]]:
    """The values of one fence beside the sheet, in the order of their scores, each with a leader.

    Those of the left fence stand below, of the right above, of the bottom left, of the top right.
    They go out as far as it takes to be clear of everything. `texts` belong to the stops.
    """
    sheet, fence = plan.sheet, running.fence
    upright, low = fence.upright, not fence.far
    size = sheet.length_mm if upright else sheet.width_mm
    edge, out = (0.0, -1.0) if low else (size, 1.0)
    feet = []
    for at, text in zip(running.stops_mm, texts, strict=True):
        across = sheet.spot(fence, at, 0.0)[0 if upright else 1]
        ends = [s for s in plan.scores if s.fence is fence and s.at_mm == at]
        end = min(s.start_mm for s in ends) if low else max(s.stop_mm for s in ends)
        feet.append((across, end, text))
    feet.sort()
    slots = _spread([across for across, _, _ in feet])
    for far in range(2, 400, 2):
        labels, leaders = [], []
        tip = edge + out * (far + 3.0)
        for (across, end, text), slot in zip(feet, slots, strict=True):
            path = [(across, end), (across, edge + out * 1.5), (slot, tip)]
            base = slot + (0.27 if upright else -0.27) * TYPE_MM
            labels.append(
                Label(
                    text,
                    _turned((base, tip + out * 0.8), not upright),
                    TYPE_MM,
                    Anchor.END if low else Anchor.START,
                    upright,
                )
            )
            leaders.append(Stroke(LineKind.THIN, tuple(_turned(p, not upright) for p in path)))
        if all(placer.is_free(x.box) for x in labels) and all(map(placer.line_is_free, leaders)):
            break
    for label in labels:
        placer.add_label(label)
    placer.add_strokes(leaders)
    return labels, leaders


def _turned(point: Point, swap: bool) -> Point:
    return (point[1], point[0]) if swap else point


def _spread(places: list[float]) -> list[float]:
    """The places moved apart just enough for a text at each, their order and middle kept."""
    slots = list(places)
    for number in range(1, len(slots)):
        slots[number] = max(slots[number], slots[number - 1] + SLOT_MM)
    drift = sum(slots) / len(slots) - sum(places) / len(places)
    return [slot - drift for slot in slots]


def _arrow(sheet: Sheet, running: RunningLine, at: float) -> Stroke:
    back, half = ARROW_MM * math.cos(math.radians(15)), ARROW_MM * math.sin(math.radians(15))
    tip, one, two = (
        sheet.spot(running.fence, at - b, running.along_mm + h)
        for b, h in ((0.0, 0.0), (back, half), (back, -half))
    )
    return Stroke(LineKind.THIN, (one, tip, two))


def _circle(middle: Point) -> Stroke:
    points = tuple(
        (
            middle[0] + ORIGIN_MM * math.cos(math.tau * n / 16),
            middle[1] + ORIGIN_MM * math.sin(math.tau * n / 16),
        )
        for n in range(16)
    )
    return Stroke(LineKind.THIN, points, closed=True)
