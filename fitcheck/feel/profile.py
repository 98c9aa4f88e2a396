"""How far out a base stands and how far in a lid, on a grid of stations round the box, by rays.

Each of four sides is looked at along its own outward direction: rays start on the middle plane of
the box, evenly spread along the side and down its height. A base is where a ray leaves it last, a
lid where a ray meets it first. As a lid sinks, only the heights at which the two face each other
change, so that one look at each does for the whole way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.fit.contact import PARALLEL, TOUCH_MM, reaches
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array

SIDES = ((0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0))
"""The axis and the sense of each side's outward direction."""
NOTHING = np.inf
"""Where a ray meets nothing."""


@dataclass(frozen=True, eq=False)
class Stations:
    """Where rays start, from the middle of the box."""

    along: tuple[Array, Array, Array, Array]
    """(n,) mm along each side."""
    spacing: tuple[float, float, float, float]
    """The stretch of the side that each stands for, mm."""

    @classmethod
    def over(cls, plan_mm: tuple[float, float], count: int) -> Stations:
        """So many stations on each side of a plan (width, length)."""
        steps = (np.arange(count) + 0.5) / count - 0.5
        spans = [plan_mm[1 - axis] for axis, _ in SIDES]
        along = tuple(span * steps for span in spans)
        a, b, c, d = along
        s, t, u, v = (span / count for span in spans)
        return cls((a, b, c, d), (s, t, u, v))


def furthest_out(pieces: Pieces, stations: Stations, heights_mm: Array, middle: Array) -> Array:
    """How far from the middle (2,) pieces stand out at most, (4, n, m) mm; -inf where nothing is.

    At every station of each side and at heights (m,).
    """
    return _all_round(pieces, stations, heights_mm, middle, last=True)


def furthest_in(pieces: Pieces, stations: Stations, heights_mm: Array, middle: Array) -> Array:
    """How far from the middle (2,) the nearest piece stands, (4, n, m) mm; inf where nothing is."""
    return _all_round(pieces, stations, heights_mm, middle, last=False)


def _all_round(
    pieces: Pieces, stations: Stations, heights: Array, middle: Array, *, last: bool
) -> Array:
    """Where the rays of all four sides leave pieces last, or meet one first, from the middle."""
    return np.stack(
        [
            _hits(pieces, axis, sense, along + middle[1 - axis], heights, last=last)
            - sense * middle[axis]
            for (axis, sense), along in zip(SIDES, stations.along, strict=True)
        ]
    )


def _hits(
    pieces: Pieces, axis: int, sense: float, along: Array, heights: Array, *, last: bool
) -> Array:
    """Where rays along one axis leave pieces last, or meet one first, (n, m) mm outwards."""
    across = 1 - axis
    low, high = pieces.bounds
    outer = high[:, axis] if sense > 0.0 else -low[:, axis]
    rows = np.flatnonzero(outer > 0.0)
    found = np.full((len(along), len(heights)), -NOTHING if last else NOTHING)
    # where pieces meet behind each other a ray between them runs along the faces of both
    beside = (along[:, None] >= low[rows, across]) & (along[:, None] <= high[rows, across])
    level = (heights[:, None] >= low[rows, 2]) & (heights[:, None] <= high[rows, 2])
    s, z, at = np.nonzero(beside[:, None] & level[None])
    if not len(at):
        return found
    normals, corners = pieces.normals.padded(rows), pieces.vertices.padded(rows)
    limits = reaches(corners, normals)[0]
    rate = sense * normals[axis][:, at]
    rate[np.abs(rate) < PARALLEL] = 0.0
    room = limits[:, at] - normals[across][:, at] * along[s] - normals[2][:, at] * heights[z]
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = room / rate
    leaves = np.where(rate > 0.0, reach, NOTHING).min(axis=0)
    enters = np.where(rate < 0.0, reach, -NOTHING).max(axis=0)
    # a face along the ray decides by its side alone
    passes = ((rate != 0.0) | (room >= -TOUCH_MM)).all(axis=0)
    met = passes & (leaves >= enters) & (enters > 0.0 if not last else leaves > 0.0)
    if last:
        np.maximum.at(found, (s[met], z[met]), leaves[met])
    else:
        np.minimum.at(found, (s[met], z[met]), enters[met])
    return found
