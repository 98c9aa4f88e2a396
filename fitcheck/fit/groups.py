"""Pairs of pieces of many boxes, listed behind each other and grouped by their names."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from fitcheck.folding.pieces import ConvexPiece, kinds_of
from fitcheck.folding.pose import Rows

Boxes = tuple[Sequence[ConvexPiece], ...]
"""The pieces of each box."""


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

    firsts: Boxes
    seconds: Boxes
    whose: Rows
    """(n,) the box of each pair."""
    a: Rows
    """(n,) the first pieces' places among their box's."""
    b: Rows

    def take(self, rows: Rows) -> PiecePairs:
        """Some of the pairs."""
        return replace(self, whose=self.whose[rows], a=self.a[rows], b=self.b[rows])

    def first_pieces(self, rows: Rows) -> list[ConvexPiece]:
        """The first pieces of some pairs."""
        return _fetched(self.firsts, self.whose[rows], self.a[rows])

    def second_pieces(self, rows: Rows) -> list[ConvexPiece]:
        """The second pieces of some pairs."""
        return _fetched(self.seconds, self.whose[rows], self.b[rows])

    def named(self, only: Collection[tuple[str, str]]) -> Rows:
        """The pairs of some pairs of names."""
        wanted = np.array([name in only for name in self.groups.names], dtype=bool)
        return np.flatnonzero(wanted[self.groups.of])

    @cached_property
    def groups(self) -> Groups:
        """The pairs by their boxes and names, in the order of the boxes and of the parts."""
        one, firsts = _numbered(self.firsts, self.whose, self.a)
        other, seconds = _numbered(self.seconds, self.whose, self.b)
        wide, long = max(len(firsts), 1), max(len(seconds), 1)
        found, of = np.unique((self.whose * wide + one) * long + other, return_inverse=True)
        pair, inner = np.divmod(found, long)
        boxes, outer = np.divmod(pair, wide)
        names = [
            (firsts[o], seconds[i]) for o, i in zip(outer.tolist(), inner.tolist(), strict=True)
        ]
        return Groups(of, boxes, names)


def _fetched(boxes: Boxes, whose: Rows, places: Rows) -> list[ConvexPiece]:
    return [boxes[box][k] for box, k in zip(whose.tolist(), places.tolist(), strict=True)]


def _numbered(boxes: Boxes, whose: Rows, places: Rows) -> tuple[Rows, list[str]]:
    """A number (n,) for the name of each of some pieces, alike in all boxes, and the names."""
    names: dict[str, int] = {}
    every: list[Rows] = [np.zeros(0, dtype=np.intp)]
    for pieces in boxes:
        kinds, own = kinds_of(pieces)
        every.append(np.array([names.setdefault(n, len(names)) for n in own], dtype=np.intp)[kinds])
    starts = np.cumsum([len(one) for one in every])
    return np.concatenate(every)[starts[whose] + places], list(names)
