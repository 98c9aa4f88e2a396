"""Which of two solids hides the other: parted by a plane, the one on the eye's side is in front."""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.outputs.report.views.solids import Solid

LEVEL = 1e-6


def far_to_near(solids: Sequence[Solid], eye: Array, right: Array, up: Array) -> list[int]:
    """The order in which to paint solids seen from the direction `eye` (3,), far ones first.

    Pairs that overlap in the picture are parted along the direction that parts them best; where
    three hide each other in a ring, the one furthest away is painted first.
    """
    depth = [float((s.vertices @ eye).mean()) for s in solids]
    boxes = np.array([_box(s, right, up) for s in solids])
    before: list[set[int]] = [set() for _ in solids]
    after: list[set[int]] = [set() for _ in solids]
    low, high = boxes[:, :2], boxes[:, 2:]
    meet = np.all((low[:, None] < high[None]) & (low[None] < high[:, None]), axis=2)
    for i, j in np.argwhere(np.triu(meet, k=1)):
        front = _front(solids[i], solids[j], eye)
        if front:
            back, near = (i, j) if front > 0 else (j, i)
            before[near].add(int(back))
            after[back].add(int(near))
    return _released(before, after, depth)


def _box(solid: Solid, right: Array, up: Array) -> Array:
    across = np.column_stack([solid.vertices @ right, solid.vertices @ up])
    return np.concatenate([across.min(axis=0), across.max(axis=0)])


def _front(a: Solid, b: Solid, eye: Array) -> int:
    """1 when b is in front of a, -1 when a is in front of b, 0 when neither can hide the other."""
    normals = np.vstack([a.normals, b.normals])
    on_a, on_b = a.vertices @ normals.T, b.vertices @ normals.T
    gaps = np.concatenate(
        [on_b.min(axis=0) - on_a.max(axis=0), on_a.min(axis=0) - on_b.max(axis=0)]
    )
    facing = np.concatenate([normals, -normals]) @ eye
    gaps = np.where(np.abs(facing) < LEVEL, gaps - 1e-3, gaps)
    best = int(np.argmax(gaps))
    if abs(facing[best]) < LEVEL:
        return 0
    return 1 if facing[best] > 0.0 else -1


def _released(before: list[set[int]], after: list[set[int]], depth: list[float]) -> list[int]:
    ready = [(depth[i], i) for i, waits in enumerate(before) if not waits]
    heapq.heapify(ready)
    done: list[int] = []
    waiting = {i for i, waits in enumerate(before) if waits}
    while ready or waiting:
        if not ready:
            furthest = min(waiting, key=lambda i: (len(before[i]), depth[i]))
            waiting.discard(furthest)
            ready = [(depth[furthest], furthest)]
        _, here = heapq.heappop(ready)
        done.append(here)
        for near in after[here]:
            before[near].discard(here)
            if not before[near] and near in waiting:
                waiting.discard(near)
                heapq.heappush(ready, (depth[near], near))
    return done
