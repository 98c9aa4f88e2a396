"""Which pieces can come near each other in a turn, and when: boxes of what an interval sweeps."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.fit.groups import pieces_of_runs, runs_of_boxes
from fitcheck.fit.turn_cells import Scene
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.touching import touching

INTERVALS = 16
"""A turn is first looked at in so many intervals."""
BRIEF_RAD = 1e-6
"""A slice of a bend that is there for less than this of an interval is taken as there so long."""


@dataclass(frozen=True, eq=False)
class Cells:
    """Pairs of pieces over intervals of a turn, (n,) each."""

    a: Rows
    """The piece that stays."""
    b: Rows
    """The piece that turns."""
    group: Rows
    """The number of the box and the two names that the pair is of."""
    start: Array
    """rad"""
    stop: Array
    lower: Array
    """They are at least so far apart there, mm; negative: at most so deep in each other."""

    def __len__(self) -> int:
        return len(self.a)

    def take(self, rows: Rows | Flags) -> Cells:
        """Some of them."""
        return Cells(
            self.a[rows],
            self.b[rows],
            self.group[rows],
            self.start[rows],
            self.stop[rows],
            self.lower[rows],
        )

    def and_halves(self, rows: Rows, lower: Array) -> Cells:
        """All but some, and those as two halves each, with what is known of both."""
        rest = np.ones(len(self), dtype=bool)
        rest[rows] = False
        kept = np.concatenate([np.flatnonzero(rest), rows, rows])
        found, count = self.take(kept), len(rows)
        middle = 0.5 * (self.start[rows] + self.stop[rows])
        first = slice(len(kept) - 2 * count, len(kept) - count)
        second = slice(len(kept) - count, None)
        found.stop[first] = found.start[second] = middle
        found.lower[first] = found.lower[second] = lower
        return found


def may_meet(
    pattern: Pattern, still: Pieces, turned: Pieces, allowed: Collection[tuple[str, str]], own: int
) -> Flags:
    """Which names of what stays and of what turns must not meet, (k, l).

    The first `own` names of what stays are the pattern's own: of those, panels that touch by intent
    and what joins them are left out, as when a part is held against itself; and so are `allowed`
    pairs of a name that stays and one that turns.
    """
    near = touching(pattern)
    found = np.ones((len(still.names), len(turned.names)), dtype=bool)
    for k, (name, panels) in enumerate(still.names):
        for j, (other, others) in enumerate(turned.names):
            meant = k < own and any((one, two) in near for one in panels for two in others)
            found[k, j] = not meant and (name, other) not in allowed
    return found


class Nearby:
    """The swept boxes of a scene's pieces, each box of paper from its own low to its high angle."""

    def __init__(self, scene: Scene, low: Array, high: Array, may: Flags) -> None:
        self.scene, self.low, self.high = scene, low, high
        runs, others = scene.still.pieces.stretches, scene.turned.pieces.stretches
        a, b = runs_of_boxes(runs, others, len(low))
        wanted = may[runs.kinds[a], others.kinds[b]]
        self.runs = a[wanted], b[wanted]
        """The stretches of pieces that are paired: each pair is a group."""
        self.boxes = runs.boxes[self.runs[0]]
        """(g,) the box of each group."""

    @property
    def names(self) -> list[tuple[str, str]]:
        """What each group is named: what stays and what turns."""
        still, turned = self.scene.still.pieces, self.scene.turned.pieces
        kinds = still.stretches.kinds[self.runs[0]], turned.stretches.kinds[self.runs[1]]
        return [
            (still.names[k][0], turned.names[j][0])
            for k, j in zip(*(own.tolist() for own in kinds), strict=True)
        ]

    @cached_property
    def _nodes(self) -> Array:
        """(b, i + 1) the angles between intervals."""
        share = np.linspace(0.0, 1.0, INTERVALS + 1)
        found: Array = self.low[:, None] + (self.high - self.low)[:, None] * share
        found[:, -1] = self.high
        return found

    @cached_property
    def _still(self) -> tuple[Array, Array]:
        """The least and greatest x, y, z of what stays, (q, 3) each."""
        shapes = self.scene.still
        whose = shapes.pieces.boxes.repeat(np.diff(shapes.pieces.vertices.ends))
        ends = [
            shapes.pieces.vertices.values + shapes.rates.values * angle[whose]
            for angle in (self.low, self.high)
        ]
        starts = shapes.pieces.vertices.ends[:-1]
        low, high = np.minimum(*ends), np.maximum(*ends)
        return (
            np.minimum.reduceat(low, starts, axis=1).T,
            np.maximum.reduceat(high, starts, axis=1).T,
        )

    @cached_property
    def _turned(self) -> tuple[Array, Array]:
        """The least and greatest x, y, z of what turns in each interval, (q, i, 3) each."""
        shapes = self.scene.turned
        counts = np.diff(shapes.pieces.vertices.ends)
        starts = shapes.pieces.vertices.ends[:-1]
        whose, spin = shapes.pieces.boxes.repeat(counts), shapes.spins.repeat(counts)
        drift = self.scene.drifts_mm[whose] * spin
        lows, highs = [], []
        for angle in self._nodes[whose].T:
            x, y, z = shapes.pieces.vertices.values + shapes.rates.values * angle
            x = x - drift * angle
            cos, sin = np.cos(angle * spin), np.sin(angle * spin)
            placed = np.stack([cos * x - sin * z - drift * angle, y, sin * x + cos * z])
            lows.append(np.minimum.reduceat(placed, starts, axis=1).T)
            highs.append(np.maximum.reduceat(placed, starts, axis=1).T)
        x, _, z = shapes.pieces.vertices.values
        rate = np.hypot(shapes.rates.values[0], shapes.rates.values[2]) + drift
        far = np.hypot(x, z) + rate * (2.0 + np.pi)
        step = (self.high - self.low)[whose] / INTERVALS
        sag = np.maximum.reduceat(spin * far * step * step / 8.0, starts)
        wider = sag[:, None, None] * np.array([1.0, 0.0, 1.0])
        low, high = np.stack(lows, axis=1), np.stack(highs, axis=1)
        return (
            np.minimum(low[:, :-1], low[:, 1:]) - wider,
            np.maximum(high[:, :-1], high[:, 1:]) + wider,
        )

    def lowers(self) -> Array:
        """How far the two sides of each group are apart at least, in each interval, (g, i) mm."""
        one, other = self.scene.still.pieces.stretches, self.scene.turned.pieces.stretches
        low, high = (
            most.reduceat(own, one.ends[:-1], axis=0)
            for most, own in zip((np.minimum, np.maximum), self._still, strict=True)
        )
        lows, highs = (
            most.reduceat(own, other.ends[:-1], axis=0)
            for most, own in zip((np.minimum, np.maximum), self._turned, strict=True)
        )
        a, b = self.runs
        return _gap(low[a][:, None], high[a][:, None], lows[b], highs[b])

    def cells(self, groups: Rows, intervals: Rows, below: Array) -> Cells:
        """The pairs of pieces of some groups in an interval each that are nearer than `below`."""
        a, b = self.runs
        one, other = self.scene.still.pieces.stretches, self.scene.turned.pieces.stretches
        first, second = pieces_of_runs(one, other, a[groups], b[groups])
        wide = np.diff(one.ends)[a[groups]] * np.diff(other.ends)[b[groups]]
        rows = np.arange(len(groups)).repeat(wide)
        low, high = self._still
        lows, highs = self._turned
        at = intervals[rows]
        lower = _gap(low[first], high[first], lows[second, at], highs[second, at])
        box = self.boxes[groups][rows]
        start, stop = self._nodes[box, at], self._nodes[box, at + 1]
        since, until = (own[second] for own in self.scene.turned.present_rad)
        there = (since < stop) & (until > start)
        start = np.maximum(start, np.minimum(since, stop - BRIEF_RAD))
        stop = np.minimum(stop, np.maximum(until, start + BRIEF_RAD))
        near = np.flatnonzero((lower < below[rows]) & there)
        return Cells(
            first[near], second[near], groups[rows[near]], start[near], stop[near], lower[near]
        )


def _gap(low: Array, high: Array, lows: Array, highs: Array) -> Array:
    """How far boxes (..., 3) are apart; where they overlap, less by how much they do so least."""
    apart = np.maximum(lows - high, low - highs)
    beside = np.sqrt((np.maximum(apart, 0.0) ** 2).sum(axis=-1))
    found: Array = np.where(beside > 0.0, beside, apart.max(axis=-1))
    return found
