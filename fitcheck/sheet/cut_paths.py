"""Cuts that go on from one to the next, as one path: from corner to corner round what they part.

An outline of many short lines is told so: where it begins, and to which mark it goes each time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.pattern.sheet import Fence, Sheet
from fitcheck.sheet.cuts import CutLine, Found
from fitcheck.sheet.mark_text import LEVEL, UPRIGHT, Edges, mark_words
from fitcheck.sheet.marks import Mark
from fitcheck.units import Unit

MOST_CORNERS = 5
"""A path that comes back to the score it began at after so many ends there, and goes on as another
one."""
DIGITS = 3
Spot = tuple[Mark, Mark]
"""A corner by its mark across the sheet and its mark along it."""


@dataclass(frozen=True)
class CutPath:
    """Straight cuts from corner to corner, alike at both of two edges that lie opposite."""

    spots: tuple[Spot, ...]

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All that it is found by."""
        return tuple(mark for spot in self.spots for mark in spot)


def paths_of(found: Sequence[Found]) -> tuple[tuple[CutPath, ...], tuple[Found, ...]]:
    """The paths at both the top and the bottom edge, and the lines that are in none."""
    low = {_key(line): line for line in found if _level(line) == {Fence.BOTTOM}}
    high = {_key(line) for line in found if _level(line) == {Fence.TOP}}
    own = [line for key, line in low.items() if key in high and isinstance(line, CutLine)]
    keys = {_key(line) for line in own}
    rest = [line for line in found if _key(line) not in keys]
    paths: list[CutPath] = []
    for chain in _chains(own):
        lines = [line for line in chain.lines if not line.jog]
        if len(lines) > 1:
            paths += [CutPath(tuple(piece)) for piece in _pieces(_told(chain.spots))]
        else:
            same = {_key(line) for line in lines}
            rest += [line for line in found if _key(line) in same]
    return tuple(paths), tuple(rest)


def path_words(path: CutPath, sheet: Sheet, unit: Unit) -> str:
    """A path in one line; it is cut alike at the top and the bottom edge."""
    edges = Edges(sheet, LEVEL)
    across, along = path.spots[0]
    words = [
        f"from where {mark_words(across, edges, unit, point=True)} "
        f"meets {mark_words(along, edges, unit, point=True)}"
    ]
    for (x, y), (u, v) in zip(path.spots, path.spots[1:], strict=False):
        goes_across = abs(x.at_mm - u.at_mm) > 10.0**-DIGITS or x.fence is not u.fence
        assert goes_across or y.at_mm != v.at_mm
        words.append(f"to {mark_words(u if goes_across else v, edges, unit, point=True)}")
    return ", ".join(words)


def _level(line: Found) -> set[Fence]:
    """The edges that it is found from along the sheet."""
    return {mark.fence for mark in line.marks} & LEVEL


def _key(line: Found) -> tuple[object, ...]:
    """The same for a line and for that which lies opposite, at the top or the bottom edge."""
    return type(line), *sorted(
        (mark.fence if mark.fence in UPRIGHT else "level", round(mark.at_mm, DIGITS))
        for mark in line.marks
    )


@dataclass
class _Chain:
    lines: list[CutLine]
    spots: list[Spot]


def _chains(lines: Sequence[CutLine]) -> Iterator[_Chain]:
    """Lines that go on from one to the next, begun where one ends or several meet."""
    at: dict[object, list[CutLine]] = {}
    for line in lines:
        for spot in _ends(line):
            at.setdefault(_node(spot), []).append(line)
    left = list(lines)
    order = sorted(lines, key=lambda line: min(len(at[_node(s)]) == 2 for s in _ends(line)))
    for first in order:
        if first not in left:
            continue
        start, stop = _ends(first)
        if len(at[_node(start)]) == 2 and len(at[_node(stop)]) != 2:
            start, stop = stop, start
        left.remove(first)
        chain = _Chain([first], [start, stop])
        while len(at[_node(chain.spots[-1])]) == 2:
            following = [line for line in at[_node(chain.spots[-1])] if line in left]
            if not following:
                break
            (line,) = following
            left.remove(line)
            one, other = _ends(line)
            going = _node(one) == _node(chain.spots[-1])
            chain.lines.append(line)
            chain.spots.append(other if going else one)
        yield chain


def _ends(line: CutLine) -> tuple[Spot, Spot]:
    if line.at.fence in UPRIGHT:
        return (line.at, line.start), (line.at, line.stop)
    return (line.start, line.at), (line.stop, line.at)


def _node(spot: Spot) -> object:
    return tuple((mark.fence, round(mark.at_mm, DIGITS)) for mark in spot)


def _told(spots: Sequence[Spot]) -> list[Spot]:
    """The corners that a hand can tell apart."""
    found = [spots[0]]
    for across, along in spots[1:]:
        before = found[-1]
        if _one(across, before[0]) and _one(along, before[1]):
            continue
        # a jog of a hair is not told: the path goes on at the mark where it was
        found.append(
            (before[0] if _one(across, before[0]) else across,
             before[1] if _one(along, before[1]) else along)
        )  # fmt: skip
    return found


def _one(mark: Mark, other: Mark) -> bool:
    """Whether a hand finds two marks at one place."""
    return mark.same(other) or (
        mark.fence is other.fence and round(mark.at_mm - other.at_mm, DIGITS) == 0.0
    )


def _pieces(spots: list[Spot]) -> Iterator[list[Spot]]:
    """A long path in pieces, each round one thing."""
    while len(spots) > MOST_CORNERS + 1:
        stop = next(
            (
                k
                for k in range(MOST_CORNERS - 1, len(spots) - 2)
                if spots[k][1].score and _one(spots[k][1], spots[k + 1][1])
            ),
            None,
        )
        if stop is None:
            break
        yield spots[: stop + 1]
        spots = spots[stop:]
    yield spots
