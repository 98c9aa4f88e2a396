"""Past an upright piece the path runs along its sides, so a sideways cast is a matter of the plan.

What an upright prism can meet of another piece on an upright path is the stretch of that piece
between two heights. Seen from above, the displacements at which the two meet are the difference of
two convex polygons. How far a line reaches in it is the least of its support function along
(1, u), which is convex and made of straight stretches in u: tangents are laid at it until two of
them cross on it. So the answer is a tangent's own, and exact.
"""

from __future__ import annotations

import numpy as np

from fitcheck.fit.contact import TOUCH_MM, difference_body
from fitcheck.fit.groups import PiecePairs
from fitcheck.folding.flat import distinct, numbered
from fitcheck.folding.pose import Array, Flags, Rows

SETTLED_MM = 1e-13
"""Two tangents cross on the function when it is no higher there, slopes of 1 taken."""
ROUNDS = 80


def plan_casts(
    pairs: PiecePairs, path_mm: float, starts: Array, direction: Array
) -> tuple[Array, Array]:
    """From where to where a level line start + x direction lets each pair meet, (n,) mm.

    The second pieces are upright prisms; each has its own start of (n, 3) and moves by `path_mm`
    upwards. Both are nan where the line passes by or only touches.
    """
    low, high = np.full(len(pairs), np.nan), np.full(len(pairs), np.nan)
    (least, most), (own_least, own_most) = (
        [ends[:, 2] for ends in own.bounds_of(rows)]
        for own, rows in ((pairs.firsts, pairs.a), (pairs.seconds, pairs.b))
    )
    floors = starts[:, 2] + own_least - max(0.0, path_mm)
    ceilings = starts[:, 2] + own_most - min(0.0, path_mm)
    met = (most - floors > TOUCH_MM) & (ceilings - least > TOUCH_MM)
    whole = met & (floors <= least) & (most <= ceilings)
    sizes = np.where(met, np.frexp(pairs.firsts.counts[pairs.a])[1], -1)
    for size in distinct(sizes[met]).tolist():
        for cut in (False, True):
            rows = np.flatnonzero((sizes == size) & (whole != cut))
            if not len(rows):
                continue
            corners = pairs.firsts.corners(pairs.a[rows])
            x, y = corners[0].T, corners[1].T
            if cut:
                x, y = _plans(corners, floors[rows], ceilings[rows])
            _cast(pairs, rows, (x, y), path_mm, starts, direction, (low, high))
    return low, high


def _cast(
    pairs: PiecePairs,
    rows: Rows,
    outer: tuple[Array, Array],
    path_mm: float,
    starts: Array,
    direction: Array,
    found: tuple[Array, Array],
) -> None:
    """Cast some pairs whose first pieces have points x and y (m, w) in plan; `found` is filled."""
    # one outline mostly meets many pieces
    some, own = numbered(pairs.b[rows])
    ends = pairs.seconds.counts[some] // 2
    body = pairs.seconds.corners(some)[:2]
    places = np.minimum(np.arange(int(ends.max()))[:, None], ends - 1)
    x, y = (each.T[own] for each in np.take_along_axis(body, places[None], axis=1))
    inner = x + starts[rows, None, 0], y + starts[rows, None, 1]
    u, v = direction[0], direction[1]
    (along_o, beside_o), (along_i, beside_i) = (
        (u * x + v * y, u * y - v * x) for x, y in (outer, inner)
    )
    room = np.minimum(
        beside_o.max(axis=1) - beside_i.min(axis=1), beside_i.max(axis=1) - beside_o.min(axis=1)
    )
    kept = np.flatnonzero(room > TOUCH_MM)
    if not len(kept):
        return
    along_o, beside_o, along_i, beside_i = (
        own[kept] for own in (along_o, beside_o, along_i, beside_i)
    )
    reach, settled = _least_support(
        np.concatenate([along_o, -along_o]),
        np.concatenate([beside_o, beside_o]),
        np.concatenate([-along_i, along_i]),
        np.concatenate([-beside_i, -beside_i]),
    )
    to, back = reach[: len(kept)], -reach[len(kept) :]
    back[to - back <= TOUCH_MM] = np.nan
    to[np.isnan(back)] = np.nan
    low, high = found
    rows = rows[kept]
    low[rows], high[rows] = back, to
    sure = settled[: len(kept)] & settled[len(kept) :]
    unsure = rows[~sure]
    for row, outer_piece, inner_piece in zip(
        unsure.tolist(), pairs.first_pieces(unsure), pairs.second_pieces(unsure), strict=True
    ):
        path = np.array([0.0, 0.0, path_mm])
        between = difference_body(outer_piece, inner_piece, path).along(starts[row], direction)
        low[row], high[row] = between or (np.nan, np.nan)


def _plans(corners: Array, floors: Array, ceilings: Array) -> tuple[Array, Array]:
    """Points x and y (n, w) whose hulls are the plans of pieces between two heights of (n,) mm.

    Pieces are given by their corners (3, v, n), some of each lies between. Where two corners lie on
    different sides of a height, the line between them is inside the piece, so all such crossings
    span the cut. The shorter lists are filled up with their last.
    """
    plan, height = corners[:2], corners[2]
    points = [plan]
    there = [(height >= floors) & (height <= ceilings)]
    for level in (floors, ceilings):
        under, over = height < level, height > level
        i, j = np.nonzero(under.any(axis=1)[:, None] & over.any(axis=1))
        crossed = under[i] & over[j]
        rise = np.where(crossed, height[j] - height[i], 1.0)
        share = (level - height[i]) / rise
        points.append(plan[:, i] + share * (plan[:, j] - plan[:, i]))
        there.append(crossed)
    found, kept = np.concatenate(points, axis=1), np.concatenate(there)
    counts = kept.sum(axis=0)
    order = np.argsort(~kept, axis=0, kind="stable")
    rows = np.minimum(np.arange(counts.max())[:, None], counts - 1)
    x, y = np.take_along_axis(found, np.take_along_axis(order, rows, axis=0)[None], axis=1)
    return x.T, y.T


def _least_support(
    along_o: Array, beside_o: Array, along_i: Array, beside_i: Array
) -> tuple[Array, Flags]:
    """The least over u of max(along_o + u beside_o) + max(along_i + u beside_i), row by row.

    Rows are points (n, a) of one polygon and (n, b) of the other.
    Gives the least (n,), and whether it settled.
    """
    rows = np.arange(len(along_o))

    def tangent(u: Array) -> tuple[Array, Array]:
        """Height at u = 0 and slope of the line that touches at u."""
        a = np.argmax(along_o + u[:, None] * beside_o, axis=1)
        b = np.argmax(along_i + u[:, None] * beside_i, axis=1)
        return along_o[rows, a] + along_i[rows, b], beside_o[rows, a] + beside_i[rows, b]

    # far to each side the point furthest to that side is the one that is touched
    sides = [(along_o, beside_o), (along_i, beside_i)]
    left_slope = beside_o.min(axis=1) + beside_i.min(axis=1)
    right_slope = beside_o.max(axis=1) + beside_i.max(axis=1)
    left = sum(_end(a, b, b.min(axis=1, keepdims=True)) for a, b in sides)
    right = sum(_end(a, b, b.max(axis=1, keepdims=True)) for a, b in sides)
    least = np.full(len(rows), np.nan)
    open_ = np.ones(len(rows), dtype=bool)
    for _ in range(ROUNDS):
        u = (left - right) / (right_slope - left_slope)
        crossing = left + left_slope * u
        height, slope = tangent(u)
        value = height + slope * u
        done = open_ & ((value - crossing <= SETTLED_MM * (1.0 + np.abs(u))) | (slope == 0.0))
        least[done] = value[done]
        open_ &= ~done
        if not open_.any():
            break
        falls, rises = open_ & (slope < 0.0), open_ & (slope > 0.0)
        left, left_slope = np.where(falls, height, left), np.where(falls, slope, left_slope)
        right, right_slope = np.where(rises, height, right), np.where(rises, slope, right_slope)
    return least, ~open_


def _end(along: Array, beside: Array, furthest: Array) -> Array:
    """The most of `along` among the points furthest to one side, (n,)."""
    most: Array = np.where(beside == furthest, along, -np.inf).max(axis=1)
    return most
