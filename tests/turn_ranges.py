"""At which angles a flap is free: every range of them, where the rest stands as it is."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from fitcheck.fit.turn import nearby_of
from fitcheck.fit.turn_cells import examine
from fitcheck.fit.turn_near import INTERVALS, Nearby
from fitcheck.fit.turn_search import Search
from fitcheck.folding.hinges import Hinges, chosen
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, Flags, Rows

Range = tuple[float, float]
"""From which fold angle to which, rad."""
WITHIN = 4
"""Each interval of a turn is tried at so many angles: a range that lies between them is missed."""


def free_ranges(
    parts: FoldedParts,
    panel: str,
    low_rad: Array,
    high_rad: Array,
    others: Pieces | None = None,
    *,
    may_touch: Collection[tuple[str, str]] = (),
    give_mm: float,
) -> list[list[Range]]:
    """The ranges of fold angles, from `low_rad` to `high_rad` (b,), at which a panel is free.

    Those of each box in order; ends to 1e-8 rad, free all the way between. A range narrower than
    1 / 64 of the whole may be missed. Arguments and errors as `turn.swings`.
    """
    low, high = np.asarray(low_rad, dtype=float), np.asarray(high_rad, dtype=float)
    hinges = Hinges(parts, panel)
    nearby = nearby_of(hinges, low, high, others, may_touch)
    tried, free = _tried(nearby, low, high, give_mm)
    found: list[list[Range]] = [[] for _ in low]
    while True:
        boxes = np.flatnonzero(free.any(axis=1))
        if not len(boxes):
            return [sorted(own) for own in found]
        seeds = tried[boxes, free[boxes].argmax(axis=1)]
        own = chosen(parts, boxes)
        beside = None if others is None else _of_boxes(others, boxes)
        ends = []
        for stop in (low[boxes], high[boxes]):
            near = nearby_of(Hinges(own, panel), seeds, stop, beside, may_touch)
            ends.append(_reached(near, seeds, stop, give_mm))
        for k, box in enumerate(boxes.tolist()):
            least, most = float(ends[0][k]), float(ends[1][k])
            if most > least:
                found[box].append((least, most))
            free[box] &= (tried[box] < least) | (tried[box] > most)
            free[box] &= tried[box] != seeds[k]


def _of_boxes(pieces: Pieces, boxes: Rows) -> Pieces:
    if not pieces.boxes.any():
        return pieces
    return Pieces.joined([pieces.of_box(box) for box in boxes.tolist()])


def _reached(nearby: Nearby, start: Array, stop: Array, give_mm: float) -> Array:
    """How far each turn is free, (b,) rad."""
    contact, _ = Search(nearby, start, stop, give_mm, None).run()
    travel = np.minimum(np.minimum(contact.touch, contact.stuck), np.abs(stop - start))
    found: Array = start + np.where(stop >= start, 1.0, -1.0) * travel
    return found


def _tried(nearby: Nearby, low: Array, high: Array, give_mm: float) -> tuple[Array, Flags]:
    """Angles (b, m) that are tried, the ends among them, and at which nothing is met."""
    count = INTERVALS * WITHIN
    shares = np.concatenate([[0.0], (np.arange(count) + 0.5) / count, [1.0]])
    angles = low[:, None] + (high - low)[:, None] * shares
    free = np.ones(angles.shape, dtype=bool)
    groups, intervals = np.nonzero(nearby.lowers() < -give_mm)
    cells = nearby.cells(groups, intervals, np.full(len(groups), -give_mm))
    box = nearby.boxes[cells.group]
    places = np.floor((cells.start - low[box]) / (high - low)[box] * INTERVALS + 0.5)
    first = np.minimum(places.astype(np.intp), INTERVALS - 1) * WITHIN
    for column in range(-1, WITHIN + 1):
        at = first + 1 + column
        met = (at >= 0) & (at < len(shares)) & free[box, np.clip(at, 0, len(shares) - 1)]
        rows = np.flatnonzero(met)
        angle = angles[box[rows], at[rows]]
        enough = np.full(len(rows), -np.inf)
        found = examine(nearby.scene, cells.a[rows], cells.b[rows], angle, angle, enough)
        hit = rows[found.apart_mm < -give_mm]
        free[box[hit], at[hit]] = False
    return angles, free
