"""The room that each of several contents has itself: only what it has to push along counts.

Along an axis a body pushes what stands beside it at its own height and in its way, and that pushes
on in turn. What lies over or under it stays where it is.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.fit.cavity import Cavity
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.packing.placing import Placement, extents

Pair = tuple[float, float]


def own_rooms(
    cavity: Cavity, every: Sequence[Placement], together_mm: Pair
) -> dict[str, tuple[float, float]]:
    """How far each item may move along width and length, mm, all of its pieces as one.

    `together_mm` is what all of them have as one: none of them has less.
    """
    known: dict[frozenset[int], Pair] = {frozenset(range(len(every))): together_mm}
    boxes = np.array([(*extents(one), one.z_mm, one.top_mm) for one in every])
    low, high = boxes[:, [0, 1, 4]], boxes[:, [2, 3, 5]]
    # (n, n, 3): whether two share a stretch of each axis
    shared = np.minimum(high[:, None], high) - np.maximum(low[:, None], low) > TOUCH_MM

    def room(item: str, axis: int) -> float:
        moved = _pushed(
            [one.item == item for one in every], shared[:, :, 1 - axis] & shared[..., 2]
        )
        if moved not in known:
            plays = cavity.passage([every[k] for k in sorted(moved)]).play_mm
            known[moved] = plays
        return max(known[moved][axis], together_mm[axis])

    return {item: (room(item, 0), room(item, 1)) for item in dict.fromkeys(p.item for p in every)}


def _pushed(own: Sequence[bool], beside: np.ndarray) -> frozenset[int]:
    """What moves with some bodies; `beside` (n, n) tells which stand in each other's way."""
    moved = np.array(own)
    while True:
        more = moved | beside[moved].any(axis=0)
        if (more == moved).all():
            return frozenset(np.flatnonzero(moved).tolist())
        moved = more
