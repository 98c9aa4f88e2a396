"""Two readings that cannot be true, each of them where the other one should be: an exchange."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.possible_readings import range_mm

ENDS = frozenset({Feature.FOLD_NEAR, Feature.FOLD_FAR})


def cures_of(misread: Sequence[Reading]) -> Iterator[tuple[int, str]]:
    """What to do about readings out of their range that stand in each other's: place and words."""
    left = list(range(len(misread)))
    while left:
        own = left.pop(0)
        others = [k for k in left if _stand_in(misread[own], misread[k])]
        if not others:
            continue
        other = min(others, key=lambda k: abs(misread[k].row - misread[own].row))
        left.remove(other)
        yield own, _words(misread[own], misread[other])
        yield other, _words(misread[other], misread[own])


def _stand_in(one: Reading, other: Reading) -> bool:
    """Whether each would be possible in the other's row, of the same piece of the same thing."""
    if one.kind is not other.kind or one.piece != other.piece:
        return False
    return _possible(one, other) and _possible(other, one)


def _possible(row: Reading, read: Reading) -> bool:
    low, high = range_mm(row)
    return read.reading_mm is not None and low <= read.reading_mm <= high


def _words(own: Reading, other: Reading) -> str:
    words = f"exchanged with row {other.row}? {own.reading_mm:g} mm belongs there"
    if own.feature in ENDS and other.feature in ENDS:
        return (
            f"{words}: write each in its own row; or was the fold read or scored from the other "
            "end of the strip? then make and read it as the sheet says"
        )
    return f"{words}; write each in its own row"
