"""How often luck alone brings so few right boxes: what is said before a whole run can tell."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.learn.watch import SLIP_RIGHT, nodes_of

SELDOM = 0.02
"""What luck brings less often is worth a word before it is an alarm."""
FEW = 5
"""So few boxes tell little either way."""


def so_few_by_luck(boxes: Sequence[ScoredBox]) -> float:
    """The chance, if the odds are right, that no more of these boxes come out right than did.

    It is one look: who looks after each box sees a seldom one somewhat oftener. What is not known
    of papers and tools is one for all of them, and a record may be a slip, as in `watch`.
    """
    nodes, weights = nodes_of(boxes)
    law = np.ones((len(nodes), 1))
    for box in boxes:
        alone = len(nodes) == 1
        right = np.array([box.right.chance]) if alone else box.right_if_shared(nodes)
        right = np.clip(right, SLIP_RIGHT, 1.0 - SLIP_RIGHT)
        law = np.pad(law, ((0, 0), (0, 1))) * (1.0 - right)[:, None] + np.pad(
            law * right[:, None], ((0, 0), (1, 0))
        )
    came = sum(box.right.happened for box in boxes)
    return min(1.0, float(weights @ law[:, : came + 1].sum(axis=1)))
