"""Hands and boards that are known exactly: their coupons read, by plain arithmetic."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.hand_coupon import hand_coupon_for, hand_rows
from fitcheck.stock.tools import Tools

BOARD = Tools("board", 5.0, 0.10, 0.25, 0.05, 0.20, 0.10, 0.03)
PIECE = re.compile(r"piece (\w+)")


@dataclass(frozen=True)
class Truth:
    """What one person's hand and board really do, mm."""

    cut_mm: float = -0.12
    cut_s: float = 0.17
    fence_mm: float = 0.06
    scale: float = 0.0015
    groove_s: float = 0.08
    between_mm: float = 0.10
    between_s: float = 0.22
    knife_s: float = 0.28
    day_s: float = 0.0
    """How much the fence and the trimmer's stop shift from day to day."""
    read_s: float = 0.01
    step_mm: float = 0.01
    flat: bool = False
    """Read with a ruler, flat, instead of folded and gripped."""


@dataclass
class Bench:
    """Coupons that are made and read one after the other."""

    rng: np.random.Generator
    rows: list[Reading] = field(default_factory=list)

    def coupon(self, truth: Truth, by: str = "MK", day: str = "2026-11-20") -> None:
        """Make one coupon and read it."""
        rng, file = self.rng, f"tools-board-{len(self.rows):04d}.csv"
        shift_cut, shift_fence = rng.normal(0.0, truth.day_s, 2) if truth.day_s else (0.0, 0.0)
        lengths: dict[str, tuple[float, float]] = {}
        places: dict[tuple[str, float], tuple[float, float]] = {}
        off_mark = 0.0
        for number, row in enumerate(hand_rows(hand_coupon_for(BOARD)), 2):
            piece, nominal = PIECE.search(row["note"])[1], float(row["nominal_mm"])  # type: ignore[index]
            feature = Feature(row["feature"])
            if feature is Feature.KNIFE:
                before, off = off_mark, rng.normal(0.0, truth.knife_s)
                off_mark = off  # marks were made first: a piece lies between two cuts
                value = nominal + off - before
            elif feature is Feature.CUT:
                made = nominal + truth.cut_mm + shift_cut + rng.normal(0.0, truth.cut_s)
                value = lengths.setdefault(piece, (nominal, made))[1]
            else:
                long, made = lengths[piece]
                at = nominal if feature is Feature.FOLD_NEAR else long - nominal
                if (piece, round(at, 3)) not in places:
                    off = truth.fence_mm + shift_fence + truth.scale * at
                    if abs(at / 5.0 - round(at / 5.0)) < 0.01:
                        off += rng.normal(0.0, truth.groove_s)
                    else:
                        off += truth.between_mm + rng.normal(0.0, truth.between_s)
                    places[piece, round(at, 3)] = at + off, 0.13 + rng.normal(0.0, 0.02)
                lies, gap = places[piece, round(at, 3)]
                value = lies + gap if feature is Feature.FOLD_NEAR else made - lies + gap
                if truth.flat:
                    if feature is Feature.FOLD_FAR:
                        continue
                    feature, value = Feature.SCORE, lies
            read = value + rng.normal(0.0, truth.read_s)
            read = round(read / truth.step_mm) * truth.step_mm
            instrument = "ruler" if truth.flat else "caliper"
            self.rows.append(
                Reading(
                    file, number, day, by, instrument, truth.step_mm, feature, nominal, None,
                    read, None, None, row["note"],
                )
            )  # fmt: skip
