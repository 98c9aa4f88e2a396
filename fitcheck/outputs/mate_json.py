"""How parts go together as JSON: all lengths in mm."""

from __future__ import annotations

import math
from typing import Any

from fitcheck.design.model import LidVerdict
from fitcheck.fit.check import Check
from fitcheck.fit.slide import Slide
from fitcheck.fit.turn_fit import TuckFit, TurnFit
from fitcheck.outputs.json_lengths import DIGITS, rounded
from fitcheck.styles.mates import Mate, Over


def mates_data(check: Check) -> list[dict[str, Any]]:
    """Every mate, the lid's too, which has more to say of itself under `lid`."""
    found = []
    if check.lid is not None:
        over = next(mate for mate in check.design.mates if isinstance(mate, Over))
        found.append(_mate(over, check.lid.verdict, check.lid.slide))
    for fit in check.mates:
        if isinstance(fit, TurnFit):
            found.append(_turn(fit))
            continue
        own = _mate(fit.mate, fit.verdict, fit.slide)
        there = fit.lies.travels if fit.lies is not None and fit.slide.free else ()
        found.append(
            own
            | {
                "stands_out_mm": rounded(fit.stands_out_mm),
                "lies_play_mm": {str(one.axis): rounded(one.play_mm) for one in there} or None,
            }
        )
    return found


def _mate(mate: Mate, verdict: LidVerdict, slide: Slide) -> dict[str, Any]:
    return {
        "mover": mate.mover,
        "holder": mate.holder,
        "motion": str(mate.motion),
        "verdict": str(verdict),
        "play_mm": {str(travel.axis): rounded(travel.play_mm) for travel in slide.travels},
        "blocked_by": list(slide.blocked_by) if slide.blocked_by else None,
    }


def _turn(fit: TurnFit) -> dict[str, Any]:
    blocked = fit.swing.angle_rad
    tucked = _tucked(fit) if isinstance(fit, TuckFit) else {}
    return {
        "mover": fit.mate.mover,
        "holder": fit.mate.holder,
        "panel": fit.mate.panel,
        "motion": str(fit.mate.motion),
        "verdict": str(fit.verdict),
        "clearance_mm": rounded(fit.clearance_mm),
        "blocked_at_deg": None if blocked is None else round(math.degrees(blocked), DIGITS),
        "closed_at_deg": round(math.degrees(fit.closed_rad), DIGITS),
        "pieces": None if fit.pieces is None else list(fit.pieces),
        "rim_gap_mm": rounded(fit.rim_gap_mm),
        "closed_height_mm": rounded(fit.closed_height_mm),
        **tucked,
    }


def _tucked(fit: TuckFit) -> dict[str, Any]:
    """What is left round a flap that is tucked in, and whether it holds there."""
    least = fit.swing.least
    return {
        "play_mm": {way: rounded(fit.plays[way]) for way in fit.rooms},
        "way_in_mm": None if least is None else rounded(least.apart_mm),
        "catch_mm": None if fit.catch_mm is None else rounded(fit.catch_mm),
        "holds": fit.holds,
    }
