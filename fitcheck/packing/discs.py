"""Equal round plans (standing cylinders, balls) in a rectangle: staggered rows, then a search.

Staggered rows are exact: each row holds evenly spread discs, the next is shifted by half their
pitch and stands as near as touching allows. The search spreads the middles of the discs from
fixed random starts so that their least distance grows; it may miss, so it proves nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from fitcheck.kinds.poses import Disc
from fitcheck.packing.placing import TOUCH_MM, Demand, Placement
from fitcheck.packing.room import Room

Points = NDArray[np.float64]
Pattern = Callable[[tuple[float, float], float, int], Points | None]

_MOST_STARTS = 100
_EFFORT = 5000
"""Starts times the square of the count: a start with many discs costs more."""
_MOST_SEARCHED = 14
"""Discs in one layer beyond which the search costs seconds and seldom finds more."""


def staggered(room: Room, demands: Sequence[Demand]) -> tuple[Placement, ...] | None:
    """Equal discs in staggered rows along either side, in as many layers as the height takes."""
    return _layered(room, demands, _rows_either_way)


def spread(room: Room, demands: Sequence[Demand]) -> tuple[Placement, ...] | None:
    """Equal discs, up to 14 in a layer, whose middles are driven apart from fixed starts."""
    return _layered(room, demands, _driven_apart)


def _layered(
    room: Room, demands: Sequence[Demand], pattern: Pattern
) -> tuple[Placement, ...] | None:
    if len(demands) != 1:
        return None
    (demand,) = demands
    for pose in demand.poses:
        across = pose.width_mm
        free = (room.width_mm - across, room.length_mm - across)
        if not isinstance(pose.footprint, Disc) or min(free) < -TOUCH_MM:
            continue
        layers = demand.count
        if not math.isinf(room.height_mm):
            layers = math.floor((room.height_mm + TOUCH_MM) / pose.height_mm)
        if layers == 0:
            continue
        each = math.ceil(demand.count / layers)
        middles = pattern((max(0.0, free[0]), max(0.0, free[1])), across, each)
        if middles is None:
            continue
        spots = [
            Placement(demand.item, pose, x + across / 2.0, y + across / 2.0, layer * pose.height_mm)
            for layer in range(layers)
            for x, y in middles.tolist()
        ]
        return tuple(spots[: demand.count])
    return None


def _rows_either_way(free: tuple[float, float], across: float, count: int) -> Points | None:
    for flip in (False, True):
        a, b = free[::-1] if flip else free
        middles = _rows(a, b, across, count)
        if middles is not None:
            return middles[:, ::-1] if flip else middles
    return None


def _rows(a: float, b: float, across: float, count: int) -> Points | None:
    """Middles in [0, a] x [0, b], rows along a; shifted rows one shorter, or all equally long."""
    for longest in range(1, min(count, math.floor(a / across + TOUCH_MM) + 1) + 1):
        for shorter in (0, 1):
            gaps = longest - 0.5 - 0.5 * shorter
            pitch = a / gaps if gaps > 0.0 else 0.0
            if longest > 1 and pitch < across - TOUCH_MM:
                continue
            shift = pitch / 2.0
            step = max(math.sqrt(max(0.0, across**2 - shift**2)), across / 2.0)
            middles: list[tuple[float, float]] = []
            for row in range(math.floor((b + TOUCH_MM) / step) + 1):
                odd = row % 2
                length = longest - odd * shorter
                middles += [(i * pitch + odd * shift, row * step) for i in range(length)]
            if len(middles) >= count:
                return np.array(middles[:count])
    return None


def _driven_apart(free: tuple[float, float], across: float, count: int) -> Points | None:
    from scipy.optimize import minimize

    if not 1 < count <= _MOST_SEARCHED:
        return None
    limits = np.tile(np.array(free) / across, count)
    first, second = np.triu_indices(count, 1)
    pairs = np.arange(len(first))

    def spare(v: Points) -> Points:
        xy = v[:-1].reshape(-1, 2)
        result: Points = ((xy[first] - xy[second]) ** 2).sum(axis=1) - v[-1]
        return result

    def slope(v: Points) -> Points:
        xy = v[:-1].reshape(-1, 2)
        twice = 2.0 * (xy[first] - xy[second])
        rows = np.zeros((len(first), len(v)))
        for axis in (0, 1):
            rows[pairs, 2 * first + axis] = twice[:, axis]
            rows[pairs, 2 * second + axis] = -twice[:, axis]
        rows[:, -1] = -1.0
        return rows

    down = np.zeros(2 * count + 1)
    down[-1] = -1.0
    bounds = [*((0.0, float(limit)) for limit in limits), (0.0, None)]

    rng = np.random.default_rng(0)
    for _ in range(min(_MOST_STARTS, _EFFORT // count**2)):
        start = np.append(rng.uniform(0.0, 1.0, 2 * count) * limits, 0.0)
        found = minimize(
            lambda v: -v[-1],
            start,
            jac=lambda v: down,
            bounds=bounds,
            constraints={"type": "ineq", "fun": spare, "jac": slope},
            method="SLSQP",
            options={"maxiter": 100},
        ).x
        xy = np.clip(found[:-1], 0.0, limits).reshape(-1, 2)
        least = float(((xy[first] - xy[second]) ** 2).sum(axis=1).min())
        if least >= (1.0 - TOUCH_MM / across) ** 2:
            return _drawn_in(xy * across, free, across)
    return None


def _drawn_in(middles: Points, free: tuple[float, float], across: float) -> Points:
    """Discs that touch the walls, drawn in about the middle until the least gap between two is what
    the walls leave all of them."""
    first, second = np.triu_indices(len(middles), 1)
    least = float(np.hypot(*(middles[first] - middles[second]).T).min())
    spans = np.ptp(middles, axis=0)
    share = min(1.0, float(((np.array(free) + across) / (least + spans)).min()))
    centre = 0.5 * (middles.min(axis=0) + middles.max(axis=0))
    drawn: Points = 0.5 * np.array(free) + share * (middles - centre)
    return drawn
