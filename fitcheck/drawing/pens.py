"""Each kind of line has a pen that tells it apart by weight and dash, and by colour as well."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.drawing.shapes import LineKind


@dataclass(frozen=True)
class Pen:
    """How a line is drawn, mm."""

    width_mm: float
    dashes_mm: tuple[float, ...] = ()
    """Lengths of ink and gap in turn; empty for a continuous line."""
    meaning: str = ""
    """What the legend says."""
    ink: str = "#000000"
    """Its colour, dark enough to be read in grey."""


#: Line types 01 (continuous), 02 (dashed), 10 (dashed dotted, the chain line) and 12 (dashed double
#: dotted) as in ISO 128-2; widths from its series 0.13, 0.18, 0.25, 0.35.
PENS: dict[LineKind, Pen] = {
    LineKind.CUT: Pen(0.35, (), "cut"),
    LineKind.SCORE: Pen(0.25, (3.0, 1.5), "score and fold", "#0b5f86"),
    LineKind.SCORE_OVER: Pen(0.25, (3.0, 3.0), "score, other face", "#0b5f86"),
    LineKind.HALF_CUT: Pen(0.25, (6.0, 1.0, 1.0, 1.0, 1.0, 1.0), "cut half through", "#7a2a52"),
    LineKind.HALF_CUT_OVER: Pen(
        0.25, (6.0, 2.0, 1.0, 2.0, 1.0, 2.0), "cut half through, other face", "#7a2a52"
    ),
    LineKind.GLUE: Pen(0.18, (4.0, 0.8, 0.4, 0.8), "adhesive, other face", "#2c6a35"),
    LineKind.GLUE_HERE: Pen(0.18, (4.0, 0.8, 0.4, 0.8, 0.4, 0.8), "adhesive, this face", "#2c6a35"),
    LineKind.THIN: Pen(0.13, (), "dimension", "#4a555a"),
    LineKind.HATCH: Pen(0.13, (), "cut away", "#6b757a"),
}
