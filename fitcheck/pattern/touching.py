"""Panels that touch by intent: what the pattern lays on each other never counts as in the way."""

from __future__ import annotations

from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.pattern import Pattern


def touching(pattern: Pattern) -> set[tuple[str, str]]:
    """Pairs of panels that touch by intent: neighbours at a crease, glued corners, laps."""
    pairs = [(line.parent, line.child) for line in pattern.lines]
    pairs += [(joint.panel, joint.onto) for joint in pattern.corner_joints]
    pairs += [(lap.over, under) for lap in pattern.laps for under in pattern.beyond(lap.under)]
    pairs += [(panel.name, panel.name) for panel in pattern.panels]
    # the fold of a layer that is glued in a corner is in the way of the wall that carries the tab
    pairs += [
        (pattern.crease_to(joint.panel).parent, bond.panel)
        for joint in pattern.corner_joints
        for bond in pattern.bonds_of(JointKind.HEM)
        if joint.between and bond.onto == joint.onto
    ]
    # what is turned in under a lid lies against it
    pairs += [(name, tuck.lid) for tuck in pattern.tucks for name in tuck.under]
    # a roll is closed with its flap's tip at its own outer wall at the most
    pairs += [(joint.panel, pattern.chain(joint.panel)[0].child) for joint in pattern.roll_joints]
    return set(pairs) | {(b, a) for a, b in pairs}
