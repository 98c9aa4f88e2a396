"""Play on a scale with the bands behind it; the bands are told apart by name and boundary."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.outputs.report import svg

LEFT, RIGHT = 30.0, 176.0
ROW = 5.2
"""From one row of names to the next."""


@dataclass(frozen=True)
class Scale:
    """A stretch of play in mm laid along the paper."""

    low_mm: float
    high_mm: float
    left: float = LEFT
    right: float = RIGHT

    def x(self, value_mm: float) -> float:
        """Where a play stands; beyond the ends it stands at the end."""
        share = (value_mm - self.low_mm) / (self.high_mm - self.low_mm)
        return self.left + min(1.0, max(0.0, share)) * (self.right - self.left)

    def beyond(self, value_mm: float) -> bool:
        """True when a play is off the scale."""
        return not self.low_mm <= value_mm <= self.high_mm


def scale_for(bands: Bands, low_mm: float, high_mm: float) -> Scale:
    """A scale on which all bands and, within reason, the given plays can be seen."""
    loose = bands.loose_mm
    low = max(min(-0.25 * loose, 1.2 * low_mm), -1.0 * loose)
    high = high_mm if math.isfinite(high_mm) else 0.0
    return Scale(low, min(max(1.35 * loose, 1.1 * high), 2.5 * loose))


def headroom(scale: Scale, bands: Bands) -> float:
    """What the names of the bands take above their first row, mm, where some are narrow."""
    return ROW * max(level for _, _, level in _names(scale, bands))


def _names(scale: Scale, bands: Bands) -> list[tuple[LidVerdict, tuple[float, float], int]]:
    """Each band, from where to where it goes, and the row above it that its name stands in."""
    edges = [scale.x(mm) for mm in (scale.low_mm, *_inner(bands), scale.high_mm)]
    spans = list(itertools.pairwise(edges))
    texts = [
        (str(own), 0.5 * (a + b), b - a) for own, (a, b) in zip(LidVerdict, spans, strict=True)
    ]
    return list(zip(LidVerdict, spans, svg.levels(texts), strict=True))


def _inner(bands: Bands) -> tuple[float, ...]:
    """The boundaries between bands, mm."""
    return -bands.tight_mm, 0.0, bands.snug_mm, bands.loose_mm


def band_marks(name: str, scale: Scale, bands: Bands, top: float, foot: float) -> list[str]:
    """The bands of the drawing `name`, from `top` to `foot`, their boundaries in mm below."""
    inner = _inner(bands)
    marks = [svg.hatching(f"{name}-binds", 1, 2.2)]
    for band, (x0, x1), level in _names(scale, bands):
        if band is LidVerdict.BINDS:
            marks.append(svg.rect("", x0, top, x1 - x0, foot - top, fill=f"url(#{name}-binds)"))
        elif band is LidVerdict.SLIDES:
            marks.append(svg.rect("wash", x0, top, x1 - x0, foot - top))
        at = top - 2.2 - ROW * level
        marks.append(svg.text(band, 0.5 * (x0 + x1), at, "quiet-text middle"))
    for edge in inner:
        x = scale.x(edge)
        marks.append(svg.line("thin", (x, top - 6.0 if edge else top - 7.0), (x, foot + 1.5)))
    last = -math.inf
    for edge in inner:
        x = scale.x(edge)
        if x - last > 9.0:
            marks.append(svg.text(f"{edge:g}", x, foot + 6.0, "quiet-text middle"))
            last = x
    marks.append(svg.text("mm", scale.right, foot + 6.0, "quiet-text end"))
    return marks
