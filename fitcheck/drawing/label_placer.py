"""A text goes to the first of its possible places where it covers no line and no other text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fitcheck.drawing.shapes import Box, Label, Stroke

CLEAR_MM = 0.35
"""White kept round every text."""


@dataclass
class Placer:
    """What is on the drawing already; it grows with every text that is placed."""

    bounds: Box
    """Texts keep inside it."""
    clear_mm: float = CLEAR_MM
    _segments: list[tuple[float, float, float, float]] = field(default_factory=list)
    _boxes: list[tuple[float, float, float, float]] = field(default_factory=list)
    _arrays: dict[str, tuple[int, NDArray[np.float64]]] = field(default_factory=dict)
    """The two lists as arrays, with the length that they had then."""

    def add_strokes(self, strokes: Iterable[Stroke]) -> None:
        """Keep later texts off these lines."""
        for stroke in strokes:
            self._segments += [(*start, *stop) for start, stop in stroke.segments()]

    def add_label(self, label: Label) -> None:
        """Keep later texts off this one."""
        self.add_box(label.box)

    def add_box(self, box: Box) -> None:
        """Keep later texts out of this box."""
        self._boxes.append((box.left, box.bottom, box.right, box.top))

    def is_free(self, box: Box) -> bool:
        """Whether a text of that box would cover nothing."""
        wide = box.grown(self.clear_mm)
        return box.inside(self.bounds) and not (
            any_box_overlaps(self._array("boxes", self._boxes), wide)
            or any_segment_crosses(self._array("segments", self._segments), wide)
        )

    def _array(
        self, name: str, rows: list[tuple[float, float, float, float]]
    ) -> NDArray[np.float64]:
        """Rows as an array (n, 4), made anew only when rows have been added."""
        known = self._arrays.get(name)
        if known is None or known[0] != len(rows):
            known = (len(rows), np.array(rows, dtype=float).reshape(-1, 4))
            self._arrays[name] = known
        return known[1]

    def copy(self) -> Placer:
        """A placer to try things on."""
        return Placer(self.bounds, self.clear_mm, [*self._segments], [*self._boxes])

    def lowest_mm(self) -> float:
        """The lowest y of anything that is there; 0 for an empty drawing."""
        ends = [min(y0, y1) for _, y0, _, y1 in self._segments]
        return min([*ends, *(bottom for _, bottom, _, _ in self._boxes)], default=0.0)

    def line_is_free(self, stroke: Stroke) -> bool:
        """Whether a line would run through no text."""
        segments = np.array([(*start, *stop) for start, stop in stroke.segments()])
        return not any(any_segment_crosses(segments, Box(*corners)) for corners in self._boxes)

    def place(self, candidates: Iterable[Label], within: Box | None = None) -> Label | None:
        """Put the first candidate that covers nothing; None when every one of them does.

        `within` keeps it inside a box of its own as well.
        """
        found = self.place_all(((label,) for label in candidates), within)
        return found[0] if found else None

    def place_all(
        self, candidates: Iterable[tuple[Label, ...]], within: Box | None = None
    ) -> tuple[Label, ...]:
        """The same for texts that stand together; none where every set covers something."""
        for labels in candidates:
            boxes = [label.box for label in labels]
            if all((within is None or box.inside(within)) and self.is_free(box) for box in boxes):
                for label in labels:
                    self.add_label(label)
                return labels
        return ()


def any_box_overlaps(boxes: NDArray[np.float64], box: Box) -> bool:
    """Whether any of the boxes (n, 4: left, bottom, right, top) overlaps one."""
    return bool(
        np.any(
            (boxes[:, 0] < box.right)
            & (boxes[:, 2] > box.left)
            & (boxes[:, 1] < box.top)
            & (boxes[:, 3] > box.bottom)
        )
    )


def any_segment_crosses(segments: NDArray[np.float64], box: Box) -> bool:
    """Whether any segment (n, 4: x, y, x, y) runs through the inside of a box.

    By separating axes: the two of the box and the one across the segment.
    """
    x0, y0, x1, y1 = segments.T
    beside = (
        (np.maximum(x0, x1) <= box.left)
        | (np.minimum(x0, x1) >= box.right)
        | (np.maximum(y0, y1) <= box.bottom)
        | (np.minimum(y0, y1) >= box.top)
    )
    dx, dy = x1 - x0, y1 - y0
    middle = 0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top)
    half = 0.5 * (box.right - box.left), 0.5 * (box.top - box.bottom)
    across = np.abs(dx * (middle[1] - y0) - dy * (middle[0] - x0))
    reach = np.abs(dy) * half[0] + np.abs(dx) * half[1]
    return bool(np.any(~beside & (across < reach)))
