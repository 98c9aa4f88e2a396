"""The odds drawn: how virtual boxes fall over the bands, and whom the spread is due to."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.odds.result import Histogram, LidOdds
from fitcheck.odds.shares import Share
from fitcheck.outputs.bench_words import of_100
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.bands import Scale, band_marks, headroom
from fitcheck.outputs.report.svg import Drawing

TOP, TALL = 9.0, 44.0
REACH = 3.0
"""Standard deviations beyond the mean that the scale has to show."""
SHOWN = 8
LEAST_SHARE = 0.01
ROW = 9.0
ROWS_APART = 5.4
"""From one row of counts to the next."""


def spread_drawing(lid: LidOdds, bands: Bands, boxes: int) -> Drawing:
    """The smaller play over all boxes as columns, the bands behind them.

    A column's area is its share of the boxes, so the columns over a band make up the band's.
    """
    mean, u = lid.smaller.mean_mm, lid.smaller.u_mm
    low = min(-0.25 * bands.loose_mm, mean - REACH * u)
    high = max(1.25 * bands.loose_mm, mean + REACH * u)
    scale = Scale(low, high, 8.0)
    top = TOP + headroom(scale, bands)
    foot = top + TALL
    edges = {
        LidVerdict.BINDS: (low, -bands.tight_mm),
        LidVerdict.TIGHT: (-bands.tight_mm, 0.0),
        LidVerdict.SNUG: (0.0, bands.snug_mm),
        LidVerdict.SLIDES: (bands.snug_mm, bands.loose_mm),
        LidVerdict.LOOSE: (bands.loose_mm, high),
    }
    marks = band_marks("spread", scale, bands, top, foot) + _columns(lid.histogram, scale, foot)
    counts = [
        (of_100(lid.chances[verdict]), 0.5 * (scale.x(a) + scale.x(b)), math.inf)
        for verdict, (a, b) in edges.items()
    ]
    for (words, middle, _), level in zip(counts, svg.levels(counts), strict=True):
        at = foot - 0.80 * TALL + ROWS_APART * level
        marks.append(svg.text(words, middle, at, "mark-text middle label-on"))
    marks += _whisker(lid, scale, foot + 12.0)
    said = ", ".join(f"{of_100(lid.chances[verdict])} {verdict}" for verdict in edges)
    interval = lid.smaller.interval
    return Drawing(
        name="spread",
        title="The smaller play of boxes made by hand",
        words=(
            f"Of 100 boxes made by hand ({boxes} were drawn by lot): {said}. In 95 the smaller "
            f"play is between {interval.low:.2f} and {interval.high:.2f} mm; most come out near "
            f"{mean:.2f} mm."
        ),
        width=180.0,
        height=foot + 24.0,
        marks=tuple(marks),
    )


def _columns(histogram: Histogram, scale: Scale, foot: float) -> list[str]:
    """The boxes' own distribution, its tallest column a set share of the drawing's height."""
    spans = list(itertools.pairwise(histogram.edges_mm))
    dense = [
        count / (b - a) if b > a else 0.0
        for count, (a, b) in zip(histogram.counts, spans, strict=True)
    ]
    most = max(dense) or 1.0
    return [
        svg.rect("column", scale.x(a), foot - tall, scale.x(b) - scale.x(a), tall)
        for one, (a, b) in zip(dense, spans, strict=True)
        if (tall := 0.70 * TALL * one / most) > 0.0
    ]


def _whisker(lid: LidOdds, scale: Scale, level: float) -> list[str]:
    interval, mean = lid.smaller.interval, lid.smaller.mean_mm
    x0, x1, middle = (scale.x(v) for v in (interval.low, interval.high, mean))
    marks = [svg.line("mark", (x0, level), (x1, level))]
    marks += [svg.line("mark", (x, level - 1.8), (x, level + 1.8)) for x in (x0, x1)]
    marks.append(svg.tag("circle", "mark-tip", cx=middle, cy=level, r=1.5))
    words = f"95 of 100: {interval.low:.2f} to {interval.high:.2f} mm"
    return [*marks, svg.text(words, min(x0, 110.0), level + 7.0, "start")]


def shares_drawing(shares: Sequence[Share]) -> Drawing | None:
    """What makes boxes differ most, as bars; None when nothing does."""
    shown = [share for share in shares[:SHOWN] if share.share >= LEAST_SHARE]
    if not shown:
        return None
    left, right = 92.0, 160.0
    most = max(share.share for share in shown)
    marks = []
    for row, share in enumerate(shown):
        level = 3.0 + ROW * (row + 0.5)
        end = left + (right - left) * share.share / most
        marks += [
            svg.text(_short(share.name), left - 3.0, level + 1.4, "end"),
            svg.rect("bar", left, level - 2.2, end - left, 4.4),
            svg.text(f"{100.0 * share.share:.0f} %", end + 2.5, level + 1.4, "strong start"),
        ]
    marks.append(svg.line("thin", (left, 3.0), (left, 3.0 + ROW * len(shown))))
    said = "; ".join(f"{share.name}: {100.0 * share.share:.0f} %" for share in shown)
    return Drawing(
        name="shares",
        title="Which cut matters most",
        words=f"Largest first. {said}.",
        width=180.0,
        height=6.0 + ROW * len(shown),
        marks=tuple(marks),
    )


def _short(name: str) -> str:
    most = 44
    return name if len(name) <= most else name[: most - 1].rstrip() + "\u2026"
