"""First contact and least clearance of a turn, found by halving intervals until nothing is open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.fit.casts import few_of_each
from fitcheck.fit.turn_cells import examine
from fitcheck.fit.turn_near import Cells, Nearby
from fitcheck.folding.pose import Array, Flags, Rows

UNDECIDED_RAD = 1e-4
"""What is not settled within this is undecided."""
FINEST_RAD = 1e-8
"""No interval is halved further."""
CLEAR_MM = 1e-5
"""A least clearance is found to this."""
FEW = 4
"""So many intervals of each two names are looked at together at first, then ever more."""


@dataclass(frozen=True, eq=False)
class Least:
    """The least clearance of groups, (g,) each; what cannot be among the nearest is inf."""

    apart_mm: Array
    angle_rad: Array
    a: Rows
    b: Rows


@dataclass(frozen=True, eq=False)
class Contact:
    """Where boxes were first met, (b,) each; travels are rad from the start, inf for never."""

    touch: Array
    """The first travel at which some pair is seen in contact."""
    stuck: Array
    """Up to this travel it is free; what follows is not proven to be."""
    touching: Rows
    """(b, 2) the pair that was seen in contact first."""
    doubtful: Rows
    """(b, 2) the pair that is not proven free first."""
    across: Array
    """(b, 3) the direction in which the first is met."""


class Search:
    """One search over all boxes: from `start` to `stop` (b,) rad, either way.

    Clearances are sought that are within `within_mm` of the least, None for no clearances at all.
    """

    def __init__(
        self, nearby: Nearby, start: Array, stop: Array, give_mm: float, within_mm: float | None
    ) -> None:
        self.nearby, self.start = nearby, start
        self.way = np.where(stop >= start, 1.0, -1.0)
        self.give_mm, self.within_mm = give_mm, within_mm or 0.0
        self.clearances = within_mm is not None
        boxes, groups = len(start), len(nearby.boxes)
        self.nearest = np.full(boxes, np.inf)
        self.least = np.full(groups, np.inf)
        self.least_at, self.least_pair = np.zeros(groups), np.zeros((groups, 2), dtype=np.intp)
        self.touch, self.stuck = np.full(boxes, np.inf), np.full(boxes, np.inf)
        self.touching, self.doubtful = (np.zeros((boxes, 2), dtype=np.intp) for _ in range(2))
        self.across = np.zeros((boxes, 3))

    def run(self) -> tuple[Contact, Least]:
        """Halve what is open until all is settled."""
        lowers = self.nearby.lowers()
        boxes = self.nearby.boxes
        reach = np.full(len(self.start), -self.give_mm)
        if self.clearances and len(boxes):
            # the nearest interval of each group says how near it is worth to look
            first = lowers.argmin(axis=1)
            order = np.argsort(lowers.min(axis=1), kind="stable")
            near = order[few_of_each(boxes[order], FEW)]
            self._look(near, first[near], np.full(len(near), np.inf))
            reach = np.maximum(self.nearest, 0.0) + self.within_mm
        groups, intervals = np.nonzero(lowers <= reach[boxes][:, None])
        self._settle(self.nearby.cells(groups, intervals, reach[boxes[groups]]))
        contact = Contact(self.touch, self.stuck, self.touching, self.doubtful, self.across)
        a, b = self.least_pair.T
        return contact, Least(self.least, self.least_at, a, b)

    def _look(self, groups: Rows, intervals: Rows, below: Array) -> None:
        """Bring down the least clearances by the nearest pieces of some groups in an interval."""
        cells = self.nearby.cells(groups, intervals, below)
        order = np.argsort(cells.lower, kind="stable")
        self._examined(cells.take(order[few_of_each(cells.group[order], 1)]))

    def _settle(self, cells: Cells) -> None:
        count = FEW
        while True:
            kept, waiting = self._open(cells)
            cells, waiting = cells.take(kept), waiting[kept]
            if not len(cells):
                return
            order = np.argsort(cells.lower, kind="stable")
            order = order[~waiting[order]]
            rows = order[few_of_each(cells.group[order], count)]
            count *= 2
            cells = cells.and_halves(rows, self._examined(cells.take(rows)))

    def _open(self, cells: Cells) -> tuple[Flags, Flags]:
        """Which intervals still matter, and which of them may wait; ends of the way are noted."""
        box = self.nearby.boxes[cells.group]
        wide = cells.stop - cells.start > FINEST_RAD
        for_least = wide & self.clearances & (cells.lower < self.least[cells.group] - CLEAR_MM)
        for_least &= cells.lower < self.nearest[box] + self.within_mm
        travel = self._travel(cells, box)
        unproven = cells.lower < -self.give_mm
        unproven &= travel < np.minimum(self.touch, self.stuck)[box]
        self._note_stuck(cells, box, travel, unproven & ~wide)
        unproven &= wide & (travel < np.minimum(self.touch, self.stuck)[box])
        # of what may be undecided only the first is looked at closer
        narrow = unproven & (cells.stop - cells.start <= UNDECIDED_RAD)
        first = np.full(len(self.start), np.inf)
        np.minimum.at(first, box[narrow], travel[narrow])
        waiting = narrow & (travel > first[box]) & ~for_least
        return for_least | unproven, waiting

    def _travel(self, cells: Cells, box: Rows) -> Array:
        """How far each interval's near end is from the start."""
        end = np.where(self.way[box] > 0.0, cells.start, cells.stop)
        found: Array = np.abs(end - self.start[box])
        return found

    def _note_stuck(self, cells: Cells, box: Rows, travel: Array, rows: Flags) -> None:
        for k in _earliest(np.flatnonzero(rows), box, travel):
            if travel[k] < self.stuck[box[k]]:
                self.stuck[box[k]] = travel[k]
                self.doubtful[box[k]] = cells.a[k], cells.b[k]

    def _examined(self, cells: Cells) -> Array:
        """What is known of intervals once they are looked at; contacts and nearest are noted."""
        box = self.nearby.boxes[cells.group]
        enough = np.full(len(cells), -self.give_mm)
        if self.clearances:
            near = self.nearest[box] + self.within_mm
            enough = np.maximum(enough, np.minimum(self.least[cells.group] - CLEAR_MM, near))
        found = examine(self.nearby.scene, cells.a, cells.b, cells.start, cells.stop, enough)
        middle = 0.5 * (cells.start + cells.stop)
        order = np.lexsort((found.apart_mm, cells.group))
        first = order[few_of_each(cells.group[order], 1)]
        first = first[found.apart_mm[first] < self.least[cells.group[first]]]
        groups = cells.group[first]
        self.least[groups], self.least_at[groups] = found.apart_mm[first], middle[first]
        self.least_pair[groups] = np.stack([cells.a[first], cells.b[first]], axis=1)
        np.minimum.at(self.nearest, box, found.apart_mm)
        travel = np.abs(middle - self.start[box])
        for k in _earliest(np.flatnonzero(found.apart_mm < -self.give_mm), box, travel):
            if travel[k] < self.touch[box[k]]:
                self.touch[box[k]] = travel[k]
                self.touching[box[k]] = cells.a[k], cells.b[k]
                self.across[box[k]] = found.directions[:, k]
        lower: Array = np.maximum(cells.lower, found.least_mm)
        return lower


def _earliest(rows: Rows, box: Rows, travel: Array) -> list[int]:
    """Of some rows, the first on the way of each box."""
    order = rows[np.lexsort((travel[rows], box[rows]))]
    found: list[int] = order[few_of_each(box[order], 1)].tolist()
    return found
