"""What stands leaning walls upright and costs no boxes."""

from __future__ import annotations

from fitcheck.fit.check import Check
from fitcheck.fit.remarks import WALL_LEANS
from fitcheck.fit.upright import Upright, uprights_kept
from fitcheck.odds.hands import Hands
from fitcheck.odds.odds import hands_for, prospect_of
from fitcheck.odds.prospect import Prospect
from fitcheck.workspace.progress import SILENT, Progress

ALIKE = 0.01
"""Shares that differ by less are told alike."""


def kept_upright(
    prospect: Prospect, hands: Hands, seed: int, progress: Progress = SILENT
) -> tuple[Upright, ...]:
    """What stands the walls of a prospect's parts upright without that fewer boxes are right.

    Tabs that are set back have scores of their own, so a changed design is made by hands that are
    drawn anew, as many times as `hands` are.
    """
    found = prospect.check
    if not any(one.code == WALL_LEANS for one in found.findings):
        return ()
    boxes, before = hands.off.shape[1], float(hands.right(prospect).mean())

    def worth(again: Check) -> float | None:
        there = prospect_of(again, boxes, seed, prospect.humidity, progress=progress)
        after = float(hands_for(there, boxes, seed).right(there).mean())
        return ALIKE * round(after / ALIKE) if after >= before - 0.5 * ALIKE else None

    return uprights_kept(found, worth)
