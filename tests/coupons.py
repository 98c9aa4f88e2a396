"""Coupons that a person might make and read, from arithmetic of its own: no fit is asked.

The rows are those that `coupon` prints. What stands in them comes from closed forms written here:

    stack    ten sheets:             10 t
    channel  outside, two walls up:  d + 2 a          d: from score to score as it came out
    inside   of the same piece:      d - 2 (t - a)
    corner   two walls, tabs inside: d + 2 a + 2 p    p = give (t + joint - setback)
    hem      closed by hand:         n + fence + e    e: what stands out past the score

A score lies off by a normal error; what a whole bench shares (board, fence, joint, hem) lies
anywhere within its limits (rectangular, as JCGM 100, 4.3.7 has it, not the normal law that the fit
believes in). Every reading has the hand's own error and is rounded to the instrument's step; a
gauge goes in or does not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.paper_coupon import coupon_for, coupon_rows, gauge_rows
from fitcheck.solids.ring_gauge import gauge_features
from fitcheck.stock.tools import Tools

SCORE_MM, FENCE_U_MM, JOINT_MM, JOINT_U_MM, BOARD_U = 0.10, 0.05, 0.10, 0.03, 0.003
INCH_BOARD = Tools("inch", 3.175, SCORE_MM, 0.25, FENCE_U_MM, 0.2, JOINT_MM, JOINT_U_MM)
METRIC_BOARD = replace(INCH_BOARD, name="metric", grid_mm=5.0)
KNOWN = frozenset({"stack", "channel", "inside", "corner", "hem"})


@dataclass(frozen=True)
class Hand:
    """How a coupon is made and read."""

    tools: Tools = METRIC_BOARD
    score_mm: float = SCORE_MM
    """True scatter of one score."""
    read_mm: float = 0.02
    """True scatter of one reading of a fold."""
    stack_mm: float = 0.015
    """... and of a stack."""
    step_mm: float = 0.01
    gauged: frozenset[str] = frozenset({"inside"})
    """Features that are gauged, or letters of pieces."""
    plug_mm: float = 0.1
    """Step of the plugs."""
    stacks: int = 5
    """Readings of the stack."""
    pieces: str = "BCDEFGHK"
    grain: bool = True
    """Whether the note says how the folds run."""
    days: int = 1
    day_mm: float = 0.0
    """True scatter from day to day of every fold's width."""
    day_stack_mm: float = 0.0
    """... and of a stack's height."""


@dataclass
class Paper:
    """What is true of one paper and one bench."""

    t: float
    along: float
    across: float
    give: float
    board: float
    fence: float
    joint: float
    hem: float

    @property
    def truth(self) -> dict[str, float]:
        """By the names that a fit has for them."""
        return {
            "caliper": self.t,
            "allowance along": self.along,
            "allowance across": self.across,
            "crease allowance": self.across,
            "corner give": self.give,
        }


def paper_of(rng: np.random.Generator, *, one_allowance: bool = False) -> Paper:
    """Any paper, on any bench."""

    def within(u: float) -> float:
        return float(rng.uniform(-1.0, 1.0)) * u * math.sqrt(3)

    t = float(rng.uniform(0.18, 0.45))
    across = t * float(rng.uniform(0.35, 0.95))
    along = across if one_allowance else across - t * float(rng.uniform(-0.05, 0.2))
    hem = t * (1 - math.pi / 4) + within(0.2 * t)
    give = float(rng.uniform(0.7, 1.2))
    return Paper(
        t, along, across, give, within(BOARD_U), within(FENCE_U_MM),
        JOINT_MM + within(JOINT_U_MM), hem,
    )  # fmt: skip


@dataclass
class Bench:
    """Readings as they are taken."""

    rng: np.random.Generator
    paper: Paper
    hand: Hand
    rows: list[Reading] = field(default_factory=list)
    slip: int | None = None
    """The place of the reading that is a slip."""

    def take(self) -> list[Reading]:
        """Every coupon that the hand makes, one a day."""
        for day in range(1, self.hand.days + 1):
            shift = float(self.rng.normal(0.0, self.hand.day_mm)) if self.hand.day_mm else 0.0
            stack = float(self.rng.normal(0.0, self.hand.day_stack_mm))
            self._coupon(f"2026-11-{10 + day:02}", f"day-{day}.csv", shift, stack)
        return self.rows

    def slipped(self, by_mm: float) -> list[Reading]:
        """The rows with one of them, whichever, off by so much either way."""
        self.slip = k = int(self.rng.integers(len(self.rows)))
        off = by_mm * float(self.rng.choice([-1.0, 1.0]))
        row = self.rows[k]
        if row.reading_mm is not None:
            if row.reading_mm + off <= 0.5 and row.feature is Feature.STACK:
                off = abs(off)
            self.rows[k] = replace(row, reading_mm=row.reading_mm + off)
        else:
            assert row.go_mm is not None and row.nogo_mm is not None
            self.rows[k] = replace(row, go_mm=row.go_mm + off, nogo_mm=row.nogo_mm + off)
        return self.rows

    def _coupon(self, date: str, file: str, shift: float, stack: float) -> None:
        paper, hand = self.paper, self.hand
        apart = dict[str, float]()
        stacks = 0
        for row in coupon_rows(coupon_for("mine", hand.tools)):
            feature, note = row["feature"], row["note"]
            if feature not in KNOWN:
                continue
            piece = note.split("piece ")[1][0]
            if feature == "stack":
                stacks += 1
                if stacks <= hand.stacks:
                    size = int(row["count"]) * paper.t + stack
                    self._read(date, file, row, size, hand.stack_mm)
                continue
            if piece not in hand.pieces:
                continue
            nominal = float(row["nominal_mm"])
            if piece not in apart:
                off = float(self.rng.normal(0.0, hand.score_mm))
                if feature == "hem":
                    apart[piece] = nominal * (1 + paper.board) + off
                else:
                    off -= float(self.rng.normal(0.0, hand.score_mm))
                    apart[piece] = nominal * (1 + paper.board) + off
            size = self._size(feature, apart[piece], piece in "BCD") + shift
            if feature in hand.gauged or piece in hand.gauged:
                self._gauge(date, file, row, size)
            else:
                self._read(date, file, row, size, hand.read_mm)

    def _size(self, feature: str, apart: float, along: bool) -> float:
        paper = self.paper
        a = paper.along if along else paper.across
        push = paper.give * (paper.t + paper.joint)
        grown = {
            "channel": 2 * a,
            "inside": -2 * (paper.t - a),
            "corner": 2 * paper.across + 2 * push,  # its front and back are folded across
            "hem": paper.fence + paper.hem,
        }
        return apart + grown[feature]

    def _read(self, date: str, file: str, row: dict[str, str], size: float, u: float) -> None:
        step = self.hand.step_mm
        value = round((size + float(self.rng.normal(0.0, u))) / step) * step
        self.rows.append(self._row(date, file, row, round(value, 4), None, None))

    def _gauge(self, date: str, file: str, row: dict[str, str], size: float) -> None:
        step = self.hand.plug_mm
        met = size + float(self.rng.normal(0.0, 0.01))
        first = float(self.rng.uniform(0.0, step))
        go = math.floor((met - first) / step) * step + first
        self.rows.append(self._row(date, file, row, None, round(go, 4), round(go + step, 4)))

    def _row(
        self, date: str, file: str, row: dict[str, str], value: float | None, go: float | None,
        nogo: float | None,
    ) -> Reading:  # fmt: skip
        note = row["note"]
        if not self.hand.grain:
            note = note.replace("along", "").replace("across", "")
        number = sum(1 for one in self.rows if one.file == file) + 2
        return Reading(
            file, number, date, "kh", "caliper", self.hand.step_mm, Feature(row["feature"]),
            float(row["nominal_mm"]) if row["nominal_mm"] else None,
            int(row["count"]) if row["count"] else None, value, go, nogo, note,
        )  # fmt: skip


FOLDS = frozenset({"channel", "inside", "corner", "hem"})
HANDS: dict[str, Hand] = {
    "read": Hand(gauged=frozenset()),
    "inch board": Hand(INCH_BOARD),
    "one allowance": Hand(grain=False),
    "gauged only": Hand(gauged=FOLDS),
    "mixed": Hand(gauged=frozenset("CEHK")),
    "one slip": Hand(),
    "noise 0.25": Hand(score_mm=0.25),
    "two stacks, one channel": Hand(stacks=2, pieces="CK"),
    "two stacks, two channels": Hand(stacks=2, pieces="BCK"),
    "ruler of 0.5 mm": Hand(INCH_BOARD, step_mm=0.5, gauged=frozenset()),
    "three days": Hand(days=3, day_mm=0.10, day_stack_mm=0.02),
    "three days, no shift": Hand(days=3),
}


def coupons(scene: str, count: int, seed: int) -> Iterator[tuple[Bench, list[Reading]]]:
    """So many coupons of a scene, each of another paper and bench."""
    rng = np.random.default_rng(seed)
    hand = HANDS[scene]
    for _ in range(count):
        bench = Bench(rng, paper_of(rng, one_allowance=not hand.grain), hand)
        rows = bench.take()
        if scene == "one slip":
            rows = bench.slipped(1.0)
        yield bench, rows


PRINT_MM = 0.03
"""Scatter of one printed face to face distance."""


def printed_gauge(rng: np.random.Generator) -> tuple[list[Reading], dict[str, float]]:
    """The printed gauge of any printer, read once over, and what is true of it.

    An axis prints (1 + s) times too long, every outline stands o out and every hole h in, the
    first layer f more, and all is c too high.
    """
    sx, sy, sz = (float(rng.uniform(-0.006, 0.006)) for _ in range(3))
    o, h, f, c = (float(rng.uniform(-0.05, 0.2)) for _ in range(4))
    size = {
        "outside-x": (sx, 2 * o),
        "outside-y": (sy, 2 * o),
        "inside-x": (sx, -2 * h),
        "inside-y": (sy, -2 * h),
        "height": (sz, c),
        "first-layer": (sx, 2 * o + 2 * f),
    }
    rows = []
    for number, row in enumerate(gauge_rows(gauge_features()), 2):
        nominal = float(row["nominal_mm"])
        scale, off = size[row["feature"]]
        true = nominal * (1 + scale) + off + float(rng.normal(0.0, PRINT_MM))
        value = round((true + float(rng.normal(0.0, 0.01))) / 0.01) * 0.01
        rows.append(
            Reading(
                "gauge.csv", number, "2026-11-20", "kh", "caliper", 0.01, Feature(row["feature"]),
                nominal, None, round(value, 2), None, None, row["note"],
            )
        )  # fmt: skip
    truth = {"scale_x": sx, "scale_y": sy, "scale_z": sz}
    truth |= {"outside_offset_mm": o, "hole_offset_mm": h, "first_layer_mm": f}
    return rows, truth | {"height_offset_mm": c}
