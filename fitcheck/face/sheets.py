"""The sheet of a part as a display list: every stroke and label that is drawn, mm."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.design.model import Design as Drawn
from fitcheck.face.frozen import Floats, Row, frozen
from fitcheck.fit.assembly import Part as Folded
from fitcheck.sheet.job import drawing_of


@dataclass(frozen=True, eq=False)
class Stroke:
    """A chain of straight lines."""

    kind: str
    """cut, score, glue, thin (dimensions, leaders) or hatch."""
    points: Floats
    """(n, 2) mm."""
    closed: bool
    """Whether its last point is joined to its first."""
    legend: bool
    """True for one that only shows what a kind looks like."""

    def __repr__(self) -> str:
        return f"Stroke({self.kind!r}, {len(self.points)} points)"


@dataclass(frozen=True)
class Label:
    """One line of text."""

    text: str
    at_mm: tuple[float, float]
    """Where its baseline meets the anchor."""
    height_mm: float
    """From one line to the next."""
    anchor: str
    """start, middle or end: which end of the text stands there."""
    upright: bool
    """Whether it is turned by 90 degrees and read from the right."""


@dataclass(frozen=True, eq=False)
class Sheet:
    """A drawing at 1:1; x runs along its width, y along its length, all within its size.

    The part's sheet itself lies somewhere in it, with its dimensions and notes beside it.
    """

    title: str
    size_mm: tuple[float, float]
    """Width and length of the whole drawing."""
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]

    def __repr__(self) -> str:
        size = " x ".join(f"{side:.1f}" for side in self.size_mm)
        count = f"{len(self.strokes)} strokes, {len(self.labels)} labels"
        return f"Sheet({self.title!r}, {size} mm, {count})"


def sheet_of(drawn: Drawn, part: Folded) -> Sheet:
    """The display list of a part of a design."""
    drawing = drawing_of(drawn, part)
    return Sheet(
        drawing.title,
        (drawing.width_mm, drawing.length_mm),
        Row(
            Stroke(str(own.kind), frozen(own.points), own.closed, own.sample)
            for own in drawing.strokes
        ),
        Row(
            Label(own.text, own.at, own.height_mm, str(own.anchor), own.upright)
            for own in drawing.labels
        ),
    )
