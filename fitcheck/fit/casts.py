"""Where one straight line enters and leaves many difference bodies, worked out as one array.

The bodies are those of `contact.difference_body`, and the half spaces are the same; every
direction is used for both its sides. An upright inner piece, such as a content, has a shorter way:
what the path sweeps past it is cut out in plan (`plan_casts`), however many facets it has.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from fitcheck.fit.contact import PARALLEL, TOUCH_MM, by_size, crossed, stacked
from fitcheck.fit.plan_casts import plan_casts
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, Rows

FEW = 4
"""Pairs looked at together at first, then ever more: arrays pay, but the first few often decide."""


def casts(
    outers: Sequence[ConvexPiece],
    inners: Sequence[ConvexPiece],
    path: Array | None,
    start: Array,
    direction: Array,
) -> tuple[Array, Array]:
    """For each pair, from where to where `start + x direction` (3,) lets them meet, (n,) mm each.

    `outers[k]` is taken with `inners[k]` and the start (3,) of all or `start[k]` of (n, 3); it
    moves by the whole of `path` (3,). Both are nan where the line passes by or only touches.
    """
    low, high = np.full(len(outers), np.nan), np.full(len(outers), np.nan)
    starts = np.broadcast_to(start, (len(outers), 3))
    rest = np.arange(len(outers))
    if path is not None and not path[:2].any() and not direction[2]:
        upright = np.array([inner.upright for inner in inners], dtype=bool)
        own, rest = np.flatnonzero(upright), np.flatnonzero(~upright)
        if len(own):
            low[own], high[own] = plan_casts(
                [outers[k] for k in own.tolist()],
                [inners[k] for k in own.tolist()],
                float(path[2]),
                starts[own],
                direction,
            )
    if len(rest):
        left = rest.tolist()
        low[rest], high[rest] = by_size(
            [outers[k] for k in left],
            [inners[k] for k in left],
            lambda a, b, rows: _casts(a, b, path, starts[rest[rows]], direction),
        ).T
    return low, high


def _casts(
    outers: Sequence[ConvexPiece],
    inners: Sequence[ConvexPiece],
    path: Array | None,
    starts: Array,
    direction: Array,
) -> Array:
    outer_edges = stacked([piece.edges for piece in outers])
    inner_edges = stacked([piece.edges for piece in inners])
    turned = [crossed(outer_edges[:, :, None], inner_edges[:, None])]
    if path is not None:
        way = path / np.linalg.norm(path)
        turned += [crossed(outer_edges, way), crossed(inner_edges, way)]
    across = np.concatenate([one.reshape(len(outers), -1, 3) for one in turned], axis=1)
    length = np.sqrt(np.einsum("nij,nij->ni", across, across))
    proper = length > PARALLEL
    across /= np.where(proper, length, 1.0)[..., None]
    normals = np.concatenate(
        [
            stacked([piece.normals for piece in outers]),
            stacked([piece.normals for piece in inners]),
            across,
        ],
        axis=1,
    ).transpose(0, 2, 1)
    reach_outer = stacked([piece.vertices for piece in outers]) @ normals
    reach_inner = stacked([piece.vertices for piece in inners]) @ normals
    # the body lies between these along each direction
    most = reach_outer.max(axis=1) - reach_inner.min(axis=1)
    least = reach_outer.min(axis=1) - reach_inner.max(axis=1)
    if path is not None:
        lift = path @ normals
        most += np.maximum(lift, 0.0)
        least += np.minimum(lift, 0.0)
    at, rate = (starts[:, None] @ normals)[:, 0], direction @ normals
    most -= at
    least -= at
    improper = np.zeros(at.shape, dtype=bool)
    improper[:, -proper.shape[1] :] = ~proper
    level = np.abs(rate) < PARALLEL
    beside = (level & ~improper & ((most <= TOUCH_MM) | (least >= -TOUCH_MM))).any(axis=1)
    rate[level | improper] = np.nan
    first, last = most / rate, least / rate
    high = np.fmin.reduce(np.fmax(first, last), axis=1)
    low = np.fmax.reduce(np.fmin(first, last), axis=1)
    missed = beside | (high - low <= TOUCH_MM)
    high[missed] = low[missed] = np.nan
    return np.stack([low, high], axis=1)


def nearest_first(
    bounds: Array,
    reach_of: Callable[[Rows], Array],
    within_mm: float,
    groups: Rows | None = None,
    boxes: Rows | None = None,
) -> Array:
    """The reach of each of some pairs, (n,) mm, the nearest looked at first.

    No reach is less than its bound (n,). Pairs that `within_mm` puts out of reach of the nearest
    of their box are left nan, and so are those that cannot be the nearest of their group (n,) of
    numbers. `boxes` (n,) says which box each pair is of; without it there is one.
    """
    found = np.full(len(bounds), np.nan)
    left = np.argsort(bounds, kind="stable")
    best = np.full(int(groups.max()) + 1 if groups is not None and len(groups) else 0, np.inf)
    box = np.zeros(len(bounds), dtype=np.intp) if boxes is None else boxes
    least = np.full(int(box.max(initial=0)) + 1, np.inf)
    count = FEW
    while len(left):
        # the nearest of a group, as of a round's slices, mostly makes the others needless
        firsts = np.arange(len(left))
        if groups is not None:
            firsts = np.sort(np.unique(groups[left], return_index=True)[1])
        if within_mm != np.inf:
            firsts = firsts[_few_of_each(box[left[firsts]], count)]
        now, left = left[firsts], np.delete(left, firsts)
        count *= 2
        found[now] = reach_of(now)
        reached = now[~np.isnan(found[now])]
        np.minimum.at(least, box[reached], found[reached])
        left = left[bounds[left] <= least[box[left]] + within_mm]
        if groups is not None:
            np.minimum.at(best, groups[reached], found[reached])
            left = left[bounds[left] < best[groups[left]]]
    return found


def _few_of_each(boxes: Rows, count: int) -> Rows:
    """The places of the first so many of each number among numbers (n,)."""
    order = np.argsort(boxes, kind="stable")
    starts = np.searchsorted(boxes[order], boxes[order])
    return np.sort(order[np.arange(len(boxes)) - starts < count])
