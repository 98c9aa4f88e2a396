"""The border of a panel beside a score, whole where it is clear of cut-outs and arcs.

A bend takes its share of it as of a panel that is not split, so that it is one bend.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import Panel, Pattern

if TYPE_CHECKING:
    import shapely

SAME_MM = 1e-6
FAR_MM = 1e5
BORDER_MM, LEAST_BORDER_MM = 2.0, 0.05
"""A border is so broad, or narrower where something is near; one too narrow is of no use."""
BORDER_SHARE = 0.45
SPARE = 1.5
"""The drawn border is so much broader, that errors leave it as broad as it is used."""


def borders_of(
    pattern: Pattern, panel: Panel, paper: shapely.Polygon
) -> Iterator[tuple[int, float, Array]]:
    """The creases that have such a border in a panel, how broad it is used, its corners (n, 2)."""
    import shapely

    corners = shapely.get_coordinates(paper)
    for k, crease in enumerate(pattern.lines):
        if panel.name not in (crease.parent, crease.child):
            continue
        start, stop = pattern.score(crease, {})
        along = (stop - start) / np.linalg.norm(stop - start)
        inward = np.array([-along[1], along[0]])
        off = (corners - start) @ inward
        inward *= 1.0 if off.max() > -off.min() else -1.0
        off = np.abs(off)
        broad = min(BORDER_MM, BORDER_SHARE * float(off[off > SAME_MM].min()))
        if broad < LEAST_BORDER_MM:
            continue
        border = paper.intersection(_half_plane(inward, float(start @ inward) + SPARE * broad))
        whole = border.convex_hull.area - border.area < SAME_MM
        if isinstance(border, shapely.Polygon) and whole:
            yield k, broad, shapely.get_coordinates(border.exterior)[:-1]


def _half_plane(normal: Array, limit: float) -> shapely.Polygon:
    """Where normal . point <= limit, as far as anything goes."""
    import shapely

    along, out = FAR_MM * np.array([-normal[1], normal[0]]), -FAR_MM * normal
    one, other = limit * normal - along, limit * normal + along
    return shapely.Polygon([one, other, other + out, one + out])
