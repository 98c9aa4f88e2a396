"""A flat shape turned in plan inside a rectangle: the best angle in closed form.

Turned by an angle between 0 and 90 degrees, the extent of a rectangle along a room's axis is a
sum of a sine and a cosine with positive weights: a concave curve. The slack is therefore
convex, and the smaller of two convex slacks can only peak at an end of the range or where the
two are equal. Both are closed forms, so nothing is stepped. For one rectangle in another this
is Carver's criterion (W. B. Carver, American Mathematical Monthly 64, 1957, p. 114; citation
from memory).

Round corners are exact: a rounded rectangle is a smaller rectangle (the core) grown by a disc
of radius r, and lies in a x b just when its core lies in (a - 2r) x (b - 2r).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.kinds.poses import Disc, Polygon, Pose
from fitcheck.packing.room import Room

_TIE_MM = 1e-9
SPREAD_DEG = 3.75
MOST_SPREAD = 8
FELT_MM = 0.5
"""Room that can be felt: a thing that has so much lies straight, and turning has to gain so much
(own rule; common practice, no source)."""


@dataclass(frozen=True)
class Turn:
    """An angle in plan and the slack that is left at it along both axes of the room."""

    angle_deg: float
    slack_width_mm: float
    slack_length_mm: float

    @property
    def least_mm(self) -> float:
        """The smaller slack, mm; below 0 the shape does not go in at this angle."""
        return min(self.slack_width_mm, self.slack_length_mm)


def best_turn(p: float, q: float, a: float, b: float, corner_radius: float = 0.0) -> Turn:
    """The turn of a p x q rectangle (p along a) in an a x b room that leaves the most slack.

    All mm; the angle is in degrees, 0 to 90, and 0 whenever no other angle leaves more of the
    smaller slack. The rectangle goes in at some angle just when `least_mm` is not negative.

    >>> best_turn(120.0, 10.0, 100.0, 90.0).least_mm > 0
    True
    >>> best_turn(120.0, 10.0, 100.0, 82.0).least_mm > 0
    False
    """
    core_p, core_q = p - 2.0 * corner_radius, q - 2.0 * corner_radius
    if min(core_p, core_q) < -_TIE_MM:
        raise ValueError(
            f"a corner radius of {corner_radius:g} mm is over half of {min(p, q):g} mm"
        )
    left_a, left_b = a - 2.0 * corner_radius, b - 2.0 * corner_radius
    turns = [
        Turn(0.0, left_a - core_p, left_b - core_q),
        Turn(90.0, left_a - core_q, left_b - core_p),
    ]
    # equal slack: (P - Q)(cos - sin) = A - B, that is cos(angle + 45) = (A - B) / (P - Q) / sqrt 2
    if abs(left_a - left_b) < abs(core_p - core_q):
        cosine = (left_a - left_b) / (core_p - core_q) / math.sqrt(2.0)
        angle = math.acos(cosine) - math.pi / 4.0
        along = core_p * math.cos(angle) + core_q * math.sin(angle)
        across = core_p * math.sin(angle) + core_q * math.cos(angle)
        turns.append(Turn(math.degrees(angle), left_a - along, left_b - across))
    return _preferred(turns)


def best_pose_turn(pose: Pose, width_mm: float, length_mm: float) -> Turn:
    """The turn of a pose's plan in a width x length room that leaves the most slack, mm."""
    if isinstance(pose.footprint, Disc):
        return Turn(0.0, width_mm - pose.width_mm, length_mm - pose.length_mm)
    if isinstance(pose.footprint, Polygon):
        return _best_polygon_turn(pose.footprint.points, width_mm, length_mm)
    radius = pose.footprint.corner_radius_mm
    return best_turn(pose.width_mm, pose.length_mm, width_mm, length_mm, radius)


def turning_pays(straight_mm: float, turned_mm: float) -> bool:
    """Whether a thing is better turned: it does not go in straight, or is tight and gains by it.

    Both are the least slack. What goes in with room that can be felt lies straight, as anyone
    would lay it.
    """
    if straight_mm < 0.0:
        return turned_mm > straight_mm
    return straight_mm < FELT_MM and turned_mm >= straight_mm + FELT_MM


def likely_turn(pose: Pose, width_mm: float, length_mm: float) -> Turn:
    """Straight where that goes in well enough, else the turn that leaves the most slack."""
    best = best_pose_turn(pose, width_mm, length_mm)
    straight = turn_at(pose, width_mm, length_mm, 0.0)
    return best if turning_pays(straight.least_mm, best.least_mm) else straight


def likely_angles(pose: Pose, rooms: Sequence[Room]) -> list[float]:
    """Angles at which a pose may go into one of some rooms, degrees, likely ones first.

    The best of each room in closed form, then evenly spread ones by what they leave in the
    largest; a few of those that cannot go in are kept, for what comes nearest.
    """
    largest = max(rooms, key=lambda room: room.floor_mm2)
    best = [best_pose_turn(pose, room.width_mm, room.length_mm).angle_deg for room in rooms]
    whole_turn = 360.0 if isinstance(pose.footprint, Polygon) else 90.0
    count = round(whole_turn / SPREAD_DEG)
    spread = [
        turn_at(pose, largest.width_mm, largest.length_mm, k * SPREAD_DEG) for k in range(count)
    ]
    spread.sort(key=lambda turn: -turn.least_mm)
    some = [turn.angle_deg for turn in spread[:MOST_SPREAD]]
    return list(dict.fromkeys([*best, *some]))


def turn_at(pose: Pose, width_mm: float, length_mm: float, angle_deg: float) -> Turn:
    """A given turn in plan of a pose in a width x length room, mm."""
    angle = math.radians(angle_deg)
    cos, sin = abs(math.cos(angle)), abs(math.sin(angle))
    if isinstance(pose.footprint, Polygon):
        return _polygon_turn(pose.footprint.points, width_mm, length_mm, angle)
    radius = 0.5 * pose.width_mm
    if not isinstance(pose.footprint, Disc):
        radius = pose.footprint.corner_radius_mm
    p, q = pose.width_mm - 2.0 * radius, pose.length_mm - 2.0 * radius
    across, along = p * cos + q * sin + 2.0 * radius, p * sin + q * cos + 2.0 * radius
    return Turn(angle_deg, width_mm - across, length_mm - along)


def _preferred(turns: list[Turn]) -> Turn:
    """The most slack; among equals the earliest, so 0 degrees before any other."""
    best = turns[0]
    for turn in turns[1:]:
        if turn.least_mm > best.least_mm + _TIE_MM:
            best = turn
    return best


def _best_polygon_turn(points: tuple[tuple[float, float], ...], a: float, b: float) -> Turn:
    """The same argument piece by piece: between two angles at which an edge is square to the
    room, the outermost corners stay the same and both extents are single sine curves."""
    closed = (*points, points[0])
    edges = [math.atan2(y1 - y0, x1 - x0) for (x0, y0), (x1, y1) in itertools.pairwise(closed)]
    bends = {(-edge + k * math.pi / 2.0) % (2.0 * math.pi) for edge in edges for k in range(4)}
    angles = sorted({0.0} | bends)
    turns = [_polygon_turn(points, a, b, angle) for angle in angles]
    for start, stop in zip(angles, [*angles[1:], 2.0 * math.pi], strict=True):
        turns += [
            _polygon_turn(points, a, b, angle)
            for angle in _equal_slacks(points, a - b, 0.5 * (start + stop))
            if start < angle < stop
        ]
    return _preferred(turns)


def _equal_slacks(
    points: tuple[tuple[float, float], ...], difference: float, middle: float
) -> list[float]:
    """Angles at which width - length = difference, for the outermost corners at `middle`."""
    cos, sin = math.cos(middle), math.sin(middle)
    right = max(points, key=lambda v: v[0] * cos - v[1] * sin)
    left = min(points, key=lambda v: v[0] * cos - v[1] * sin)
    back = max(points, key=lambda v: v[0] * sin + v[1] * cos)
    front = min(points, key=lambda v: v[0] * sin + v[1] * cos)
    wx, wy = right[0] - left[0], right[1] - left[1]
    lx, ly = back[0] - front[0], back[1] - front[1]
    # width = wx cos - wy sin, length = lx sin + ly cos
    even, odd = wx - ly, -wy - lx
    reach = math.hypot(even, odd)
    if reach <= abs(difference) or reach == 0.0:
        return []
    lead, half = math.atan2(odd, even), math.acos(difference / reach)
    return [(lead + half) % (2.0 * math.pi), (lead - half) % (2.0 * math.pi)]


def _polygon_turn(
    points: tuple[tuple[float, float], ...], a: float, b: float, angle: float
) -> Turn:
    cos, sin = math.cos(angle), math.sin(angle)
    across = [x * cos - y * sin for x, y in points]
    along = [x * sin + y * cos for x, y in points]
    return Turn(math.degrees(angle), a - (max(across) - min(across)), b - (max(along) - min(along)))
