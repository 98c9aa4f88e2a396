"""The coupon of a board and a hand: strips cut and scored by the tools' own marks, then read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.paper_coupon import empty_row
from fitcheck.stock.tools import Tools
from fitcheck.units import MM_PER, Unit

INCH = MM_PER[Unit.IN]
LETTERS = "PQRSTUVWXY"
SETTINGS = (
    *((4, 1, 3), (5, 4, 2), (6, 2, 5), (7, 6, 1), (8, 3, 7)),
    *((4, 3, 1), (5, 1, 3), (6, 5, 2), (7, 2, 6), (8, 7, 4)),
)
"""Length of each strip, place of its groove and of its other score, in 25 mm or inches."""
AGAIN = 4
"""So many strips are read twice, to know how well one reading repeats."""
KNIVES = 6


@dataclass(frozen=True)
class HandStrip:
    """One strip: cut to a length, scored once in a groove and once between grooves; mm."""

    piece: str
    length_mm: float
    groove_mm: float | None
    """From the fence; None on a board without grooves."""
    between_mm: float


@dataclass(frozen=True)
class HandCoupon:
    """What is cut, scored and read to know a board and a hand; lengths in mm."""

    tools: str
    strips: tuple[HandStrip, ...]
    knife_mm: tuple[float, ...]
    """Widths cut with a knife at pencil marks, one after the other off one piece."""
    wide_mm: float
    """How wide strips are."""
    unit: Unit
    like: str | None = None
    """The tools that new ones are like; None where these are known."""


def hand_coupon_for(tools: Tools) -> HandCoupon:
    """The coupon for some tools: ten strips of five lengths, their scores spread over the board.

    Scores near the fence and far from it tell the board's scale. What lies between grooves is a
    whole mark of a rule, about halfway from one groove to the next.
    """
    grid = tools.grid_mm
    unit = tools.grid_unit or Unit.MM
    inches = unit is Unit.IN
    base, mark = (INCH, INCH / 32) if inches else (25.0, 1.0)
    step = grid or base / 5
    strips = []
    for k, (piece, (long, groove, between)) in enumerate(zip(LETTERS, SETTINGS, strict=True)):
        away = max(1, math.floor(step / 2 / mark)) * mark
        away = away if k % 2 == 0 else step - away
        strips.append(
            HandStrip(
                piece,
                round(long * base, 6),
                round(round(groove * base / step) * step, 6) if grid else None,
                round(round(between * base / step) * step + away, 6),
            )
        )
    wide = INCH if inches else 25.0
    knife = (wide,) * KNIVES
    return HandCoupon(tools.name, tuple(strips), knife, wide, unit)


def hand_rows(coupon: HandCoupon) -> tuple[dict[str, str], ...]:
    """One row for each reading to take, feature, nominal and note filled in."""
    rows = []
    for strip in coupon.strips:
        rows += _strip_rows(strip, f"piece {strip.piece}")
    for strip in coupon.strips[:AGAIN]:
        rows += _strip_rows(strip, f"piece {strip.piece}, once more after all others")
    rows += [
        empty_row(Feature.KNIFE, width, note=f"piece K{number}")
        for number, width in enumerate(coupon.knife_mm, 1)
    ]
    return tuple(rows)


def _strip_rows(strip: HandStrip, note: str) -> list[dict[str, str]]:
    rows = [empty_row(Feature.CUT, strip.length_mm, note=note)]
    for at in (strip.groove_mm, strip.between_mm):
        if at is not None:
            rows.append(empty_row(Feature.FOLD_NEAR, at, note=note))
            rows.append(empty_row(Feature.FOLD_FAR, strip.length_mm - at, note=note))
    return rows
