"""Bodies that nestle: as tight as they go with every pair kept apart along a direction of its own.

Two convex plans are apart when a direction is found along which they are. With the directions held
where they are best, staying apart and staying within the walls are linear in the bodies' places,
so `the growth that all bodies could still have` is a linear programme. Places that hold are a
proof that it goes; a dual solution is a proof that, along these directions, it does not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.fit.programme import least_of
from fitcheck.folding.pose import Array

Indices = NDArray[np.intp]
Reach = Callable[[int, Array], float]
"""How far a body reaches from its middle along a unit direction (2,), mm."""

MOST_TOGETHER = 24
"""Up to so many bodies all pairs are held apart, beyond that the near ones."""
ROUNDS = 40
SETTLED_MM = 1e-5
TRAINED = 24
"""Linear programmes solved beforehand for proofs that it does not go."""
SWEEPS = 8
"""Of the relaxation, before it is looked which boxes are done."""
NEAR_MM = 1.0
"""Rows that hold by more than this in all boxes are left out of the sweeps; they are checked."""
TURNS = 10
"""How often so many sweeps are made."""
OVER = 1.2
"""Over-relaxation (Agmon 1954, Motzkin and Schoenberg 1954: anything between 0 and 2 converges)."""
AIM_MM = 2e-3
"""The relaxation aims at this much room, so that it ends in finitely many sweeps."""
MOST_SOLVED = 60
"""Linear programmes for the boxes of one chunk that nothing else decides."""


@dataclass(frozen=True, eq=False)
class Contacts:
    """Pairs that are held apart, each along a direction from its first body to its second."""

    first: Indices
    """(p,) body."""
    second: Indices
    directions: Array
    """(p, 2) unit."""


def spread_out(
    middles: Array,
    pairs: Sequence[tuple[int, int]],
    reach: Reach,
    directions_of: Callable[[int, int], Sequence[Array]],
    walls: Array,
    enough_mm: float = np.inf,
) -> tuple[Array, Contacts]:
    """Drive bodies apart until none could grow any more, from where they stand, (n, 2) mm.

    `walls` (2, 2, n) has the places of the faces they stand between: side, axis, body. `pairs`
    are kept apart along the best of the directions that `directions_of` gives beside the line of
    their middles. Gives the middles and the contacts there; a local optimum, found by linear
    programmes one after the other, each of which keeps what the one before it had, up to a growth
    of `enough_mm`.
    """
    at = middles.copy()
    contacts = _contacts(at, pairs, reach, directions_of)
    best = -np.inf
    for _ in range(ROUNDS):
        plan = Plan(len(at), contacts)
        needs = _needs(plan, reach, walls)
        if float(plan.growth(at.reshape(-1, 1), needs[:, None])[0]) >= enough_mm:
            break
        stride = None
        if len(at) > MOST_TOGETHER:
            stride = 0.2 * min(reach(body, np.array([1.0, 0.0])) for body in range(len(at)))
        solved = plan.solve(needs, at, stride)
        if solved is None:
            break
        growth, at, _ = solved
        if growth >= enough_mm:
            break
        contacts = _contacts(at, pairs, reach, directions_of)
        if growth < best + SETTLED_MM:
            break
        best = growth
    return at, contacts


def _needs(plan: Plan, reach: Reach, walls: Array) -> Array:
    """The right-hand side of a plan for bodies as they are, (rows,)."""
    contacts, bodies = plan.contacts, range(plan.count)
    pairs = zip(contacts.first, contacts.second, contacts.directions, strict=True)
    apart = [reach(int(i), way) + reach(int(j), -way) for i, j, way in pairs]
    ends = []
    for axis in (0, 1):
        way = np.eye(2)[axis]
        ends += [walls[0, axis, body] + reach(body, -way) for body in bodies]
        ends += [-walls[1, axis, body] + reach(body, way) for body in bodies]
    return np.array([*apart, *ends])


def _contacts(
    at: Array,
    pairs: Sequence[tuple[int, int]],
    reach: Reach,
    directions_of: Callable[[int, int], Sequence[Array]],
) -> Contacts:
    """The pairs, of many bodies the near ones, each with the direction of its widest gap."""
    found = []
    near, radii = np.inf, np.zeros(len(at))
    if len(at) > MOST_TOGETHER:
        widest = [[max(reach(i, way), reach(i, -way)) for way in np.eye(2)] for i in range(len(at))]
        radii = np.hypot(*np.array(widest).T)
        near = float(np.min(widest))
    for i, j in pairs:
        line = at[j] - at[i]
        length = math.hypot(*line)
        if length > near + radii[i] + radii[j]:
            continue
        ways = [line / length] if length > 1e-9 else []
        ways += [way if way @ line >= 0.0 else -way for way in directions_of(i, j)]
        gaps = [float(way @ line) - reach(i, way) - reach(j, -way) for way in ways]
        best = int(np.argmax(gaps))
        if gaps[best] <= near:
            found.append((i, j, *ways[best]))
    table = np.array(found).reshape(-1, 4)
    return Contacts(table[:, 0].astype(int), table[:, 1].astype(int), table[:, 2:])


@dataclass(frozen=True, eq=False)
class Plan:
    """The linear programme of bodies in plan: pairs first, then walls: axis, side, body."""

    count: int
    contacts: Contacts

    @cached_property
    def matrix(self) -> Array:
        """(rows, 2n) of the bodies' middles: what each row has to be no less than its need."""
        pairs, n = len(self.contacts.first), self.count
        matrix = np.zeros((pairs + 4 * n, 2 * n))
        rows = np.arange(pairs)
        for axis in (0, 1):
            matrix[rows, 2 * self.contacts.first + axis] = -self.contacts.directions[:, axis]
            matrix[rows, 2 * self.contacts.second + axis] = self.contacts.directions[:, axis]
            for side, sign in enumerate((1.0, -1.0)):
                start = pairs + (2 * axis + side) * n
                matrix[start + np.arange(n), 2 * np.arange(n) + axis] = sign
        return matrix

    @cached_property
    def weights(self) -> Array:
        """(rows,) how much of a growth of all bodies each row has to bear."""
        pairs = len(self.contacts.first)
        return np.concatenate([np.ones(pairs), np.full(4 * self.count, 0.5)])

    def growth(self, at: Array, needs: Array) -> Array:
        """What bodies at (2n, m) could still grow by, (m,) mm; `needs` is (rows, m)."""
        found: Array = ((self.matrix @ at - needs) / self.weights[:, None]).min(axis=0)
        return found

    def solve(
        self, needs: Array, near: Array | None = None, stride: float | None = None
    ) -> tuple[float, Array, Array] | None:
        """The largest growth, the middles (n, 2) and the dual solution (rows,) for needs (rows,).

        With a `stride` no middle moves further than that from `near` (n, 2).
        """
        cost = np.zeros(2 * self.count + 1)
        cost[-1] = -1.0
        ends = None
        if near is not None and stride is not None:
            middles = near.ravel()
            ends = np.append(middles - stride, -np.inf), np.append(middles + stride, np.inf)
        found = least_of(cost, -np.column_stack([self.matrix, -self.weights]), -needs, ends)
        if found is None:
            return None
        return float(found.at[-1]), found.at[:-1].reshape(-1, 2), -found.prices

    @cached_property
    def _rows(self) -> list[tuple[Indices, Array, Array]]:
        """Of each row: its columns, what it has there, and how a shortfall moves those."""
        own = [(np.flatnonzero(row), row[row != 0.0]) for row in self.matrix]
        return [(columns, row, OVER * row[:, None] / float(row @ row)) for columns, row in own]

    def settle(self, at: Array, needs: Array) -> Array:
        """Move bodies at (2n, m) off each other and off the walls, row by row, (2n, m)."""
        at = at.copy()
        wanted = needs + AIM_MM * self.weights[:, None]
        near = np.flatnonzero((self.matrix @ at - wanted).min(axis=1) < NEAR_MM)
        for _ in range(SWEEPS):
            for index in near:
                columns, row, step = self._rows[index]
                short = wanted[index] - row @ at[columns]
                if short.max() > 0.0:
                    at[columns] += step * np.maximum(short, 0.0)
        return at


@dataclass(frozen=True, eq=False)
class Nestled:
    """A plan of bodies that nestle, spread out as designed, ready to be asked about many boxes."""

    plan: Plan
    at: Array
    """(2n,) the middles."""
    proofs: Array
    """(d, rows) dual solutions: each bounds the growth in every box."""

    def growths(self, needs: Array, at: Array) -> Array:
        """The growth that bodies could still have, (m,) mm, for needs (rows, m).

        `at` (2n, m) is where to begin. What is not below 0 stands for places that were found; a
        box is below 0 when a proof says so, or when the places looked at did not do.
        """
        found = self.plan.growth(at, needs)
        most = self._most(self.proofs, needs)
        open_ = np.flatnonzero((found < 0.0) & (most >= 0.0))
        moved = at[:, open_]
        for _ in range(TURNS):
            if not len(open_):
                break
            moved = self.plan.settle(moved, needs[:, open_])
            found[open_] = np.maximum(found[open_], self.plan.growth(moved, needs[:, open_]))
            left = found[open_] < 0.0
            open_, moved = open_[left], moved[:, left]
        self._solve_open(needs, found, most)
        return np.where(found < 0.0, np.minimum(np.maximum(found, most), -1e-6), found)

    def _solve_open(self, needs: Array, found: Array, most: Array) -> None:
        """Solve one open box after the other; each proof is held against all others."""
        for _ in range(MOST_SOLVED):
            open_ = np.flatnonzero((found < 0.0) & (most >= 0.0))
            if not len(open_):
                return
            box = int(open_[np.argmax(most[open_])])
            solved = self.plan.solve(needs[:, box])
            if solved is None:
                most[box] = -np.inf
                continue
            growth, middles, proof = solved
            most[open_] = np.minimum(most[open_], self._most(proof[None], needs[:, open_]))
            here = np.repeat(middles.reshape(-1, 1), len(open_), axis=1)
            found[open_] = np.maximum(found[open_], self.plan.growth(here, needs[:, open_]))
            if abs(growth) < 1e-9:
                found[box] = max(found[box], 0.0)
            if found[box] < 0.0:
                most[box] = min(most[box], -1e-9)

    @staticmethod
    def _most(proofs: Array, needs: Array) -> Array:
        found: Array = (-(proofs @ needs)).min(axis=0)
        return found


def nestled(plan: Plan, middles: Array, needs: Array, spread_mm: Array) -> Nestled:
    """A plan with proofs from boxes about as tight as they can be, off by `spread_mm` (rows,)."""
    rng = np.random.default_rng(0)
    solved = plan.solve(needs)
    proofs = []
    if solved is not None:
        tight = needs + solved[0] * plan.weights
        for off in rng.standard_normal((TRAINED, len(needs))):
            one = plan.solve(tight + off * spread_mm)
            if one is not None:
                proofs.append(one[2])
        proofs.append(solved[2])
    return Nestled(plan, middles.ravel(), np.array(proofs).reshape(-1, len(needs)))
