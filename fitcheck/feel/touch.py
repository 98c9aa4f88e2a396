"""How a lid feels in the hand: the names of it, and what decides between them."""

from __future__ import annotations

import enum

import numpy as np

from fitcheck.folding.pose import Array, Flags, Rows

FORCED_N, DAMAGES_N = 3.0, 10.0
"""From which force a lid has to be forced; from which it does not go on without damage where its
corners may open. A long overlap takes as much force of a press that opens none."""
HOLDS_TIMES = 1.5
"""A lid holds a box for certain that weighs so much less than what moves it."""
FLOATS_S, SLOWLY_S, DROPS_S = 60.0, 10.0, 2.0


class Touch(enum.StrEnum):
    """From the tightest to the loosest."""

    DAMAGES = "damages"
    """It does not go on without damage."""
    FORCED = "forced"
    HOLDS = "holds"
    """The box can be lifted by it."""
    STAYS = "stays"
    """It stays where it is pushed."""
    FLOATS = "floats"
    """The air below carries it."""
    SLOWLY = "slowly"
    SINKS = "sinks"
    DROPS = "drops"


def touches(
    force_n: Array,
    seconds: Array,
    lid_n: Array | float,
    rest_n: Array | float,
    splits: Flags | bool = True,
) -> Rows:
    """Where lids stand among `Touch`, (b,), by the force that moves them and the time they sink.

    `lid_n` is a lid's weight, `rest_n` that of all else that is lifted by it; `splits` says whether
    corners may open. What a lid's own weight moves sinks, however heavy it is.
    """
    stays = force_n >= lid_n
    holds = np.maximum(HOLDS_TIMES * np.asarray(rest_n), lid_n)
    found: Rows = np.select(
        [
            stays & (force_n > DAMAGES_N) & splits,
            stays & (force_n > FORCED_N),
            force_n > holds,
            stays,
            seconds > FLOATS_S,
            seconds > SLOWLY_S,
            seconds > DROPS_S,
        ],
        list(range(7)),
        7,
    )
    return found
