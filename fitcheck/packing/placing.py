"""Bodies placed in a room, and the exact check that they neither meet, nor leave it, nor hang.

The check knows nothing of how an arrangement was found. Every plan is a convex core grown by a
radius (disc: a point; rounded rectangle: a smaller rectangle; polygon: itself, radius 0), so
two plans are apart by the distance of their cores less both radii. Balls and lying cylinders
count as the upright prism over their plan, which errs on the safe side.

What holds a body up: the floor, or bodies whose tops touch its underside such that its middle
lies over one of those tops or over the hull of the contacts. A round top bears along its crown
only, a disc over its inscribed square; a mesh bears as its bounding box would. In an open box
what stands on other bodies also needs the walls beside it: its middle must not be above the rim.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.packing.room import Room

TOUCH_MM = 1e-6
"""Bodies nearer than this touch; the check allows no deeper overlap."""

Point = tuple[float, float]
Box = tuple[float, float, float, float]
_Rows: TypeAlias = NDArray[np.float64]


class Outcome(enum.StrEnum):
    """What came of looking for an arrangement."""

    FOUND = "found"
    NONE_FOUND = "none found"
    IMPOSSIBLE = "impossible"


@dataclass(frozen=True)
class Demand:
    """So many of one item, each in any of the given poses. Raises ValueError when empty."""

    item: str
    poses: tuple[Pose, ...]
    count: int
    may_lean: bool = False
    """True when it may also lean in any attitude: then no bound on upright bodies proves it out"""

    def __post_init__(self) -> None:
        if self.count < 1:
            raise ValueError(f"{self.item}: a count must be 1 or more; read {self.count}")
        if not self.poses:
            raise ValueError(f"{self.item}: no pose is given")


@dataclass(frozen=True)
class Placement:
    """One body in the room; the room's corner is the origin, z points up to the lid."""

    item: str
    pose: Pose
    x_mm: float
    """middle of the plan along the width"""
    y_mm: float
    """middle of the plan along the length"""
    z_mm: float
    """underside"""
    turn_deg: float = 0.0
    """turn in plan about its middle, counter-clockwise"""

    @property
    def top_mm(self) -> float:
        """Height of the upper side, mm."""
        return self.z_mm + self.pose.height_mm


Placements = tuple[Placement, ...]
Accept = Callable[[Placements, Room], Placements | None]
"""Moves an arrangement that was found in a plain room to where it really goes; None if nowhere."""
Way = Callable[[Room, Sequence[Demand]], Placements | None]
"""A quick way to place what is asked for in a plain room; None proves nothing."""


@dataclass(frozen=True)
class Arrangement:
    """The answer: where everything stands, or why there is no such answer."""

    outcome: Outcome
    placements: tuple[Placement, ...]
    reason: str
    work: float = 0.0
    """What the searches took, in the solver's own count."""


def verify(room: Room, placements: Sequence[Placement]) -> tuple[str, ...]:
    """Every fault of the placements, one line each; empty when the arrangement is sound."""
    faults = [
        f"{body.item} leaves the room by {out:.6f} mm"
        for body in placements
        if (out := -room_gap(room, body)) > TOUCH_MM
    ]
    for one, other in _near_pairs(placements):
        gap = plan_gap(one, other)
        if gap < -TOUCH_MM:
            faults.append(f"{one.item} and {other.item} overlap by {-gap:.6f} mm")
    faults += [f"{body.item} hangs in the air" for body in hanging(placements)]
    faults += [f"{body.item} is piled up above the rim" for body in toppling(room, placements)]
    return tuple(faults)


def toppling(room: Room, placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """The bodies on others whose middles are above the rim, so that no wall keeps them there.

    What stands on the floor itself may stand out as far as it likes (own rule; common practice,
    no source: a pile that is half above the rim slides off at the first touch).
    """
    return tuple(
        body
        for body in placements
        if body.z_mm > TOUCH_MM and body.z_mm + 0.5 * body.pose.height_mm > room.rim_mm + TOUCH_MM
    )


def _near_pairs(placements: Sequence[Placement]) -> Iterator[tuple[Placement, Placement]]:
    """Pairs whose extents overlap along all three axes."""
    low, high, _ = _spans(placements)
    apart = np.array([0.0, 0.0, TOUCH_MM])
    for index in range(len(placements) - 1):
        rest = slice(index + 1, None)
        near = np.all((low[index] < high[rest] - apart) & (low[rest] < high[index] - apart), axis=1)
        for other in np.flatnonzero(near):
            yield placements[index], placements[index + 1 + int(other)]


def _spans(placements: Sequence[Placement]) -> tuple[_Rows, _Rows, _Rows]:
    """Low and high ends along the three axes, (n, 3) mm, and tops, (n,) mm."""
    boxes = np.array([extents(body) for body in placements]).reshape(-1, 4)
    feet = np.array([body.z_mm for body in placements])
    tops = np.array([body.top_mm for body in placements])
    return np.column_stack([boxes[:, :2], feet]), np.column_stack([boxes[:, 2:], tops]), tops


def hanging(placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """The bodies that neither the floor nor other bodies hold up."""
    low, high, tops = _spans(placements)
    found = []
    for index, body in enumerate(placements):
        if body.z_mm <= TOUCH_MM:
            continue
        over = np.all(
            (low[:, :2] <= high[index, :2] + TOUCH_MM) & (low[index, :2] <= high[:, :2] + TOUCH_MM),
            axis=1,
        )
        beneath = np.flatnonzero(over & (np.abs(tops - body.z_mm) <= TOUCH_MM))
        if not held_up(body, [placements[int(k)] for k in beneath]):
            found.append(body)
    return tuple(found)


def held_up(body: Placement, beneath: Sequence[Placement]) -> bool:
    """Whether bodies whose tops are level with its underside hold `body` up."""
    middle = (body.x_mm, body.y_mm)
    corners: list[Point] = []
    under = _patch(body)
    for other in beneath:
        top = _patch(other)
        if top is None:
            if other.pose.shape in (Shape.PRISM, Shape.HULL) and _covers(other, middle):
                return True
        elif under is not None:
            corners += _common(top, under)
        elif _in_box(top, middle):
            return True
    return _in_hull(middle, corners)


def room_gap(room: Room, body: Placement) -> float:
    """The least distance to a wall, the floor or the lid, mm; negative outside."""
    x0, y0, x1, y1 = extents(body)
    ends = (x0, y0, room.width_mm - x1, room.length_mm - y1)
    return min(*ends, body.z_mm, room.height_mm - body.top_mm)


def extents(body: Placement) -> Box:
    """The plan's extents (x0, y0, x1, y1), mm."""
    core, radius = core_of(body)
    xs, ys = [x for x, _ in core], [y for _, y in core]
    return min(xs) - radius, min(ys) - radius, max(xs) + radius, max(ys) + radius


def plan_gap(one: Placement, other: Placement) -> float:
    """Distance of two plans, mm; negative when they overlap (then at least by that much)."""
    (a, radius_a), (b, radius_b) = core_of(one), core_of(other)
    gap = _separation(a, b)
    if gap > 0.0:
        gap = min(_least_distance(a, b), _least_distance(b, a))
    return gap - radius_a - radius_b


def core_of(body: Placement) -> tuple[list[Point], float]:
    """The corners of a plan's convex core where it stands, and the radius it is grown by, mm."""
    local, radius = body.pose.core
    cos, sin = math.cos(math.radians(body.turn_deg)), math.sin(math.radians(body.turn_deg))
    turned = [(x * cos - y * sin, x * sin + y * cos) for x, y in local]
    return [(body.x_mm + x, body.y_mm + y) for x, y in turned], radius


def _separation(a: list[Point], b: list[Point]) -> float:
    """The widest strip between two convex cores, over every direction that can decide it."""
    axes = [(b[0][0] - a[0][0], b[0][1] - a[0][1])]
    for core in (a, b):
        for (x0, y0), (x1, y1) in zip(core, core[1:] + core[:1], strict=True):
            axes += [(x1 - x0, y1 - y0), (y1 - y0, x0 - x1)]
    widest = -math.inf
    for ax, ay in axes:
        size = math.hypot(ax, ay)
        if size > TOUCH_MM:
            along_a = [(x * ax + y * ay) / size for x, y in a]
            along_b = [(x * ax + y * ay) / size for x, y in b]
            widest = max(widest, min(along_b) - max(along_a), min(along_a) - max(along_b))
    return 0.0 if widest == -math.inf else widest


def _least_distance(corners: list[Point], core: list[Point]) -> float:
    best = math.inf
    for px, py in corners:
        for (x0, y0), (x1, y1) in zip(core, core[1:] + core[:1], strict=True):
            dx, dy = x1 - x0, y1 - y0
            square = dx * dx + dy * dy
            t = ((px - x0) * dx + (py - y0) * dy) / square if square > 0.0 else 0.0
            t = min(1.0, max(0.0, t))
            best = min(best, math.hypot(px - x0 - t * dx, py - y0 - t * dy))
    return best


def _patch(body: Placement) -> Box | None:
    """Where a body bears, above as below: a box in plan; None when it is turned or a polygon."""
    pose, half_w, half_l = body.pose, body.pose.width_mm / 2.0, body.pose.length_mm / 2.0
    if pose.shape is Shape.BALL:
        half_w = half_l = 0.0
    elif isinstance(pose.footprint, Disc):
        half_w = half_l = half_w / math.sqrt(2.0)
    elif body.turn_deg != 0.0 or isinstance(pose.footprint, Polygon):
        return None
    elif pose.shape is Shape.ALONG_WIDTH:
        half_l = 0.0
    elif pose.shape is Shape.ALONG_LENGTH:
        half_w = 0.0
    elif pose.shape is Shape.EDGEWISE:
        half_w, half_l = (0.0, half_l) if half_w > half_l else (half_w, 0.0)
    else:
        inset = pose.footprint.corner_radius_mm * (1.0 - math.sqrt(0.5))
        half_w, half_l = half_w - inset, half_l - inset
    return body.x_mm - half_w, body.y_mm - half_l, body.x_mm + half_w, body.y_mm + half_l


def _covers(body: Placement, point: Point) -> bool:
    core, radius = core_of(body)
    return _separation(core, [point]) <= TOUCH_MM or _least_distance([point], core) <= radius


def _in_box(box: Box, point: Point) -> bool:
    inside_x = box[0] - TOUCH_MM <= point[0] <= box[2] + TOUCH_MM
    return inside_x and box[1] - TOUCH_MM <= point[1] <= box[3] + TOUCH_MM


def _common(a: Box, b: Box) -> list[Point]:
    x0, y0, x1, y1 = max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])
    if x0 > x1 + TOUCH_MM or y0 > y1 + TOUCH_MM:
        return []
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _in_hull(middle: Point, corners: list[Point]) -> bool:
    """Inside the hull just when the corners, seen from the middle, leave no gap over 180 deg."""
    offsets = [(x - middle[0], y - middle[1]) for x, y in corners]
    if any(math.hypot(x, y) <= TOUCH_MM for x, y in offsets):
        return True
    seen = sorted(math.atan2(y, x) for x, y in offsets)
    if not seen:
        return False
    gaps = [b - a for a, b in zip(seen, [*seen[1:], seen[0] + 2.0 * math.pi], strict=True)]
    return max(gaps) <= math.pi + 1e-6


def overlap_in_plan(one: Placement, other: Placement) -> bool:
    """Whether two bodies are over each other, seen from above."""
    a, b = extents(one), extents(other)
    if max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3]) >= -TOUCH_MM:
        return False
    return plan_gap(one, other) < -TOUCH_MM
