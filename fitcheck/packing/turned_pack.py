"""Things that lie side by side as one pack, which goes in turned where it does not straight.

A pack that goes in turned and not straight is longer than the room's shorter side. For a given
length its most width is a closed form (`turning.best_turn`), so the quick ways are asked in a room
of that length and width, and what they find is turned as a whole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fitcheck.kinds.poses import Disc, Pose
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.placing import (
    TOUCH_MM,
    Accept,
    Demand,
    Placements,
    Way,
    extents,
    room_gap,
    verify,
)
from fitcheck.packing.room import Room
from fitcheck.packing.turning import best_turn, likely_angles

MOST_LENGTHS = 8
MOST_BODIES = 50
"""Beyond so many, packs are not looked for."""
_HALVINGS = 40


def turned_pack(
    rooms: Sequence[Room], demands: Sequence[Demand], ways: Sequence[Way], accept: Accept
) -> Placements | None:
    """All bodies as one pack turned in plan, found by some ways; None proves nothing."""
    if not 1 < sum(demand.count for demand in demands) <= MOST_BODIES:
        return None
    largest = max(rooms, key=lambda room: room.floor_mm2)
    for length in _lengths(largest, demands):
        width = _most_width(length, largest)
        if width <= TOUCH_MM:
            continue
        pack = _pack_room(largest, length, width, demands)
        if why_impossible(pack, demands) is not None:
            continue
        for way in ways:
            placed = way(pack, demands)
            if placed is None or verify(pack, placed):
                continue
            for turned in _turns(placed, rooms, largest):
                there = accept(turned, largest)
                if there is not None:
                    return there
    return None


def _lengths(room: Room, demands: Sequence[Demand]) -> list[float]:
    """Lengths that a pack may have which goes in turned only, the least first, mm."""
    shorter, diagonal = sorted((room.width_mm, room.length_mm))[0], _diagonal(room)
    found = {
        number * side
        for demand in demands
        for pose in demand.poses
        if pose.height_mm <= room.height_mm + TOUCH_MM and not isinstance(pose.footprint, Disc)
        for side in (pose.width_mm, pose.length_mm)
        for number in range(1, demand.count + 1)
    }
    return sorted(length for length in found if shorter < length < diagonal)[:MOST_LENGTHS]


def _pack_room(room: Room, length: float, width: float, demands: Sequence[Demand]) -> Room:
    """The room of a pack, long the way that the longest body is as it is named first."""
    first = max((demand.poses[0] for demand in demands), key=lambda p: max(p.width_mm, p.length_mm))
    if first.width_mm < first.length_mm:
        length, width = width, length
    return replace(room, width_mm=length, length_mm=width)


def _diagonal(room: Room) -> float:
    return math.hypot(room.width_mm, room.length_mm)


def _most_width(length: float, room: Room) -> float:
    """The most width at which a pack of that length goes into a room at some angle, by halving."""
    low, high = 0.0, min(room.width_mm, room.length_mm)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        goes = best_turn(length, middle, room.width_mm, room.length_mm).least_mm >= 0.0
        low, high = (middle, high) if goes else (low, middle)
    return low


def _turns(placed: Placements, rooms: Sequence[Room], largest: Room) -> Iterator[Placements]:
    """A pack in the middle of the largest room, at the angles at which it is likely to go in.

    What holds each body up and keeps it from the others turns with them and is known already.
    """
    boxes = [extents(body) for body in placed]
    x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
    x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
    whole = Pose("pack", x1 - x0, y1 - y0, max(body.top_mm for body in placed))
    middle = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    for angle in likely_angles(whole, rooms):
        turned = turned_about(
            placed, middle, (0.5 * largest.width_mm, 0.5 * largest.length_mm), angle
        )
        if min(room_gap(largest, body) for body in turned) >= -TOUCH_MM:
            yield turned


def turned_about(
    placed: Placements, middle: tuple[float, float], there: tuple[float, float], by_deg: float
) -> Placements:
    """Placements turned as a whole about a middle, which comes to lie `there`, mm."""
    cos, sin = math.cos(math.radians(by_deg)), math.sin(math.radians(by_deg))
    return tuple(
        replace(
            body,
            x_mm=there[0] + (body.x_mm - middle[0]) * cos - (body.y_mm - middle[1]) * sin,
            y_mm=there[1] + (body.x_mm - middle[0]) * sin + (body.y_mm - middle[1]) * cos,
            turn_deg=body.turn_deg + by_deg,
        )
        for body in placed
    )
