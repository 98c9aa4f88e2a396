"""Papers and printers that are known exactly, and the readings that a person would take of them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from fitcheck.learn.bench_readings import Feature, Reading

STEP_MM = 0.01
"""Of the caliper."""
GAUGE_STEP_MM = 0.1
"""Of the plugs."""


@dataclass
class Notebook:
    """Readings as they are taken."""

    rng: np.random.Generator
    gauged: bool = False
    """True when every piece but the stack is gauged instead of measured."""
    repeats: int = 1
    hand_mm: float = 0.02
    """Scatter of one repeat."""
    gauge_step_mm: float = GAUGE_STEP_MM
    rows: list[Reading] = field(default_factory=list)
    pieces: int = 0

    def piece(self, feature: Feature, nominal_mm: float, size_mm: float) -> None:
        """One piece of a true size is read."""
        self.pieces += 1
        note = f"piece {self.pieces}"
        if self.gauged:
            met = size_mm + self.rng.normal(0.0, 0.01)
            first = self.rng.uniform(0.0, self.gauge_step_mm)
            go = math.floor((met - first) / self.gauge_step_mm) * self.gauge_step_mm + first
            self.add(feature, nominal_mm, go=go, nogo=go + self.gauge_step_mm, note=note)
            return
        for _ in range(self.repeats):
            self.add(feature, nominal_mm, size_mm + self.rng.normal(0.0, self.hand_mm), note=note)

    def add(
        self,
        feature: Feature,
        nominal_mm: float | None,
        value_mm: float | None = None,
        *,
        count: int | None = None,
        go: float | None = None,
        nogo: float | None = None,
        note: str = "",
    ) -> None:
        """One row; a value is rounded to the caliper's step."""
        shown = None if value_mm is None else round(value_mm / STEP_MM) * STEP_MM
        row = len(self.rows) + 2
        self.rows.append(
            Reading(
                "truth.csv", row, "2026-11-20", "kh", "caliper", STEP_MM, feature, nominal_mm,
                count, shown, go, nogo, note,
            )
        )  # fmt: skip


SCORE_MM = 0.1
JOINT_MM, JOINT_U_MM, FENCE_U_MM, BOARD_U = 0.1, 0.03, 0.05, 0.003


def paper_readings(book: Notebook) -> dict[str, float]:
    """Draw a paper, a board and a joint; fill the book; return what was drawn, by name."""
    rng = book.rng
    t = rng.uniform(0.2, 0.45)
    a = t * rng.uniform(0.3, 0.9)
    give = rng.normal(1.0, 0.1)
    board, fence = rng.normal(0.0, BOARD_U), rng.normal(0.0, FENCE_U_MM)
    push = give * (t + rng.normal(JOINT_MM, JOINT_U_MM))

    def scored(count: float) -> float:
        return float(rng.normal(0.0, SCORE_MM * math.sqrt(count)))

    for _ in range(5):
        book.add(Feature.STACK, None, 10 * t + rng.normal(0.0, 0.015), count=10)
    for nominal in (25.0, 25.0, 50.0, 50.0, 75.0, 75.0, 100.0, 100.0):
        book.piece(Feature.CHANNEL, nominal, nominal * (1 + board) + 2 * a + scored(2))
    hem = t * rng.normal(1 - math.pi / 4, 0.2)
    book.piece(Feature.HEM, 25.0, 25.0 * (1 + board) + fence + hem + scored(1))
    for nominal in (40.0, 40.0, 70.0, 70.0):
        book.piece(Feature.CORNER, nominal, nominal * (1 + board) + 2 * a + 2 * push + scored(2))
    for nominal in (40.0, 80.0):
        book.piece(Feature.INSIDE, nominal, nominal * (1 + board) - 2 * (t - a) + scored(2))
    return {
        "caliper": t,
        "crease allowance": a,
        "corner give": give,
        "board scale": board,
        "fence offset": fence,
    }


PRINT_MM = 0.03
SIZES_MM = (12.0, 25.0, 50.0, 75.0, 100.0)
HEIGHTS_MM = (8.0, 12.0, 16.0, 22.0, 30.0)


def printer_readings(book: Notebook) -> dict[str, float]:
    """Draw a printer; fill the book with the readings of its gauge; return what was drawn."""
    rng = book.rng
    sx, sy, sz = rng.normal(0.0, 0.003, 3)
    out, hole, first = rng.normal(0.05, 0.08, 3)
    high = rng.normal(0.0, 0.08)

    def noise() -> float:
        return float(rng.normal(0.0, PRINT_MM))

    for size, height in zip(SIZES_MM, HEIGHTS_MM, strict=True):
        for scale, outside, inside in (
            (sx, Feature.OUTSIDE_X, Feature.INSIDE_X),
            (sy, Feature.OUTSIDE_Y, Feature.INSIDE_Y),
        ):
            book.piece(outside, size + 6, (1 + scale) * (size + 6) + 2 * out + noise())
            book.piece(inside, size, (1 + scale) * size - 2 * hole + noise())
        book.piece(Feature.HEIGHT, height, (1 + sz) * height + high + noise())
    for size in SIZES_MM[3:]:
        wide = (1 + sx) * (size + 6) + 2 * out + 2 * first
        book.piece(Feature.FIRST_LAYER, size + 6, wide + noise())
    return {
        "scale_x": sx,
        "scale_y": sy,
        "scale_z": sz,
        "outside_offset_mm": out,
        "hole_offset_mm": hole,
        "first_layer_mm": first,
        "height_offset_mm": high,
    }
