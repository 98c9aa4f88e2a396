"""The points that cells are made of: corners, facets of arcs, and places between them.

Each hangs on two corners of the pattern and goes with them wherever errors move those.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from fitcheck.arcs import facet_weights
from fitcheck.folding.borders import SAME_MM
from fitcheck.folding.pose import Array
from fitcheck.pattern.boundary import Ring
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Corner, Line, Sheet

STRAIGHT = 0.02
"""Where two cells are joined their outline turns by more than this (rad): an arc begins a cell."""
STEADY_MM = 1.0
"""Where two cells are joined their outline still turns the same way after an error of a hand of as
much, in all the lines together that its corners hang on: four or five standard errors of one."""


class CellPoints:
    """The corners of boundaries and the facets between them, each once."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.corners: dict[Corner, int] = {}
        self.ends: list[tuple[int, int]] = []
        self.weights: list[complex] = []
        self.spots: list[complex] = []
        """As drawn."""
        self.arcs: list[set[object]] = []
        """The arcs that each lies on."""
        self._known: dict[Corner, int] = {}
        self._by_corner: dict[int, dict[Line, complex]] = {}

    def corner(self, corner: Corner, *arcs: object) -> int:
        """The point that a corner is."""
        if corner not in self._known:
            place = self.corners.setdefault(corner, len(self.corners))
            self._by_corner[place] = self._moves_of(corner)
            self._known[corner] = self._add(place, place, 0j, self._spot(corner))
        self.arcs[self._known[corner]].update(arcs)
        return self._known[corner]

    def ring(self, ring: Ring) -> list[int]:
        """The points round a ring."""
        found = []
        for stretch in ring:
            start, stop, bulge, _ = stretch
            own = (stretch,) if bulge else ()
            found.append(self.corner(start, *own))
            self.corner(stop, *own)
            a, b = self._spot(start), self._spot(stop)
            for w in facet_weights((a.real, a.imag), (b.real, b.imag), bulge):
                at = self._add(self.corners[start], self.corners[stop], w, a + w * (b - a))
                self.arcs[at].update(own)
                found.append(at)
        return found

    def found(self, spots: Array, rings: Sequence[Sequence[int]]) -> list[int]:
        """The points at some spots round a polygon, anticlockwise; a new one lies on a ring."""
        ring = [self._at(complex(x, y), rings) for x, y in spots.tolist()]
        sides = itertools.pairwise([*ring, ring[0]])
        area = sum((self.spots[a].conjugate() * self.spots[b]).imag for a, b in sides)
        return ring if area > 0.0 else ring[::-1]

    def _at(self, spot: complex, rings: Sequence[Sequence[int]]) -> int:
        near = np.abs(np.array(self.spots) - spot)
        best = int(near.argmin())
        if near[best] < SAME_MM:
            return best
        for ring in rings:
            for a, b in itertools.pairwise([*ring, ring[0]]):
                share = (spot - self.spots[a]) / (self.spots[b] - self.spots[a])
                off = abs(share.imag) * abs(self.spots[b] - self.spots[a])
                if off < SAME_MM and 0.0 < share.real < 1.0:
                    return self._along(a, b, share.real)
        raise ValueError("a cell's corner lies on no edge of its panel")

    def _along(self, a: int, b: int, share: float) -> int:
        """A point of the straight way between two points next to each other on a boundary."""
        ends = next((own for own in (self.ends[a], self.ends[b]) if own[0] != own[1]), None)
        if ends is None:
            ends = self.ends[a][0], self.ends[b][0]
        at = [self._weight_in(k, ends) for k in (a, b)]
        spot = self.spots[a] + share * (self.spots[b] - self.spots[a])
        found = self._add(*ends, at[0] + share * (at[1] - at[0]), spot)
        self.arcs[found] |= self.arcs[a] & self.arcs[b]
        return found

    def _weight_in(self, point: int, ends: tuple[int, int]) -> complex:
        """Where a point lies between two corners; it is one of them, or hangs on both."""
        own = self.ends[point]
        if own == ends:
            return self.weights[point]
        return 0j if own[0] == ends[0] else 1.0 + 0j

    def _add(self, start: int, stop: int, weight: complex, spot: complex) -> int:
        self.ends.append((start, stop))
        self.weights.append(weight)
        self.spots.append(spot)
        self.arcs.append(set())
        return len(self.spots) - 1

    def _spot(self, corner: Corner) -> complex:
        return complex(*self.sheet.place(corner, {}))

    def stays_convex(self, before: int, at: int, after: int) -> bool:
        """Whether a corner of a cell stays one, wherever errors move what it hangs on."""
        turn = self._turn_mm2(before, at, after)
        if self.arcs[before] & self.arcs[at] & self.arcs[after]:
            return turn > 0.0
        come, go = self.spots[at] - self.spots[before], self.spots[after] - self.spots[at]
        corner = turn > STRAIGHT * abs(come) * abs(go)
        return corner and self.steady_mm(before, at, after) > STEADY_MM

    def steady_mm(self, before: int, at: int, after: int) -> float:
        """The error at which a way no longer turns to the left at a point; below 0 it never does.

        Errors in several lines are taken as one, the root of the sum of their squares.
        """
        come, go = self.spots[at] - self.spots[before], self.spots[after] - self.spots[at]
        first, own, last = (self._moves(point) for point in (before, at, after))
        fastest = 0.0
        for line in {*first, *own, *last}:
            there, here, beyond = (moves.get(line, 0j) for moves in (first, own, last))
            change = (here - there).conjugate() * go + come.conjugate() * (beyond - here)
            fastest += change.imag**2
        turn = self._turn_mm2(before, at, after)
        return turn / math.sqrt(fastest) if fastest else math.copysign(math.inf, turn)

    def _turn_mm2(self, before: int, at: int, after: int) -> float:
        """Twice the area of a triangle, less than nothing where its way turns to the right."""
        come, go = self.spots[at] - self.spots[before], self.spots[after] - self.spots[at]
        return (come.conjugate() * go).imag

    def _moves(self, point: int) -> dict[Line, complex]:
        """How far each line takes a point with it, mm for each mm of its error."""
        start, stop = (self._by_corner[own] for own in self.ends[point])
        weight = self.weights[point]
        found: dict[Line, complex] = {}
        for moves, share in ((start, 1.0 - weight), (stop, weight)):
            for line, move in moves.items():
                found[line] = found.get(line, 0j) + share * move
        return found

    def _moves_of(self, corner: Corner) -> dict[Line, complex]:
        """How far each line takes a corner with it."""
        lines = {corner.x, corner.y, WIDTH_EDGE, LENGTH_EDGE, corner.cut_x, corner.cut_y} - {None}
        drawn = self._spot(corner)
        return {
            line: complex(*self.sheet.place(corner, {line: 1.0})) - drawn for line in lines if line
        }
