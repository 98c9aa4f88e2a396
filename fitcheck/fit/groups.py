"""Pairs of pieces of many boxes, listed behind each other and grouped by their names."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.places import Stretches
from fitcheck.folding.pose import Flags, Rows


class Groups(NamedTuple):
    """Pairs that have their box and both their names in common."""

    of: Rows
    """(n,) the group of each pair."""
    boxes: Rows
    """(g,) whose each group is."""
    names: list[tuple[str, str]]


@dataclass(frozen=True, eq=False)
class PiecePairs:
    """Pairs of a first and a second piece of the same box."""

    firsts: Pieces
    seconds: Pieces
    a: Rows
    """(n,) the first pieces' places among all."""
    b: Rows

    @classmethod
    def of(cls, firsts: Sequence[ConvexPiece], seconds: Sequence[ConvexPiece]) -> PiecePairs:
        """`firsts[k]` with `seconds[k]`, all of one box."""
        every = np.arange(len(firsts))
        return cls(Pieces.joined([firsts]), Pieces.joined([seconds]), every, every)

    def __len__(self) -> int:
        return len(self.a)

    @property
    def whose(self) -> Rows:
        """(n,) the box of each pair."""
        found: Rows = self.firsts.boxes[self.a]
        return found

    def take(self, rows: Rows) -> PiecePairs:
        """Some of the pairs."""
        return replace(self, a=self.a[rows], b=self.b[rows])

    def first_pieces(self, rows: Rows) -> list[ConvexPiece]:
        """The first pieces of some pairs."""
        return [self.firsts[k] for k in self.a[rows].tolist()]

    def second_pieces(self, rows: Rows) -> list[ConvexPiece]:
        """The second pieces of some pairs."""
        return [self.seconds[k] for k in self.b[rows].tolist()]

    @cached_property
    def groups(self) -> Groups:
        """The pairs by their boxes and names, in the order of the boxes and of the parts."""
        firsts, seconds = ([name for name, _ in own.names] for own in (self.firsts, self.seconds))
        wide, long = max(len(firsts), 1), max(len(seconds), 1)
        one, other = self.firsts.kinds[self.a], self.seconds.kinds[self.b]
        found, of = np.unique((self.whose * wide + one) * long + other, return_inverse=True)
        pair, inner = np.divmod(found, long)
        boxes, outer = np.divmod(pair, wide)
        names = [
            (firsts[o], seconds[i]) for o, i in zip(outer.tolist(), inner.tolist(), strict=True)
        ]
        return Groups(of, boxes, names)


def kinds_asked(one: Pieces, other: Pieces, names: Collection[tuple[str, str]]) -> Flags:
    """Which pairs of kinds of two lists are among pairs of names, (k, l)."""
    asked = [[(first, second) in names for second, _ in other.names] for first, _ in one.names]
    return np.array(asked, dtype=bool).reshape(len(one.names), len(other.names))


def runs_of_boxes(one: Stretches, other: Stretches, boxes: int) -> tuple[Rows, Rows]:
    """All plates and whole bends of one list with all of the other, box by box."""
    every = np.arange(boxes)
    ends = [
        (np.searchsorted(own.boxes, every), np.searchsorted(own.boxes, every, side="right"))
        for own in (one, other)
    ]
    return _every_pair(*ends)


def pieces_of_runs(one: Stretches, other: Stretches, a: Rows, b: Rows) -> tuple[Rows, Rows]:
    """All pieces of some plates and bends with all of those that they are paired with."""
    return _every_pair((one.ends[a], one.ends[a + 1]), (other.ends[b], other.ends[b + 1]))


def _every_pair(a_ends: tuple[Rows, Rows], b_ends: tuple[Rows, Rows]) -> tuple[Rows, Rows]:
    """All places of one run with all of another, run by run.

    Each side is given by where its runs start and stop, (n,) each.
    """
    (a_start, a_stop), (b_start, b_stop) = a_ends, b_ends
    wide = b_stop - b_start
    counts = (a_stop - a_start) * wide
    runs = np.arange(len(counts)).repeat(counts)
    at = np.arange(len(runs)) - (np.cumsum(counts) - counts)[runs]
    a, b = np.divmod(at, wide[runs])
    return a_start[runs] + a, b_start[runs] + b
