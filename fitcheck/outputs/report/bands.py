"""Play on a scale with the bands behind it; the bands are told apart by name and boundary."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.outputs.report import svg

LEFT, RIGHT = 30.0, 176.0


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


def band_marks(name: str, scale: Scale, bands: Bands, top: float, foot: float) -> list[str]:
    """The bands of the drawing `name`, from `top` to `foot`, their boundaries in mm below."""
    inner = [-bands.tight_mm, 0.0, bands.snug_mm, bands.loose_mm]
    edges = [scale.low_mm, *inner, scale.high_mm]
    names = tuple(LidVerdict)
    marks = [svg.hatching(f"{name}-binds", 1, 2.2)]
    for index, band in enumerate(names):
        x0, x1 = scale.x(edges[index]), scale.x(edges[index + 1])
        if band is LidVerdict.BINDS:
            marks.append(svg.rect("", x0, top, x1 - x0, foot - top, fill=f"url(#{name}-binds)"))
        elif band is LidVerdict.SLIDES:
            marks.append(svg.rect("wash", x0, top, x1 - x0, foot - top))
        marks.append(svg.text(band, 0.5 * (x0 + x1), top - 2.2, "quiet-text middle"))
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
