"""Which panels come to their last place with each step of folding, gluing and closing."""

from __future__ import annotations

from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.sheet.actions import (
    CloseLid,
    Closing,
    GlueCorner,
    GlueSeam,
    LayIn,
    RollSide,
    StandIn,
    Step,
    TuckIn,
)
from fitcheck.sheet.layers import FoldDown, TurnInCorner
from fitcheck.sheet.left_folded import LeaveFolded

LOOSE = (Role.BOTTOM_FLAP, Role.DUST_FLAP)
"""What hangs on its crease alone until an end is closed over it."""


def folded_by(pattern: Pattern, step: Step | Closing) -> frozenset[str] | None:
    """The panels that are in their last place after a step; None for one that folds nothing."""
    every = frozenset(line.child for line in pattern.creases)
    found: frozenset[str] | set[str] | None = None
    match step:
        case GlueCorner():
            found = {line.child for end in (step.tab, step.wall) for line in pattern.chain(end)}
        case TurnInCorner() | GlueSeam():
            loose = {panel.name for panel in pattern.panels if panel.role in LOOSE}
            ends = {name for tuck in pattern.tucks for name in _end(pattern, tuck.lid, tuck.flap)}
            found = every - pattern.hung - loose - ends
        case LeaveFolded():
            found = every - pattern.hung
        case RollSide():
            found = set(step.panels)
        case FoldDown():
            found = {line.child for line in pattern.chain(step.panel)}
        case LayIn() | StandIn():
            found = every
        case TuckIn():
            found = {*step.under, *_end(pattern, step.lid, step.flap)}
        case CloseLid():
            found = {*step.hung, *(line.child for line in pattern.chain(step.lid))}
    return None if found is None else frozenset(found)


def _end(pattern: Pattern, lid: str, flap: str) -> set[str]:
    """The creases that close an end, by the panels that they carry: its flap's and its lid's.

    Where the lid is what all else hangs on, its crease is that of the wall beside it.
    """
    root = pattern.panels[0].name
    walls = {line.child for line in pattern.creases if line.parent == root} - {flap}
    return {flap, *(walls if lid == root else {lid})}
