"""Where a drawing is parted when it is longer than a page, so that no text is cut in two."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

OVERLAP_MM = 10.0
"""Strip that two neighbouring pages both show."""
TRIES = 41

Span = tuple[float, float]


def spans(size_mm: float, room_mm: float, texts: Sequence[Span]) -> list[Span]:
    """The stretches of a drawing that its pages show, in order, overlapping each other.

    `texts` are the stretches that should each be whole on some page. One page more than needed is
    taken when that saves a text.
    """
    if size_mm <= room_mm:
        return [(0.0, size_mm)]
    least = math.ceil((size_mm - OVERLAP_MM) / (room_mm - OVERLAP_MM) - 1e-9)
    fewest = _parted(size_mm, room_mm, least, texts)
    if not _torn(fewest, texts):
        return fewest
    more = _parted(size_mm, room_mm, least + 1, texts)
    return min(fewest, more, key=lambda choice: _torn(choice, texts))


def _parted(size: float, room: float, count: int, texts: Sequence[Span]) -> list[Span]:
    """So many pages, their starts moved within the slack that there is."""
    step = room - OVERLAP_MM
    slack = count * step + OVERLAP_MM - size
    best: list[Span] = []
    least_torn = len(texts) + 1
    for start_share, shrink in itertools.product((0.0, 0.5, 1.0), range(TRIES)):
        used = slack * shrink / (TRIES - 1)
        # the slack goes partly before the first seam, partly evenly to all of them
        first = step - used * start_share
        rest = (size - OVERLAP_MM - first) / (count - 1)
        if rest > step + 1e-9 or first <= OVERLAP_MM:
            continue
        starts = [0.0, *(first + rest * n for n in range(count - 1))]
        choice = [
            (start, min(size, following + OVERLAP_MM))
            for start, following in itertools.pairwise([*starts, size - OVERLAP_MM])
        ]
        torn = _torn(choice, texts)
        if torn < least_torn:
            best, least_torn = choice, torn
        if not torn:
            break
    return best


def _torn(choice: list[Span], texts: Sequence[Span]) -> int:
    """How many texts are whole on none of the pages."""
    return sum(
        not any(start <= low and high <= stop for start, stop in choice) for low, high in texts
    )
