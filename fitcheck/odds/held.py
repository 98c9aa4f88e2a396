"""Which sizes keep every part on a sheet of the workshop that is on one now."""

from __future__ import annotations

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.sheets import larger_parts
from fitcheck.folding.pose import Array, Flags
from fitcheck.odds.sizes import Lines


def held_rows(found: Check, lines: Lines, rows: Array) -> Flags:
    """(c,) whether sheets hold all that they hold now with rows of lengths (c, s), mm."""
    larger = {part.recipe.part for part in larger_parts(found.assembly)}
    held: Flags = np.ones(len(rows), dtype=bool)
    for part, sides in lines.sides(lines.places(rows)).items():
        if part in larger:
            continue
        cut, of = np.unique(np.stack(sides, axis=1), axis=0, return_inverse=True)
        papers = found.design.tools.papers
        kept = [any(paper.holds(*pair) for paper in papers) for pair in cut.tolist()]
        held &= np.array(kept)[of.ravel()]
    return held
