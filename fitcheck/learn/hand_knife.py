"""Pieces between pencil marks become cuts: each cut is the edge of two pieces.

All marks are made first, so a piece is too wide by what its far cut is off less what its near cut
is: neighbours share an error with opposite signs. The first piece starts at the card's own edge.
Where every piece was read, the widths up to a cut add up to where it lies; where one is missing,
those that are left tell as many errors as there are pieces (whitened by what they share).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.entries import Entry

_NUMBER = re.compile(r"\d+")
FIRST = 1
"""The number of the piece that starts at the card's edge."""


@dataclass(frozen=True)
class Part:
    """One error of a cut, as shares of what pieces are too wide by."""

    last: Entry
    """The piece that it ends."""
    parts: tuple[tuple[float, Entry], ...]


@dataclass(frozen=True, eq=False)
class Chain:
    """Pieces of one card that follow each other."""

    pieces: tuple[Entry, ...]
    at_edge: bool
    """Whether the first of them starts at the card's edge."""

    @property
    def shares(self) -> np.ndarray:
        """What each piece counts for in each error of a cut, (n, n)."""
        return shares_of(len(self.pieces), at_edge=self.at_edge)


def cuts_of(entries: Iterable[Entry]) -> Iterator[Part]:
    """The cuts between numbered pieces of one person's card; others are cut one by one."""
    chains, alone = chains_of(entries)
    for entry in alone:
        yield Part(entry, ((1.0, entry),))
    for chain in chains:
        for last, row in zip(chain.pieces, chain.shares, strict=True):
            parts = zip(row, chain.pieces, strict=True)
            yield Part(last, tuple((float(s), p) for s, p in parts if s))


def chains_of(entries: Iterable[Entry]) -> tuple[list[Chain], list[Entry]]:
    """Numbered pieces of one person's cards as they follow each other, and those without number."""
    numbered: dict[object, dict[int, Entry]] = {}
    alone = []
    for entry in entries:
        piece = entry.readings[0].piece
        number = None if piece is None else _NUMBER.search(piece[1])
        if piece is None or number is None:
            alone.append(entry)
        else:
            card = (piece[0], piece[1].replace(number[0], "", 1))
            numbered.setdefault(card, {})[int(number[0])] = entry
    chains = [
        Chain(tuple(own[number] for number in chain), chain[0] <= FIRST)
        for own in numbered.values()
        for chain in _chains(sorted(own))
    ]
    return chains, alone


def shares_of(count: int, *, at_edge: bool) -> np.ndarray:
    """What each of so many neighbours counts for in each error of a cut, (count, count).

    >>> shares_of(3, at_edge=True).tolist()
    [[1.0, 0.0, 0.0], [1.0, 1.0, 0.0], [1.0, 1.0, 1.0]]
    >>> float(shares_of(1, at_edge=False)[0, 0] ** -2).__round__(6)
    2.0
    """
    shared = 2 * np.eye(count) - np.eye(count, k=1) - np.eye(count, k=-1)
    shared[0, 0] = 1.0 if at_edge else 2.0
    found: np.ndarray = np.linalg.inv(np.linalg.cholesky(shared))
    return found


def _chains(numbers: Sequence[int]) -> list[list[int]]:
    """Numbers that follow each other."""
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return found
