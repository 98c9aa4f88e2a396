"""How many rectangles a trimmer gets out of a sheet: cuts from edge to edge only, counted exactly.

No packing or constraint library gives guillotine optima (their rectangles may lie in a pinwheel,
which no trimmer can cut), so this is the dynamic program of Gilmore and Gomory (1966) over the
normal positions of Herz (1972): a cut need only lie where piece sides laid end to end reach.
All sizes are whole numbers of a step (micrometres), so nothing is lost to rounding of floats.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

STEP_MM = 0.001
"""Sizes are taken to this step; half of it is far below what a blade can do."""

Size = tuple[int, int]
Counts = tuple[int, ...]


class TooManyPositions(Exception):
    """The pieces are so small for the sheet that counting all mixtures would take too long."""


def in_steps(mm: float) -> int:
    """A length as a whole number of steps."""
    return round(mm / STEP_MM)


def most_pieces(sheet: Size, ways: Iterable[Size], limit: int | None = None) -> int:
    """The largest number of pieces; `ways` are the sizes in which a piece may lie.

    Raises TooManyPositions when there are more than `limit` sums to look at.

    >>> most_pieces((5, 5), [(3, 2), (2, 3)])
    3
    """
    ways = sorted({way for way in ways if _fits(way, sheet)})
    # so many along one side alone are too many sums
    most = None if limit is None else math.isqrt(2 * limit) + 1
    across = _positions(sheet[0], {width for width, _ in ways}, most)
    along = _positions(sheet[1], {length for _, length in ways}, most)
    sums = len(across) * len(along) * (len(across) + len(along)) // 2
    if limit is not None and sums > limit:
        raise TooManyPositions(f"{len(across)} x {len(along)} positions")
    best = np.zeros((len(across), len(along)), dtype=np.int64)
    for width, length in ways:
        best[bisect.bisect_left(across, width) :, bisect.bisect_left(along, length) :] = 1
    halves = [_halves(along, column) for column in range(len(along))]
    for row in range(len(across)):
        one, other = _halves(across, row)
        if len(one):
            best[row] = np.maximum(best[row], (best[one] + best[other]).max(axis=0))
        line = best[row]
        for column, (one, other) in enumerate(halves):
            if len(one):
                line[column] = max(line[column], int((line[one] + line[other]).max()))
    return int(best[-1, -1])


def _halves(positions: list[int], number: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Every cut of a rest that is worth trying, as the numbers of the two rests it leaves."""
    size = positions[number]
    cuts = range(1, bisect.bisect_right(positions, size // 2))
    rests = [bisect.bisect_right(positions, size - positions[cut]) - 1 for cut in cuts]
    return np.array(cuts, dtype=np.intp), np.array(rests, dtype=np.intp)


def at_least(sheet: Size, ways: Iterable[Size]) -> int:
    """Pieces that full strips give, each strip of one way: quick, and never more than the most.

    >>> at_least((22, 16), [(5, 3), (3, 5)])
    22
    """
    ways = list(ways)
    turned = (sheet[1], sheet[0])
    return max(_strips(sheet, ways), _strips(turned, [(length, width) for width, length in ways]))


def _strips(sheet: Size, ways: list[Size]) -> int:
    """Strips across the sheet: so many of the one way, the rest of the other."""
    best = 0
    for (width, length), (other_width, other_length) in itertools.product(ways, ways):
        for strips in range(sheet[1] // length + 1):
            rest = sheet[1] - strips * length
            best = max(
                best,
                strips * (sheet[0] // width) + (rest // other_length) * (sheet[0] // other_width),
            )
    return best


def mixtures(
    sheet: Size, kinds: Sequence[Iterable[Size]], limit: int | None = None
) -> frozenset[Counts]:
    """All mixtures of several kinds of piece that can be cut, none of them beaten by another.

    One count for each kind. Raises TooManyPositions when there are more than `limit` pairs of
    positions to look at.
    """
    table = _Table(sheet, [tuple(sorted(set(ways))) for ways in kinds], limit)
    if limit is not None and len(table.across) * len(table.along) > limit:
        raise TooManyPositions(f"{len(table.across)} x {len(table.along)} positions")
    return table.best(sheet)


@dataclass
class _Table:
    """What has been found for each size of rest, sizes brought down to normal positions."""

    sheet: Size
    kinds: list[tuple[Size, ...]]
    limit: int | None = None
    """Positions along one side beyond which TooManyPositions is raised."""

    def __post_init__(self) -> None:
        sizes = [way for ways in self.kinds for way in ways if _fits(way, self.sheet)]
        self.across = _positions(self.sheet[0], {width for width, _ in sizes}, self.limit)
        self.along = _positions(self.sheet[1], {length for _, length in sizes}, self.limit)
        self.found: dict[Size, frozenset[Counts]] = {}

    def best(self, rest: Size) -> frozenset[Counts]:
        """The unbeaten mixtures from a rest, found once and kept."""
        width, length = _down(rest[0], self.across), _down(rest[1], self.along)
        key = (width, length)
        if key not in self.found:
            self.found[key] = self._cut(width, length)
        return self.found[key]

    def _cut(self, width: int, length: int) -> frozenset[Counts]:
        found = {tuple(0 for _ in self.kinds)}
        for number, ways in enumerate(self.kinds):
            if any(_fits(way, (width, length)) for way in ways):
                found.add(tuple(int(n == number) for n in range(len(self.kinds))))
        for at in _first_half(self.across, width):
            found |= _sums(self.best((at, length)), self.best((width - at, length)))
        for at in _first_half(self.along, length):
            found |= _sums(self.best((width, at)), self.best((width, length - at)))
        return unbeaten(found)


def _fits(way: Size, room: Size) -> bool:
    return way[0] <= room[0] and way[1] <= room[1]


def _positions(size: int, sides: Iterable[int], most: int | None = None) -> list[int]:
    """Where sides laid end to end reach, 0 included, up to the size.

    Raises TooManyPositions as soon as there are more than `most`.
    """
    reached = {0}
    frontier = {0}
    while frontier:
        frontier = {at + side for at in frontier for side in sides if at + side <= size} - reached
        reached |= frontier
        if most is not None and len(reached) > most:
            raise TooManyPositions(f"more than {most} positions")
    return sorted(reached)


def _down(size: int, positions: list[int]) -> int:
    return positions[bisect.bisect_right(positions, size) - 1]


def _first_half(positions: list[int], size: int) -> list[int]:
    """Cuts worth trying: beyond the middle the two rests only change places."""
    return positions[1 : bisect.bisect_right(positions, size // 2)]


def _sums(one: frozenset[Counts], two: frozenset[Counts]) -> set[Counts]:
    return {tuple(a + b for a, b in zip(x, y, strict=True)) for x in one for y in two}


def unbeaten(found: Collection[Counts]) -> frozenset[Counts]:
    """Those mixtures of which no other one has as many of every kind."""
    return frozenset(
        x
        for x in found
        if not any(y != x and all(b >= a for a, b in zip(x, y, strict=True)) for y in found)
    )
