"""Many alike in piles: each pile is packed as one body, then taken apart again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from fitcheck.kinds.poses import Pose
from fitcheck.packing.placing import TOUCH_MM, Demand, Placement
from fitcheck.packing.room import Room
from fitcheck.packing.rows import MOST_BY_CORNERS, by_corners


def in_piles(
    room: Room, demands: Sequence[Demand], most_piles: int = MOST_BY_CORNERS
) -> tuple[Placement, ...] | None:
    """Piles as high as the room takes, in each demand's lowest pose; None when that fails."""
    if max(demand.count for demand in demands) == 1:
        return None
    piles: list[Demand] = []
    contents: dict[str, tuple[Demand, int]] = {}
    for demand in demands:
        low = min(pose.height_mm for pose in demand.poses)
        lowest = [pose for pose in demand.poses if pose.height_mm == low]
        most = demand.count
        if not math.isinf(room.height_mm):
            most = min(most, math.floor((room.height_mm + TOUCH_MM) / low))
        if most == 0:
            return None
        full, rest = divmod(demand.count, most)
        for each, count in ((most, full), (rest, 1)):
            if each and count:
                key = f"pile {len(piles)}"
                piles.append(Demand(key, tuple(_pile(pose, each) for pose in lowest), count))
                contents[key] = (demand, each)
    packed = by_corners(room, piles, most_piles)
    if packed is None:
        return None
    return tuple(body for pile in packed for body in _apart(pile, *contents[pile.item]))


def _pile(pose: Pose, count: int) -> Pose:
    return replace(pose, height_mm=pose.height_mm * count)


def _apart(pile: Placement, demand: Demand, count: int) -> list[Placement]:
    height = pile.pose.height_mm / count
    pose = next(p for p in demand.poses if _pile(p, count) == pile.pose)
    return [
        replace(pile, item=demand.item, pose=pose, z_mm=pile.z_mm + k * height)
        for k in range(count)
    ]
