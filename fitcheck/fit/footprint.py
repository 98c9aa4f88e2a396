"""The smallest plan that a design's contents need, for a base that is sized round them."""

from __future__ import annotations

import math

from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.packing.arrange import arrange
from fitcheck.packing.bodies import lays
from fitcheck.packing.placing import Demand, Outcome
from fitcheck.packing.room import Room
from fitcheck.workspace.progress import SILENT, Progress

QUICK_WORK = 0.2
MOST_ROOMS = 400


def contents_footprint(
    design: Design, rim_mm: float, progress: Progress = SILENT
) -> tuple[float, float]:
    """Width and length of the smallest room that the contents were arranged in, mm.

    Under a lid they stay below the rim, `rim_mm` above the floor. Without one they do so where
    any room lets them, and else stand out as far as a base of a given floor may have it.
    Candidate sides are sums of the contents' own sizes; rooms are tried from the smallest area
    up, a wider-than-long room after its like turned. Raises InputError when none of the rooms
    tried holds the contents.
    """
    demands = [Demand(c.item.name, lays(c.item, c.lay), c.count) for c in design.contents]
    heights = [(rim_mm, rim_mm)] if design.lid else [(rim_mm, rim_mm), (math.inf, rim_mm)]
    for height, rim in heights:
        rooms = _rooms(demands, height)
        for number, (width, length) in enumerate(rooms):
            progress.step(number, len(rooms), "arranging the contents to size the base")
            found = arrange(Room(width, length, height, rim), demands, QUICK_WORK)
            if found.outcome is Outcome.FOUND:
                return width, length
    raise InputError(
        f"{design.path or design.name}: base.slack: the contents could not be arranged in a room "
        f"{rim_mm:.2f} mm high; give floor, inside or opening instead, or a deeper base"
    )


def _rooms(demands: list[Demand], height_mm: float) -> list[tuple[float, float]]:
    """Candidate rooms, smallest area first; none where a content is too high in every lay."""
    low = [[p for p in demand.poses if p.height_mm <= height_mm] for demand in demands]
    if not all(low):
        return []
    sides = sorted(_sums(demands))
    least_area = _least_area(demands, height_mm)
    widest = min(min(p.width_mm, p.length_mm) for poses in low for p in poses)
    rooms = [
        (width, length)
        for width in sides
        for length in sides
        if width >= widest and width * length >= least_area * (1.0 - 1e-9)
    ]
    rooms.sort(key=lambda room: (round(room[0] * room[1], 6), max(room), -room[1]))
    return rooms[:MOST_ROOMS]


def _sums(demands: list[Demand]) -> set[float]:
    """Sides made of up to `count` equal sizes of each demand, and of one size of each."""
    sums: set[float] = set()
    for demand in demands:
        sizes = {size for pose in demand.poses for size in (pose.width_mm, pose.length_mm)}
        sums |= {n * size for n in range(1, demand.count + 1) for size in sizes}
    singles = set(sums)
    for a in singles:
        sums |= {a + b for b in singles}
    return {side for side in sums if side <= 1000.0}


def _least_area(demands: list[Demand], height_mm: float) -> float:
    """No room is smaller than the contents' volume over its height, nor than any one content."""
    volume = sum((min(p.least_volume_mm3 for p in d.poses) * d.count for d in demands), 0.0)
    single = max(min(p.area_mm2 for p in d.poses) for d in demands)
    return max(single, volume / height_mm if math.isfinite(height_mm) else 0.0)
