"""Proofs that contents cannot all go into a room; silence proves nothing.

Each bound is a theorem about every arrangement, turned in plan or not, so it alone may say
`impossible`. A body that may lean is only proved out by a bound that holds in every attitude:

* one body that is too tall, or too large in plan at every angle, in all of its poses; where it
  may lean, one that is too large in every attitude (`leaning`);
* volume;
* layers: where all bodies fill upright prisms, heights may be replaced by any dual feasible
  function of them, here u_k(h) = floor((k + 1) h / H) / k, which for k = 1 says that bodies
  over half the height of the room cannot stand on each other (Fekete and Schepers, Mathematical
  Methods of Operations Research 60, 2004; citation from memory);
* equal discs: points in a convex region, all at least d apart, number at most
  2 A / (sqrt(3) d^2) + P / (2 d) + 1, A its area and P its girth (N. Oler, Acta Mathematica 105,
  1961; citation from memory). Balls in a low room count as discs of their least distance in plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.packing.leaning import Leans, leans_in
from fitcheck.packing.placing import Demand
from fitcheck.packing.room import Room
from fitcheck.packing.turning import best_pose_turn

_SURE = 1e-9
"""A bound must be passed by more than this share, so that rounding proves nothing."""
_MOST_LAYERS = 12


def fits_alone(room: Room, pose: Pose) -> bool:
    """Whether one body in this pose goes in, turned in plan where that helps."""
    if pose.height_mm > room.height_mm + _SURE:
        return False
    return best_pose_turn(pose, room.width_mm, room.length_mm).least_mm >= -_SURE


def why_impossible(room: Room, demands: Sequence[Demand]) -> str | None:
    """The first bound that proves that the demands cannot all be met, or None."""
    for demand in demands:
        why = _never_alone(room, demand)
        if why is not None:
            return why
    if any(demand.may_lean for demand in demands):
        return _over_volume(room, demands)
    bounds = [_over_volume, _over_layers, _over_discs]
    if _most_over_each_other(room, demands) == 1:
        # then the floor's area is the plainer reason
        bounds = [_over_layers, _over_volume, _over_discs]
    return next((why for bound in bounds if (why := bound(room, demands)) is not None), None)


def _never_alone(room: Room, demand: Demand) -> str | None:
    """Why not even one of a demand goes in, or None."""
    if any(_may_fit(room, pose) for pose in demand.poses):
        return None
    how = "turned in plan too"
    if demand.may_lean:
        if leans_in(room, demand.poses) is not Leans.NEVER:
            return None
        how = "turned and leaning too"
    return f"one {demand.item} is larger than the room in every way it may lie, {how}"


def _most_over_each_other(room: Room, demands: Sequence[Demand]) -> float:
    """How many of the lowest bodies the height takes, one over the other."""
    low = min(p.height_mm for d in demands for p in d.poses if _may_fit(room, p))
    layers = room.height_mm / low + _SURE
    return layers if math.isinf(layers) else math.floor(layers)


def _may_fit(room: Room, pose: Pose) -> bool:
    """As `fits_alone`; of a hull without an outline only the height is known."""
    if pose.shape is Shape.HULL and not isinstance(pose.footprint, Polygon):
        return pose.height_mm <= room.height_mm + _SURE
    return fits_alone(room, pose)


def _over_volume(room: Room, demands: Sequence[Demand]) -> str | None:
    volume = room.floor_mm2 * room.height_mm
    taken = sum(d.count * min(p.least_volume_mm3 for p in d.poses) for d in demands)
    if taken > volume * (1.0 + _SURE):
        return f"volume: the contents take {taken:.1f} mm3 and the room has {volume:.1f} mm3"
    return None


def _over_layers(room: Room, demands: Sequence[Demand]) -> str | None:
    if math.isinf(room.height_mm):
        return None
    usable = [(d, [p for p in d.poses if _may_fit(room, p)]) for d in demands]
    if any(pose.shape is not Shape.PRISM for _, poses in usable for pose in poses):
        return None
    for k in range(1, _MOST_LAYERS + 1):
        needed = sum(
            d.count * min(p.area_mm2 * _share(p.height_mm / room.height_mm, k) for p in poses)
            for d, poses in usable
        )
        if needed > room.floor_mm2 * (1.0 + _SURE):
            most = _most_over_each_other(room, demands)
            why = "none" if most == 1 else f"at most {most:.0f}"
            why += " can stand on another" if most == 1 else " can stand over each other"
            return (
                f"area: {why} in this height, and the contents take {needed:.1f} mm2 of floor "
                f"where there are {room.floor_mm2:.1f} mm2"
            )
    return None


def _share(height: float, k: int) -> float:
    """The dual feasible function u_k of a height given as a share of the room's."""
    steps = (k + 1) * height
    whole = round(steps)
    return height if abs(steps - whole) <= _SURE * max(1, whole) else math.floor(steps) / k


def _over_discs(room: Room, demands: Sequence[Demand]) -> str | None:
    for demand in demands:
        if len(demand.poses) == 1 and isinstance(demand.poses[0].footprint, Disc):
            most = _most_discs(room, demand.poses[0])
            if demand.count > most:
                return (
                    f"discs: no more than {most:.0f} of {demand.item} can stand in this room, "
                    "by Oler's inequality"
                )
    return None


def _most_discs(room: Room, pose: Pose) -> float:
    apart, levels = pose.width_mm, room.height_mm / pose.height_mm
    if pose.shape is Shape.BALL:
        spare = max(0.0, room.height_mm - pose.width_mm)
        if spare >= pose.width_mm * (1.0 - _SURE):
            return math.inf
        apart, levels = math.sqrt(pose.width_mm**2 - spare**2), 1.0
    if math.isinf(levels):
        return math.inf
    a, b = room.width_mm - pose.width_mm, room.length_mm - pose.width_mm
    a, b = max(0.0, a), max(0.0, b)
    in_plan = 2.0 / math.sqrt(3.0) * a * b / apart**2 + (a + b) / apart + 1.0
    return math.floor(in_plan + _SURE) * math.floor(levels + _SURE)
