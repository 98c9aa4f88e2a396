"""Which sizes keep every part on a sheet of the workshop that is on one now."""

from __future__ import annotations

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.sheets import larger_parts
from fitcheck.folding.pose import Array, Flags
from fitcheck.odds.sizes import Lines
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE


def held_rows(found: Check, lines: Lines, rows: Array) -> Flags:
    """(c,) whether sheets hold all that they hold now with rows of lengths (c, s), mm."""
    larger = {part.recipe.part for part in larger_parts(found.assembly)}
    places = lines.places(rows)
    sides = {
        (one.parts[0], one.rule): places[:, k]
        for k, one in enumerate(lines.inputs)
        if lines.edges[k]
    }
    held: Flags = np.ones(len(rows), dtype=bool)
    for part in {part for part, _ in sides} - larger:
        pairs = np.stack([sides[part, WIDTH_EDGE], sides[part, LENGTH_EDGE]], axis=1)
        cut, of = np.unique(pairs, axis=0, return_inverse=True)
        papers = found.design.tools.papers
        kept = [any(paper.holds(*pair) for paper in papers) for pair in cut.tolist()]
        held &= np.array(kept)[of.ravel()]
    return held
