"""The round inside a lid's crease bites off some of its play where a rim of the base reaches it.

A rim that stands as high as the lid's floor meets the foot of the round; one that stands lower by
`d` meets it further up, so of a radius `r` it loses only `r - sqrt(2 r d - d^2)`: the place where
a corner meets a quarter round. How high each rim stands varies more than the radius does, so this
has to be worked out for every box; the radius itself goes linearly with the crease.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.odds.readings import LID, SEAT, Member, Readings


@dataclass(frozen=True)
class Round:
    """A round of the lid that one rim of the base may run into."""

    family: str
    """The travel that it ends."""
    wall: Member
    """The pair that ends the travel where the round does not."""
    rim: Member
    """The pair of the seat that tells the rim's height."""
    turn: int
    """The turn from which on there is a round."""
    growth: float
    """Radius that matters over the way beyond the turn; a rounded rim takes off its own."""


def bite(radius: Array, lower: Array) -> Array:
    """What a quarter round takes off the travel of a corner that stands lower than its foot, mm.

    >>> bite(np.array([0.2, 0.2, 0.2]), np.array([0.0, 0.05, 0.3])).round(4).tolist()
    [0.2, 0.0677, 0.0]
    """
    reached = np.minimum(lower, radius)
    off: Array = radius - np.sqrt(reached * (2.0 * radius - reached))
    return off


def radius_from(found_bite: float, lower: float) -> float:
    """The radius with that bite: the inverse of `bite`."""
    return float(found_bite + lower + np.sqrt(2.0 * found_bite * lower))


def rounds_of(
    before: Readings, beyond: Readings, way: float, turn: int, within_mm: float
) -> list[Round]:
    """The rounds that pieces meet beyond a turn, from a box that is `way` beyond it.

    `before` names the pairs that there are without it; `beyond` is read of that box.
    """
    if SEAT not in beyond:
        return []
    seat = -min(beyond[SEAT].values())
    found: dict[tuple[str, Member], Round] = {}
    for family, own in beyond.items():
        if family == SEAT or not family.startswith(f"{LID} ") or family not in before:
            continue
        for (outer, inner), travel in own.items():
            walls = [m for m in before[family] if m[1] == inner and m in own]
            rims = [m for m in before[SEAT] if m[1] == inner and m in beyond[SEAT]]
            if (outer, inner) in before[family] or not walls or not rims:
                continue
            wall = min(walls, key=own.__getitem__)
            rim = min(rims, key=beyond[SEAT].__getitem__)
            lost, lower = own[wall] - travel, seat + beyond[SEAT][rim]
            if 0.0 < lost < within_mm:
                growth = radius_from(lost, max(0.0, lower)) / way
                found[family, wall] = Round(family, wall, rim, turn, growth)
    return list(found.values())


def needed(rounds: Sequence[Round]) -> set[tuple[str, Member]]:
    """The limits that rounds are worked out from."""
    return {(one.family, one.wall) for one in rounds} | {(SEAT, one.rim) for one in rounds}
