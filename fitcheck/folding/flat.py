"""Points and directions of many pieces in one list, coordinates first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.folding.pose import Array, Flags, Rows


def distinct(numbers: Rows) -> Rows:
    """Which whole numbers from 0 on are among numbers (n,), each once and in order.

    `numpy.unique` loads the masked arrays for it, and takes longer for a few.
    """
    return np.flatnonzero(np.bincount(numbers))


def numbered(numbers: Rows) -> tuple[Rows, Rows]:
    """Those that `distinct` finds among whole numbers (n,), and which of them each is (n,)."""
    some = distinct(numbers)
    place = np.empty(some.max(initial=-1) + 1, dtype=np.intp)
    place[some] = np.arange(len(some))
    return some, place[numbers]


def among(numbers: Rows, some: Rows) -> Flags:
    """Which of whole numbers (n,) from 0 on are among some (m,); numpy loads much for it."""
    there = np.zeros(1 + max(numbers.max(initial=-1), some.max(initial=-1)), dtype=bool)
    there[some] = True
    return there[numbers]


class Flat(NamedTuple):
    """Points or directions of many pieces, those of each behind those of the one before."""

    values: Array
    """(3, m) coordinates first, so that arithmetic runs along the pieces."""
    ends: Rows
    """(q + 1,) where each piece begins, and the end."""

    def of(self, piece: int) -> Array:
        """Those of one piece, (n, 3)."""
        found: Array = self.values[:, self.ends[piece] : self.ends[piece + 1]].T
        return found

    def take(self, rows: Rows) -> Flat:
        """Those of some pieces."""
        counts = np.diff(self.ends)[rows]
        stops = np.concatenate([[0], np.cumsum(counts)])
        places = np.arange(stops[-1]) + (self.ends[rows] - stops[:-1]).repeat(counts)
        return Flat(self.values[:, places], stops)

    def padded(self, rows: Rows) -> Array:
        """Those of some pieces, (3, w, n), the shorter ones filled up with their last."""
        counts = self.ends[rows + 1] - self.ends[rows]
        widths = np.arange(counts.max(initial=0))[:, None]
        found: Array = self.values[:, np.minimum(widths, counts - 1) + self.ends[rows]]
        return found


def joined(flats: Sequence[Flat]) -> Flat:
    """Those of all, behind each other."""
    counts = np.concatenate([np.diff(own.ends) for own in flats])
    values = np.concatenate([own.values for own in flats], axis=1)
    return Flat(values, np.concatenate([[0], np.cumsum(counts)]))
