"""Quick arrangements without a solver: one stack, a grid, corner by corner, and piles of the alike.

Each builder returns placements or None; None says nothing about whether an arrangement exists.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from fitcheck.kinds.poses import Pose
from fitcheck.packing.placing import TOUCH_MM, Demand, Placement, held_up
from fitcheck.packing.room import Room
from fitcheck.packing.turning import likely_turn

MOST_BY_CORNERS = 50
"""Beyond so many bodies, filling corner by corner costs more than it finds."""

Key = Callable[[float, float, float], tuple[float, float, float]]


def one_stack(room: Room, demands: Sequence[Demand]) -> tuple[Placement, ...] | None:
    """Everything in one pile in the middle of the room, each body turned as it goes in best."""
    chosen = []
    for demand in demands:
        fitting = []
        for pose in demand.poses:
            turn = likely_turn(pose, room.width_mm, room.length_mm)
            if turn.least_mm >= 0.0:
                fitting.append((pose.height_mm, -turn.least_mm, turn.angle_deg, pose))
        if not fitting:
            return None
        _, _, angle, pose = min(fitting, key=lambda entry: entry[:3])
        chosen.append((demand, pose, angle))
    return stacked(room, chosen)


Laid = tuple[Demand, Pose, float]
"""All bodies of a demand in one pose, turned by one angle in degrees."""


def stacked(room: Room, laid: Sequence[Laid]) -> tuple[Placement, ...] | None:
    """One pile in the middle of the room, broad bodies first; None when it is too high."""
    placed, z = [], 0.0
    x, y = room.width_mm / 2.0, room.length_mm / 2.0
    broad_first = sorted(laid, key=lambda one: -one[1].least_volume_mm3 / one[1].height_mm)
    for demand, pose, angle in broad_first:
        for _ in range(demand.count):
            placed.append(Placement(demand.item, pose, x, y, z, angle))
            z += pose.height_mm
    return tuple(placed) if z <= room.height_mm + TOUCH_MM else None


def grid(room: Room, demands: Sequence[Demand]) -> tuple[Placement, ...] | None:
    """One kind of body in rows, columns and layers, all in the same pose."""
    if len(demands) != 1:
        return None
    (demand,) = demands
    for pose in demand.poses:
        found = _roomiest(room, pose, demand.count)
        if found is None:
            continue
        across, along, layers = found
        spots = itertools.product(range(layers), range(along), range(across))
        return tuple(
            Placement(
                demand.item,
                pose,
                (i + 0.5) * pose.width_mm,
                (j + 0.5) * pose.length_mm,
                k * pose.height_mm,
            )
            for k, j, i in itertools.islice(spots, demand.count)
        )
    return None


def _roomiest(room: Room, pose: Pose, count: int) -> tuple[int, int, int] | None:
    """Columns, rows and layers: as few layers as will do, and then what leaves most to either side.

    As few columns as a number of rows needs, so that no body is pressed where there is room.
    """
    most_across = _times(room.width_mm, pose.width_mm)
    most_along = _times(room.length_mm, pose.length_mm)
    if most_across * most_along == 0:
        return None
    layers = math.ceil(count / (most_across * most_along))
    if layers * pose.height_mm > room.height_mm + TOUCH_MM:
        return None
    each = math.ceil(count / layers)
    ways = [(across, math.ceil(each / across)) for across in range(1, most_across + 1)]

    def spare(way: tuple[int, int]) -> float:
        across, along = way
        return min(room.width_mm - across * pose.width_mm, room.length_mm - along * pose.length_mm)

    across, along = max((way for way in ways if way[1] <= most_along), key=spare)
    return across, along, layers


def by_corners(
    room: Room, demands: Sequence[Demand], most: int = MOST_BY_CORNERS
) -> tuple[Placement, ...] | None:
    """Up to so many bodies one after the other into the free corner that comes first, in several
    orders."""
    if sum(demand.count for demand in demands) > most:
        return None
    tried: set[tuple[object, ...]] = set()
    for prefer, order, key in itertools.product(_PREFERENCES, _ORDERS, _KEYS):
        queue = [
            replace(demand, poses=tuple(sorted(demand.poses, key=prefer)))
            for demand in sorted(demands, key=order, reverse=True)
        ]
        # many orders of few demands are one
        way = (key, *queue)
        if way in tried:
            continue
        tried.add(way)
        placed = _fill(room, [d for d in queue for _ in range(d.count)], key)
        if placed is not None:
            return tuple(placed)
    return None


_ORDERS: tuple[Callable[[Demand], float], ...] = (
    lambda d: d.poses[0].width_mm * d.poses[0].length_mm * d.poses[0].height_mm,
    lambda d: max(p.width_mm * p.length_mm for p in d.poses),
    lambda d: max(max(p.width_mm, p.length_mm) for p in d.poses),
    lambda d: min(p.height_mm for p in d.poses),
)

_PREFERENCES: tuple[Callable[[Pose], float], ...] = (
    lambda p: p.height_mm,
    lambda p: p.width_mm,
    lambda p: p.length_mm,
)

_KEYS: tuple[Key, ...] = (
    lambda x, y, z: (z, y, x),
    lambda x, y, z: (y, x, z),
    lambda x, y, z: (x, y, z),
)


def _times(room: float, size: float) -> int:
    return math.floor((room + TOUCH_MM) / size)


def _fill(room: Room, queue: list[Demand], key: Key) -> list[Placement] | None:
    placed: list[Placement] = []
    boxes: list[_Extents] = []
    for demand in queue:
        best: tuple[tuple[float, float, float], Placement] | None = None
        corners = [(key(*corner), corner) for corner in _corners(boxes)]
        for pose, (rank, corner) in itertools.product(demand.poses, corners):
            if best is not None and rank >= best[0]:
                continue
            body = _stand(demand.item, pose, corner)
            if _is_free(room, body, placed, boxes):
                best = rank, body
        if best is None:
            return None
        placed.append(best[1])
        boxes.append(_box(best[1]))
    return placed


def _stand(item: str, pose: Pose, corner: tuple[float, float, float]) -> Placement:
    x, y, z = corner
    return Placement(item, pose, x + pose.width_mm / 2.0, y + pose.length_mm / 2.0, z)


_Extents = tuple[float, float, float, float, float, float]


def _corners(boxes: list[_Extents]) -> list[tuple[float, float, float]]:
    """Where a body can be pushed into a corner: beside, behind and on top of each other body,
    then slid towards the origin along the two other axes."""
    found = {(0.0, 0.0, 0.0)}
    for x0, y0, z0, x1, y1, z1 in boxes:
        found |= {
            (x1, y0, z0),
            (x1, 0.0, z0),
            (x1, _slide(boxes, 1, (x1, y0, z0)), z0),
            (x0, y1, z0),
            (0.0, y1, z0),
            (_slide(boxes, 0, (x0, y1, z0)), y1, z0),
            (x0, y0, z1),
            (x1, y0, 0.0),
            (x0, y1, 0.0),
        }
    return sorted(found)


def _slide(boxes: list[_Extents], axis: int, point: tuple[float, float, float]) -> float:
    """Where a point moving towards 0 along `axis` is stopped by a box."""
    others = [k for k in range(3) if k != axis]
    stops = [
        box[axis + 3]
        for box in boxes
        if box[axis + 3] <= point[axis] + TOUCH_MM
        and all(box[k] <= point[k] < box[k + 3] for k in others)
    ]
    return max(stops, default=0.0)


def _box(body: Placement) -> _Extents:
    half_w, half_l = body.pose.width_mm / 2.0, body.pose.length_mm / 2.0
    x, y, z = body.x_mm, body.y_mm, body.z_mm
    return x - half_w, y - half_l, z, x + half_w, y + half_l, z + body.pose.height_mm


def _is_free(room: Room, body: Placement, placed: list[Placement], boxes: list[_Extents]) -> bool:
    x0, y0, z0, x1, y1, z1 = _box(body)
    if (
        x1 > room.width_mm + TOUCH_MM
        or y1 > room.length_mm + TOUCH_MM
        or z1 > room.height_mm + TOUCH_MM
    ):
        return False
    near = -TOUCH_MM / 2.0
    for a0, b0, c0, a1, b1, c1 in boxes:
        if (
            x0 - a1 < near
            and a0 - x1 < near
            and y0 - b1 < near
            and b0 - y1 < near
            and z0 - c1 < near
            and c0 - z1 < near
        ):
            return False
    if z0 <= TOUCH_MM:
        return True
    return held_up(body, [o for o in placed if abs(o.top_mm - z0) <= TOUCH_MM])


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
