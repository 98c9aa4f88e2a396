"""The length that is wrong most often in drawn boxes: what the shares are about."""

from __future__ import annotations

import numpy as np

from fitcheck.fit.right import Deciding, enough, goes, right
from fitcheck.folding.pose import Array
from fitcheck.odds.landing import PASSES, play_name
from fitcheck.odds.propagate import Samples
from fitcheck.odds.prospect import Prospect, judged_lines, right_flags
from fitcheck.odds.quantities import (
    LID_PLAY,
    OVER_GRID,
    Outlook,
    content_slack,
    mate_play,
    steadied_plays,
)
from fitcheck.pattern.sheet import Axis


def weakest(prospect: Prospect, samples: Samples) -> str:
    """The length that is wrong most often: a play, or what something has to spare."""
    outlook, design = prospect.outlook, prospect.check.design
    rooms = [*map(content_slack, judged_lines(prospect))]
    rooms += [OVER_GRID] if OVER_GRID in outlook.names else []

    def drawn(name: str) -> Array:
        row: Array = samples.outcomes[outlook.row(name)]
        return row

    def shifty(name: str) -> tuple[float, float]:
        steady = right_flags(prospect, Deciding(wider_mm=drawn(name)), samples.boxes)
        return -float(np.mean(~steady)), float(drawn(name).mean())

    wrong = {
        name: (-float(np.mean(~enough(drawn(name)))), float(drawn(name).mean())) for name in rooms
    }
    for fit in prospect.check.mates:
        name = mate_play(fit.mate)
        if name in outlook.names:
            going = goes(drawn(name), design.bands, design.want)
            wrong[name] = -float(np.mean(~going)), float(drawn(name).mean())
    if LID_PLAY in outlook.names:
        play = right(Deciding(play_mm=drawn(LID_PLAY)), design.bands, design.want)
        wrong[LID_PLAY] = -float(np.mean(~play)), -np.inf
    steady = (*map(play_name, Axis), *steadied_plays(prospect.check.mates))
    wrong |= {name: shifty(name) for name in steady if name in outlook.names}
    return min(wrong, key=lambda name: wrong[name], default="")


def spread_by(outlook: Outlook, about: str) -> str:
    """The length whose variance tells what matters to another one.

    A lid that lands on its base's rim plays round its neck, whatever it did not pass by.
    """
    return PASSES if about == LID_PLAY and outlook.landing is not None else about
