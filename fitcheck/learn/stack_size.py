"""How thick one sheet is, from stacks: every thickness is as likely as its rounded readings say.

A reading is the stack's height and the hand's error, rounded to the instrument's step. The scatter
of the hand is not known either: all are tried, each counting as it is likely. So a caliper read
five times gives Student's t, a ruler that shows the same half millimetre five times gives its half
step, and what lies between gives what lies between. Stacks of other sheets differ for themselves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.entries import Entry
from fitcheck.uncertainty import width_variance

Array = np.ndarray
HAND_MM = 0.0135
"""Usual scatter of one reading of a stack (common practice, no source)."""
HAND_LOG_U = 0.55
"""How well its logarithm is known beforehand."""
HIDDEN = 0.06
"""Below this share of the instrument's step all scatters are alike."""
TELLING = 3
"""With so many repeats beyond the first the scatter is taken from them alone."""
APART_MM = 0.02
"""Usual scatter of a stack's height from stack to stack: dust, and other sheets (common practice,
no source)."""
HANDS_LOG = -9.0
"""Guesses less likely than exp of this beside the best are left out."""
HANDS, APARTS, SIZES = 40, 24, 301
CLOSE, REACH = 0.02, 7.0
"""The sizes that are looked at lie closest in the middle: so many scales times sinh of up to 7."""


@dataclass(frozen=True, eq=False)
class SheetSize:
    """How likely each thickness of a sheet is."""

    sheet_mm: Array
    """(m,), rising."""
    likelihood: Array
    """(m,), 1 at most."""
    hand_mm: float
    """Scatter of one reading."""
    apart_mm: float
    """Scatter from stack to stack; 0 for a single one."""
    steps_u_mm: float
    """What the instrument's steps leave of a sheet however often it is read, where they hide the
    hand: each stack's readings are the same (JCGM 100, F.2.2.1). 0 elsewhere."""

    def interval(self, value: float = 0.0, weight: float = 0.0) -> tuple[float, float]:
        """Middle and half width of the 95 % interval, mm.

        ``value`` is what else says the thickness, mm, and ``weight`` one over its variance.
        """
        log = np.log(np.maximum(self.likelihood, 1e-300))
        log = log - 0.5 * weight * (self.sheet_mm - value) ** 2
        density = np.exp(log - log.max())
        parts = np.diff(self.sheet_mm) * (density[1:] + density[:-1]) / 2
        below = np.concatenate([[0.0], np.cumsum(parts)])
        low, high = np.interp([0.025 * below[-1], 0.975 * below[-1]], below, self.sheet_mm)
        return float(low + high) / 2, float(high - low) / 2


@dataclass(frozen=True, eq=False)
class _Stack:
    """The readings of one stack."""

    count: int
    values: Array
    """Those that differ, (k,) mm."""
    times: Array
    """How often each was read, (k,)."""
    step: Array
    """Of the instrument, (k,) mm."""

    @property
    def readings(self) -> int:
        return int(self.times.sum())

    @property
    def mean(self) -> float:
        return float(self.times @ self.values) / self.readings

    @property
    def squares(self) -> float:
        """Of the readings about their mean."""
        return float(self.times @ (self.values - self.mean) ** 2)


def sheet_size(entries: Sequence[Entry]) -> SheetSize | None:
    """What the stacks among the entries say; None where there is none."""
    stacks = _stacks(entries)
    if not stacks:
        return None
    found = _of_one(stacks[0]) if len(stacks) == 1 else _of_several(stacks)
    if any(len(one.values) > 1 for one in stacks):
        return found
    told = sum(one.count**2 / width_variance(float(one.step.max())) for one in stacks)
    return replace(found, steps_u_mm=1.0 / math.sqrt(told))


def _stacks(entries: Sequence[Entry]) -> list[_Stack]:
    stack = Feature.STACK
    groups: dict[tuple[object, int], list[tuple[float, float]]] = {}
    for entry in entries:
        if entry.feature is stack:
            stacked = (entry.piece, entry.count)
            groups.setdefault(stacked, []).extend(
                (r.reading_mm, r.resolution_mm) for r in entry.readings if r.reading_mm is not None
            )
    found = []
    for (_, count), pairs in groups.items():
        distinct, times = np.unique(np.array(pairs), axis=0, return_counts=True)
        found.append(_Stack(count, distinct[:, 0], times.astype(float), distinct[:, 1]))
    return found


def _hands(dof: int, squares: float, step: float) -> tuple[Array, Array]:
    """Scatters of a reading that are worth a look, and what is believed of each, its logarithm."""
    seen = math.sqrt(squares / dof) if dof > 0 else HAND_MM
    ends = math.log(min(step, HAND_MM, seen or HAND_MM) / 1e3), math.log(1e3 * (HAND_MM + seen))
    logs = np.linspace(*ends, 400)
    variance = np.exp(2 * logs) + width_variance(step)
    likely = _believed(np.exp(logs), dof, step) - 0.5 * (
        dof * np.log(variance) + squares / variance
    )
    worth = logs[likely > likely.max() + HANDS_LOG]
    hands = np.exp(np.linspace(worth[0], worth[-1], HANDS))
    return hands, _believed(hands, dof, step)


def _believed(hands: Array, dof: int, step: float) -> Array:
    found: Array
    if dof >= TELLING:
        # As if nothing were known, but for scatters that the steps of the instrument hide.
        found = np.log(hands / (hands + HIDDEN * step))
    else:
        found = -0.5 * ((np.log(hands) - math.log(HAND_MM)) / HAND_LOG_U) ** 2
    return found


def _of_one(stack: _Stack) -> SheetSize:
    from scipy.special import log_ndtr

    step = float(stack.step.max())
    hands, belief = _hands(stack.readings - 1, stack.squares, step)
    scale = math.hypot(math.sqrt(stack.squares / stack.readings + HAND_MM**2), step)
    scale /= math.sqrt(stack.readings) if step < HAND_MM else 1.0
    heights = stack.mean + CLOSE * scale * np.sinh(np.linspace(-REACH, REACH, SIZES))
    log = np.zeros((HANDS, SIZES))
    for value, times, own in zip(stack.values, stack.times, stack.step, strict=True):
        low = (value - own / 2 - heights[None, :]) / hands[:, None]
        high = (value + own / 2 - heights[None, :]) / hands[:, None]
        flip = low > 0
        low, high = np.where(flip, -high, low), np.where(flip, -low, high)
        upper, lower = log_ndtr(high), log_ndtr(low)
        log += times * (upper + np.log1p(-np.exp(np.minimum(lower - upper, -1e-300))))
    log += belief[:, None]
    weight = np.exp(log - log.max())
    found = weight.sum(axis=0)
    by_hand = weight @ np.gradient(heights)
    hand = float(np.exp((by_hand @ np.log(hands)) / by_hand.sum()))
    return SheetSize(heights / stack.count, found / found.max(), hand, 0.0, 0.0)


def _of_several(stacks: Sequence[_Stack]) -> SheetSize:
    counts = np.array([float(s.count) for s in stacks])
    means = np.array([s.mean for s in stacks])
    readings = np.array([float(s.readings) for s in stacks])
    step = max(float(s.step.max()) for s in stacks)
    round2 = np.array([width_variance(float(s.step.max())) for s in stacks])
    dof = int(readings.sum()) - len(stacks)
    squares = sum(s.squares for s in stacks)
    hands, belief = _hands(dof, squares, step)
    away = float(np.std(means / counts)) * float(counts.max())
    limit = math.log(max(40 * away, 20 * APART_MM))
    aparts = np.exp(np.linspace(math.log(APART_MM / 30), limit, APARTS))
    # of a half-Cauchy law, by the logarithm
    believed = np.log(aparts) - np.log1p((aparts / APART_MM) ** 2)
    s, w = np.meshgrid(hands, aparts, indexing="ij")
    total = s[..., None] ** 2 / readings + w[..., None] ** 2 + round2
    information = (counts**2 / total).sum(axis=-1)
    best = (counts * means / total).sum(axis=-1) / information
    rest = ((means - counts * best[..., None]) ** 2 / total).sum(axis=-1)
    log = -0.5 * (np.log(total).sum(axis=-1) + np.log(information) + rest)
    own = hands**2 + float(round2.max())
    log += (-0.5 * (dof * np.log(own) + squares / own) + belief)[:, None] + believed
    weight = np.exp(log - log.max())
    keep = weight > 1e-7
    middles, u, shares = best[keep], 1 / np.sqrt(information[keep]), weight[keep] / weight.sum()
    centre = float(shares @ middles)
    scale = float(np.median(u)) + float(np.abs(middles - centre).max())
    sheets = centre + CLOSE * scale * np.sinh(np.linspace(-REACH, REACH, SIZES))
    density = np.zeros(SIZES)
    for middle, each, share in zip(middles, u, shares, strict=True):
        density += share / each * np.exp(-0.5 * ((sheets - middle) / each) ** 2)
    logs = [
        (weight.sum(axis=1 - k) @ np.log(of)) / weight.sum() for k, of in enumerate((hands, aparts))
    ]
    return SheetSize(sheets, density / density.max(), math.exp(logs[0]), math.exp(logs[1]), 0.0)
