"""What stays flat of a panel between two creases that run along each other, in many boxes."""

from __future__ import annotations

import itertools

import numpy as np

from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array

AGAINST = -1.0 + 1e-6


def flat_widths(layout: Layout, angles: Array) -> dict[str, Array]:
    """The width of each panel that lies between such creases, (b,) mm; below 0 they overlap.

    Each crease takes half of its bend from the panel, as where the outline of what stays flat is
    cut. `angles` (b, k) are those of the creases.
    """
    halves, tree = layout.halves(angles), layout.tree
    found: dict[str, Array] = {}
    for number, panel in enumerate(layout.pattern.panels):
        creases = [int(k) for k in tree.around[number] if k >= 0]
        if len(creases) < 2:
            continue
        signs = tree.inward(np.full(len(creases), number), np.array(creases))
        inward = layout.outwards[:, creases] * signs[:, None]
        starts = np.einsum("bmi,bmi->bm", inward, layout.origins[:, creases]) + halves[:, creases]
        for one, other in itertools.combinations(range(len(creases)), 2):
            if inward[0, one] @ inward[0, other] < AGAINST:
                width = -starts[:, other] - starts[:, one]
                known = found.get(panel.name)
                found[panel.name] = width if known is None else np.minimum(known, width)
    return found
