"""Where one straight line enters and leaves many difference bodies, worked out as one array.

The bodies are those of `contact.difference_body`, and the half spaces are the same; every
direction is used for both its sides. An upright inner piece, such as a content, has a shorter way:
what the path sweeps past it is cut out in plan (`plan_casts`), however many facets it has.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from fitcheck.fit.contact import (
    PARALLEL,
    TOUCH_MM,
    Forms,
    by_size,
    directions_across,
)
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.plan_casts import plan_casts
from fitcheck.folding.flat import among, distinct
from fitcheck.folding.pose import Array, Flags, Rows

MANY_CORNERS = 16
"""Pieces of more corners than this are cut out in plan where they are upright."""
FEW, AT_ONCE = 4, 32
"""So many pairs of each box are looked at together at first, of all boxes at least so many; then
ever more: arrays pay, but the first few often decide."""


def casts(
    pairs: PiecePairs, path: Array | None, start: Array, direction: Array
) -> tuple[Array, Array]:
    """For each pair, from where to where `start + x direction` (3,) lets them meet, (n,) mm each.

    The second piece is moved, from the start (3,) of all or its own of (n, 3); the first one moves
    by the whole of `path` (3,). Both are nan where the line passes by or only touches.
    """
    low, high = np.full(len(pairs), np.nan), np.full(len(pairs), np.nan)
    starts = np.broadcast_to(start, (len(pairs), 3))
    rest = np.arange(len(pairs))
    if path is not None and not path[:2].any() and not direction[2]:
        round_ = pairs.seconds.counts[pairs.b] > MANY_CORNERS
        if round_.any():
            many = distinct(pairs.b[round_])
            round_ &= among(pairs.b, many[pairs.seconds.uprights(many)])
        own, rest = np.flatnonzero(round_), np.flatnonzero(~round_)
        if len(own):
            low[own], high[own] = plan_casts(
                pairs.take(own), float(path[2]), starts[own], direction
            )
    if len(rest):
        low[rest], high[rest] = by_size(
            pairs.take(rest), lambda own, rows: _casts(own, path, starts[rest[rows]].T, direction)
        )
    return low, high


def _casts(pairs: PiecePairs, path: Array | None, starts: Array, direction: Array) -> Array:
    normals, improper, most, least = _slabs(pairs, path, starts)
    x, y, z = normals
    rate = direction[0] * x + direction[1] * y + direction[2] * z
    level = np.abs(rate) < PARALLEL
    beside = (level & ~improper & ((most <= TOUCH_MM) | (least >= -TOUCH_MM))).any(axis=0)
    rate[level | improper] = np.nan
    first, last = most / rate, least / rate
    high = np.fmin.reduce(np.fmax(first, last), axis=0)
    low = np.fmax.reduce(np.fmin(first, last), axis=0)
    missed = beside | (high - low <= TOUCH_MM)
    high[missed] = low[missed] = np.nan
    return np.stack([low, high])


def swept_depths(pairs: PiecePairs, path: Array, starts: Array) -> Array:
    """How deep the second piece of each pair stands in what the first one sweeps, (n,) mm.

    It is moved by its own start of (n, 3); negative where the two stay apart.
    """

    def depths(own: PiecePairs, rows: Rows) -> Array:
        _, improper, most, least = _slabs(own, path, starts[rows].T)
        room = np.minimum(most, -least)
        room[improper] = np.inf
        found: Array = room.min(axis=0)
        return found

    return by_size(pairs, depths) if len(pairs) else np.zeros(0)


def _slabs(
    pairs: PiecePairs, path: Array | None, starts: Array
) -> tuple[Array, Flags, Array, Array]:
    """The directions (3, d, n) of each body's faces, and which of them are none, (d, n).

    And between what reaches along them, (d, n) mm each, the body lies as seen from the starts
    (3, n) or (3, 1): the most and the least.
    """
    forms = Forms(pairs)
    faces, edges = (forms.outer_faces, forms.inner_faces), (forms.outer_edges, forms.inner_edges)
    turned = [directions_across(*edges)]
    if path is not None:
        way = np.broadcast_to((path / np.linalg.norm(path))[:, None, None], (3, 1, len(pairs)))
        turned += [directions_across(own, way) for own in edges]
    normals = np.concatenate([*faces, *(across for across, _ in turned)], axis=1)
    improper = np.zeros(normals.shape[1:], dtype=bool)
    count = sum(own.shape[1] for own in faces)
    np.concatenate([parallel for _, parallel in turned], out=improper[count:])
    far, near = forms.outer_reaches(normals)
    ahead, back = forms.inner_reaches(normals)
    # the body lies between these along each direction
    most, least = far - back, near - ahead
    x, y, z = normals
    if path is not None:
        lift = path[0] * x + path[1] * y + path[2] * z
        most += np.maximum(lift, 0.0)
        least += np.minimum(lift, 0.0)
    at = starts[0] * x + starts[1] * y + starts[2] * z
    most -= at
    least -= at
    return normals, improper, most, least


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
    count, of_group = max(FEW, AT_ONCE // len(least)), 1
    while len(left):
        # the nearest of a group, as of a round's slices, mostly makes the others needless
        firsts = np.arange(len(left))
        if groups is not None:
            firsts = few_of_each(groups[left], of_group)
        if within_mm != np.inf:
            firsts = firsts[few_of_each(box[left[firsts]], count)]
        now, left = left[firsts], np.delete(left, firsts)
        count, of_group = 2 * count, 2 * of_group
        found[now] = reach_of(now)
        reached = now[~np.isnan(found[now])]
        np.minimum.at(least, box[reached], found[reached])
        left = left[bounds[left] <= least[box[left]] + within_mm]
        if groups is not None:
            np.minimum.at(best, groups[reached], found[reached])
            left = left[bounds[left] < best[groups[left]]]
    return found


def few_of_each(boxes: Rows, count: int) -> Rows:
    """The places of the first so many of each number among numbers (n,)."""
    order = np.argsort(boxes, kind="stable")
    starts = np.searchsorted(boxes[order], boxes[order])
    return np.sort(order[np.arange(len(boxes)) - starts < count])
