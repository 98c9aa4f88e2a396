"""A drawing is a list of strokes and texts in mm, from its bottom left, y upwards."""

from __future__ import annotations

import enum
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TypeAlias

from fitcheck.arcs import Arc
from fitcheck.drawing.metrics import ASCENT, DESCENT, text_width_mm

Point: TypeAlias = tuple[float, float]
"""(x, y) in mm."""
LINE_SPACING = 1.35
"""From one baseline to the next, in sizes of the type."""
SAG_MM = 0.02
"""How far the points of an arc's stroke may cut its corners."""


class LineKind(enum.StrEnum):
    """What a line means; each has a pen of its own (ISO 128: continuous, dashed, chain)."""

    CUT = "cut"
    """Wide continuous: cut here."""
    SCORE = "score"
    """Dashed: score and fold here."""
    SCORE_OVER = "score-other-face"
    """Dashed, spaced: the same on the other face."""
    HALF_CUT = "half-cut"
    """Chain, one long dash and two short ones: cut half through here."""
    HALF_CUT_OVER = "half-cut-other-face"
    """The same, spaced: on the other face."""
    GLUE = "glue"
    """Long-dashed short-dashed (chain): outline of an area that takes adhesive."""
    GLUE_HERE = "glue-here"
    """Long-dashed double-short-dashed: the same of an area that takes it on the face drawn."""
    THIN = "thin"
    """Narrow continuous: dimension, leader, register and other help lines."""
    HATCH = "hatch"
    """Narrowest continuous: hatching of what is cut away."""


class Anchor(enum.StrEnum):
    """Which end of a text stands at its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True)
class Box:
    """An upright rectangle, mm."""

    left: float
    bottom: float
    right: float
    top: float

    def inside(self, other: Box) -> bool:
        """Whether this one lies wholly in the other."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.bottom >= other.bottom
            and self.top <= other.top
        )

    def grown(self, mm: float) -> Box:
        """The box with so much more on every side."""
        return Box(self.left - mm, self.bottom - mm, self.right + mm, self.top + mm)


@dataclass(frozen=True)
class Stroke:
    """A straight line or a chain of them."""

    kind: LineKind
    points: tuple[Point, ...]
    closed: bool = False
    sample: bool = False
    """True for the legend's, which shows a pen and is no line of the part."""
    arc: Arc | None = None
    """The true arc that its points lie on, from the first to the last; None for straight lines."""

    def segments(self) -> list[tuple[Point, Point]]:
        """Its straight stretches, the closing one included."""
        ends = self.points[1:] + (self.points[:1] if self.closed else ())
        return list(zip(self.points, ends, strict=False))

    def scaled(self, by: float) -> Stroke:
        """The same line that much smaller, arcs as their chords."""
        return Stroke(self.kind, tuple((by * x, by * y) for x, y in self.points), self.closed)

    def moved(self, dx: float, dy: float) -> Stroke:
        """The same stroke elsewhere."""
        points = tuple((x + dx, y + dy) for x, y in self.points)
        return replace(self, points=points, arc=self.arc and self.arc.moved(dx, dy))


@dataclass(frozen=True)
class Label:
    """One line of real text."""

    text: str
    at: Point
    """Where its baseline meets the anchor."""
    height_mm: float = 2.6
    """Size of the type: from one line to the next without extra space."""
    anchor: Anchor = Anchor.START
    upright: bool = False
    """True when it is turned by 90 degrees and reads from the right-hand side."""

    @property
    def width_mm(self) -> float:
        """How long it is along its baseline."""
        return text_width_mm(self.text, self.height_mm)

    @property
    def box(self) -> Box:
        """The rectangle that its letters keep within."""
        before = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[self.anchor]
        start, size = -before * self.width_mm, self.width_mm
        up, down = ASCENT * self.height_mm, DESCENT * self.height_mm
        x, y = self.at
        if self.upright:
            return Box(x - up, y + start, x + down, y + start + size)
        return Box(x + start, y - down, x + start + size, y + up)

    def moved(self, dx: float, dy: float) -> Label:
        """The same text elsewhere."""
        return replace(self, at=(self.at[0] + dx, self.at[1] + dy))


@dataclass(frozen=True)
class Drawing:
    """Strokes and texts at 1:1; everything lies between 0 and its size."""

    title: str
    width_mm: float
    length_mm: float
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]

    def scaled(self, by: float) -> Drawing:
        """Its strokes that much smaller, its texts left out; no longer at 1:1."""
        return Drawing(
            self.title,
            by * self.width_mm,
            by * self.length_mm,
            tuple(stroke.scaled(by) for stroke in self.strokes),
            (),
        )

    def moved(self, dx: float, dy: float) -> Drawing:
        """The same drawing with all its items moved, its size unchanged."""
        return replace(
            self,
            strokes=tuple(stroke.moved(dx, dy) for stroke in self.strokes),
            labels=tuple(label.moved(dx, dy) for label in self.labels),
        )


Items: TypeAlias = tuple[list[Stroke], list[Label]]
"""Strokes and texts that belong together."""


def drawing_of(title: str, size_mm: tuple[float, float], parts: Iterable[Items]) -> Drawing:
    """The drawing of that width and length that some parts make up, in their order."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for more_strokes, more_labels in parts:
        strokes += more_strokes
        labels += more_labels
    return Drawing(title, *size_mm, tuple(strokes), tuple(labels))


def line(kind: LineKind, start: Point, stop: Point) -> Stroke:
    """One straight line."""
    return Stroke(kind, (start, stop))


def arc_stroke(kind: LineKind, arc: Arc) -> Stroke:
    """A true arc; its points are near enough for texts to keep off it."""
    return Stroke(kind, arc.chords(SAG_MM), arc=arc)


def rectangle(kind: LineKind, box: Box) -> Stroke:
    """The outline of a box."""
    corners = (
        (box.left, box.bottom),
        (box.right, box.bottom),
        (box.right, box.top),
        (box.left, box.top),
    )
    return Stroke(kind, corners, closed=True)


def paragraph(lines: Iterable[str], at: Point, height_mm: float) -> tuple[Label, ...]:
    """Lines of text below each other; `at` is the start of the first baseline."""
    return tuple(
        Label(text, (at[0], at[1] - number * LINE_SPACING * height_mm), height_mm)
        for number, text in enumerate(lines)
    )
