"""What is glued flat on panels becomes cells of theirs, a sheet and its glue further in."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from fitcheck.folding.cells import Cells
from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Corner


def with_layers(
    cells: Cells, pattern: Pattern, placed: Callable[[Corner], Array], middle: Array
) -> Cells:
    """The cells of a pattern and of its layers; `middle` (b, 2) mm is where the root lies."""
    names = [panel.name for panel in pattern.panels]
    onto = np.array([names.index(layer.onto) for layer in pattern.layers], dtype=np.intp)
    panels = [layer.panel for layer in pattern.layers]
    counts = np.array([len(panel.corners) for panel in panels], dtype=np.intp)
    points = np.zeros((len(middle), len(panels), int(counts.max()), 2))
    for k, panel in enumerate(panels):
        spots = np.stack([placed(corner) for corner in panel.corners], axis=1)
        points[:, k, : counts[k]] = spots - middle[:, None]
    return cells.with_layers(onto, points, counts)
