"""How far what has a name is shifted from box to box, where it is otherwise alike."""

from __future__ import annotations

import numpy as np

from fitcheck.folding.pieces import SHORT_MM, Pieces
from fitcheck.folding.pose import Array


def shifts(pieces: Pieces, other: Pieces) -> Array:
    """How far all that has a name is shifted from where it is in one box, (b, k, 3) mm.

    That box is the other one, with the same names; nan where something is turned or is of another
    form or not there at all. The first and the last slice tell of a whole bend: its radii, its
    angles and its ends.
    """
    here, there = pieces.stretches, other.stretches
    boxes = 1 + int(pieces.boxes.max(initial=0))
    found = np.full((boxes, len(pieces.names), 3), np.nan)
    place = np.full(len(pieces.names), -1)
    place[there.kinds] = np.arange(len(there.kinds))
    like = place[here.kinds]
    mine, theirs = (np.stack([own.ends[:-1], own.ends[1:] - 1]) for own in (here, there))
    same = (like >= 0) & (np.diff(here.ends) == np.diff(there.ends)[like])
    same &= (pieces.counts[mine] == other.counts[theirs[:, like]]).all(axis=0)
    alike = np.flatnonzero(same)
    if not len(alike):
        return found
    by = [
        pieces.corners(own) - other.corners(designed)
        for own, designed in zip(mine[:, alike], theirs[:, like[alike]], strict=True)
    ]
    every = np.concatenate(by, axis=1)
    rigid = np.ptp(every, axis=1).max(axis=0) < SHORT_MM
    rows = alike[rigid]
    found[here.boxes[rows], here.kinds[rows]] = every[:, 0, rigid].T
    return found
