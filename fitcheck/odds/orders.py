"""Bodies that keep the order in which they stand: how far a row of them reaches, exactly.

Two bodies are clear of each other along some axis. Pick one axis for each pair, and what is left
along each axis is a partial order: every body begins where the last one before it ends. The
longest chain is what they take up, found for any number of boxes at once by going through the
order one time. (Longest paths in an acyclic graph; nothing here knows of paper.)
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.folding.pose import Array

CLEAR_MM = 1e-3
"""Bodies that overlap by less than this as designed count as clear; in a drawn box none do."""

Pair = tuple[int, int]
Relation = NDArray[np.bool_]
"""(n, n) whether it holds from the first to the second."""


@dataclass(frozen=True, eq=False)
class Order:
    """Which bodies stand before which along one axis, each named by its nearest ones."""

    sequence: tuple[int, ...]
    """All bodies, each after those before it."""
    before: tuple[tuple[int, ...], ...]
    """(n,) those right before each."""
    after: tuple[tuple[int, ...], ...]

    @cached_property
    def reached(self) -> tuple[frozenset[int], ...]:
        """(n,) all those before each, near and far."""
        found: list[frozenset[int]] = [frozenset()] * len(self.before)
        for body in self.sequence:
            own = self.before[body]
            found[body] = frozenset(own).union(*(found[one] for one in own))
        return tuple(found)

    @property
    def last(self) -> tuple[int, ...]:
        """Those with nothing behind them."""
        return tuple(body for body, own in enumerate(self.after) if not own)

    def begins(self, low: Sequence[Array] | Array, extents: Array) -> Array:
        """Where bodies begin, (n, m) mm, that are moved up to the low side as far as they go.

        `low` (n, m) says where the first ones may begin; `extents` (n, m) is what each takes up.
        """
        found = np.empty_like(extents)
        known: dict[tuple[int, ...], Array] = {}
        for body in self.sequence:
            own = self.before[body]
            if not own:
                found[body] = low[body]
                continue
            if own not in known:
                rows = list(own)
                known[own] = (found[rows] + extents[rows]).max(axis=0)
            found[body] = known[own]
        return found

    def turned(self) -> Order:
        """The same order seen from the other side."""
        return Order(self.sequence[::-1], self.after, self.before)


def room_left(order: Order, begins: Array, extents: Array, high: Sequence[Array] | Array) -> Array:
    """What the fullest chain leaves up to the high side, (m,) mm; `high` is (n, m)."""
    found: Array = np.full(begins.shape[1], np.inf)
    for body in order.last:
        np.minimum(found, high[body] - begins[body] - extents[body], out=found)
    return found


@dataclass(frozen=True, eq=False)
class Way:
    """One way to keep all pairs apart: an order along each axis, and what is left to look at."""

    orders: tuple[Order, Order, Order]
    """Along the width, the length and upwards."""
    nestled: tuple[Pair, ...]
    """Pairs that are clear along no axis."""
    unheld: tuple[Pair, ...] = ()
    """Pairs that no order keeps apart, though they are clear as they stand."""


def ways_of(spans: Array, upwards_first: Sequence[bool]) -> tuple[Way, ...]:
    """The ways worth trying for bodies whose spans (n, 3, 2) mm are given, each another.

    Rows, in which every row goes for itself, columns, and layers for those of `upwards_first`.
    """
    clear = [_clear(spans[:, axis]) for axis in range(3)]
    found: list[Way] = []
    seen: set[bytes] = set()
    for up in upwards_first:
        for plan in ((0, 1), (1, 0)):
            chosen = _chosen(clear, (2, *plan) if up else (*plan, 2))
            if (key := chosen.tobytes()) not in seen:
                seen.add(key)
                found.append(_way(spans, clear, chosen))
    return tuple(found)


def free_way(spans: Array) -> Way | None:
    """The way that holds only pairs with no choice; None when every pair has none.

    Which pairs are apart has to be looked at in each box.
    """
    clear = [_clear(spans[:, axis]) for axis in range(3)]
    chosen = _chosen(clear, (0, 1, 2))
    several = (clear[0] | clear[0].T) & (clear[1] | clear[1].T)
    pairs = tuple((int(i), int(j)) for i, j in np.argwhere(np.triu(several)))
    if not pairs:
        return None
    return _way(spans, clear, np.where(several, -1, chosen), pairs)


def _clear(spans: Array) -> Relation:
    """(n, n) whether the first of a pair ends before the second begins; `spans` is (n, 2)."""
    clear: Relation = spans[:, None, 1] <= spans[None, :, 0] + CLEAR_MM
    return clear


def _chosen(clear: Sequence[Relation], axes: Sequence[int]) -> NDArray[np.intp]:
    """(n, n) the first axis in that order along which a pair is clear; 3 where there is none."""
    chosen = np.full(clear[0].shape, 3, dtype=np.intp)
    for axis in reversed(axes):
        chosen[clear[axis] | clear[axis].T] = axis
    return chosen


def _way(
    spans: Array,
    clear: Sequence[Relation],
    chosen: NDArray[np.intp],
    unheld: tuple[Pair, ...] = (),
) -> Way:
    width, length, up = (
        _order(spans[:, axis].mean(axis=1), clear[axis] & (chosen == axis)) for axis in range(3)
    )
    nestled = itertools.combinations(range(len(spans)), 2)
    return Way((width, length, up), tuple(p for p in nestled if chosen[p] == 3), unheld)


def _order(middles: Array, before: Relation) -> Order:
    """The order of bodies, pairs that follow from others left out."""
    step = before.astype(np.float32)
    behind = step.copy()
    for _ in range(max(1, len(middles) - 1).bit_length()):
        behind = np.minimum(behind + behind @ behind, 1.0)
    nearest = before & (step @ behind < 0.5)
    return Order(
        tuple(np.argsort(middles, kind="stable").tolist()),
        tuple(tuple(np.flatnonzero(column).tolist()) for column in nearest.T),
        tuple(tuple(np.flatnonzero(row).tolist()) for row in nearest),
    )
