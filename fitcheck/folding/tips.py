"""Where a sheet's corner is folded through, its bend ends with the plates on either side.

Both edges of the sheet fall back from the end of such a score. The flat length of the fold goes on
to the corner, and its inside, which has no room for that length, would stand out beyond both edges
as a needle. It is squeezed, or pressed down by the first lid, and no size hangs on it (common
practice, no source).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.folding.bends import Bends
from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array, Flags
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Corner

CLEAR_SLOPE = 0.1
"""An edge that falls back by no more of its length is square to the score."""


@dataclass(frozen=True)
class Tip:
    """The end of a score at a corner of the sheet, by places in the pattern."""

    crease: int
    edges: tuple[tuple[int, int, int], ...]
    """Of the parent's and the child's outline: which panel, its corner there, and where the edge
    that falls back ends."""


def tips_of(pattern: Pattern) -> tuple[Tip, ...]:
    """The ends of scores to which nothing else is scored and from which both edges fall back."""
    ends = Counter(corner for line in pattern.lines for corner in (line.start, line.stop))
    numbers = {panel.name: k for k, panel in enumerate(pattern.panels)}
    found = []
    for crease, line in enumerate(pattern.lines):
        for tip, other in ((line.stop, line.start), (line.start, line.stop)):
            if ends[tip] > 1:
                continue
            own = [numbers[line.parent], numbers[line.child]]
            places = [_edge(pattern, pattern.panels[k].corners, tip, other) for k in own]
            edges = [(k, *at) for k, at in zip(own, places, strict=True) if at]
            if len(edges) == len(own):
                found.append(Tip(crease, tuple(edges)))
    return tuple(found)


def _edge(
    pattern: Pattern, corners: Sequence[Corner], tip: Corner, other: Corner
) -> tuple[int, int] | None:
    """The places of a tip and of the end of its edge that falls back; None where none does."""
    if tip not in corners or other not in corners:
        return None
    at = corners.index(tip)
    beside = {(at + step) % len(corners) for step in (-1, 1)} - {corners.index(other)}
    if len(beside) > 1:
        return None
    (to,) = beside
    start, back, end = (np.array(pattern.sheet.place(one, {})) for one in (tip, other, corners[to]))
    score, edge = back - start, end - start
    clear = score @ edge > CLEAR_SLOPE * np.hypot(*score) * np.hypot(*edge)
    return (at, to) if clear else None


def blunted(bends: Bends, layout: Layout, angles: Array, panels: Array) -> Bends:
    """The bends without such tips, folded by angles (b, c); `panels` (b, p, 4, 4) are the poses."""
    ends = bends.ends_mm.copy()
    for tip in tips_of(layout.pattern):
        rows = np.flatnonzero(bends.kinds == tip.crease)
        own, boxes = bends.take(rows), bends.boxes[rows]
        half = layout.halves(angles)[boxes, tip.crease]
        whole = np.abs(angles[boxes, tip.crease])
        limits, upwards = [], np.zeros(len(rows), dtype=bool)
        for (panel, at, to), angle in zip(tip.edges, (0.0 * whole, whole), strict=True):
            flat = layout.points[boxes, panel]
            edge = flat[:, to] - flat[:, at]
            across = np.einsum("mi,mi->m", edge, layout.outwards[boxes, tip.crease])
            border = flat[:, at] + edge * (half / np.abs(across))[:, None]
            within = flat[:, : layout.counts[panel]].mean(axis=1) - border
            limit, upwards = _limit(own, panels[boxes, panel], border, edge, within, angle)
            limits.append(limit)
        share = own.angles_rad / whole[:, None]
        limit = (1.0 - share) * limits[0][:, None] + share * limits[1][:, None]
        high, low = rows[upwards], rows[~upwards]
        ends[high, :, 1] = np.minimum(ends[high, :, 1], limit[upwards])
        ends[low, :, 0] = np.maximum(ends[low, :, 0], limit[~upwards])
    return replace(bends, ends_mm=ends)


def _limit(
    bends: Bends, panels: Array, border: Array, edge: Array, within: Array, angle: Array
) -> tuple[Array, Flags]:
    """How far along their axes bends reach where they end with a panel's edge, (m,) mm, and whether
    that is upwards.

    There the bend is turned by its angle (m,); `border` is a point of the edge, `edge` the way
    along it and `within` the way into the panel, (m, 2) each on the sheet, `panels` (m, 4, 4) the
    panels' poses.
    """
    outward = np.stack([edge[:, 1], -edge[:, 0]], axis=1)
    outward *= -np.sign(np.einsum("mi,mi->m", outward, within))[:, None]
    turns = panels[:, :3, :2]
    place = np.einsum("mij,mj->mi", turns, border) + panels[:, :3, 3] - bends.poses[:, :3, 3]
    outward = np.einsum("mij,mj->mi", turns, outward)
    x, y, z = np.einsum("mij,mi->jm", bends.poses[:, :3, :3], outward)
    radial = np.sin(angle) * x - np.cos(angle) * z
    far = np.maximum(bends.radius_mm * radial, bends.outer_mm * radial)
    return (np.einsum("mi,mi->m", outward, place) - far) / y, y > 0.0
