"""A wall glued over its neighbours' tabs is pushed out at its rim and leans about its foot."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.closure import close_roll
from fitcheck.folding.kinematics import Angles, bends_of, plate_of
from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import RIGHT_ANGLE

ROUNDS = 40


def push_out(
    layout: Layout, wall: str, joint_mm: float, angles: Angles, give: float = 1.0
) -> float:
    """How far the glued tabs push a wall out at its rim, mm, signed: p = give (t + g - s).

    Taken from the panels as they would stand unglued: the gap between the tab's outside face and
    the wall's inside face has to become the joint's thickness. The give is what a paper's coupons
    measured of that; 1 where nobody measured.
    """
    outward = outward_of(layout, wall)
    inside_face = -plate_of(layout, wall, angles).support(-outward)
    tabs = [j.tab for j in layout.pattern.corner_joints if j.wall == wall]
    outside_face = max(plate_of(layout, tab, angles).support(outward) for tab in tabs)
    return give * (joint_mm + outside_face - inside_face)


def outward_of(layout: Layout, wall: str) -> Array:
    """The level direction in which a wall stands beside the floor, (3,)."""
    return np.append(layout.folds[wall].outward, 0.0)


def rim_reach(layout: Layout, wall: str, angles: Angles) -> float:
    """How far a wall's rim reaches outwards, mm: its far edge, or the bend that starts there."""
    outward = outward_of(layout, wall)
    plate = plate_of(layout, wall, angles)
    flat = plate.outline @ layout.folds[wall].outward
    rim = np.tile(flat >= flat.max() - 1e-6, 2)
    reach = float(np.max(plate.corners()[rim] @ outward))
    for line in layout.pattern.creases:
        along = abs(layout.folds[line.child].outward @ layout.folds[wall].outward)
        if line.parent == wall and along > 0.5:
            reach = max(
                [reach, *(b.support(outward) for b in bends_of(layout, line.child, angles))]
            )
    return reach


def folded_angles(layout: Layout, joint_mm: float, give: float = 1.0) -> Angles:
    """The fold angles of a glued part: corners pushed out, rolled frames closed.

    A glued corner holds both its walls: the one over the tabs leans as far as they push it, the
    one that carries them stays as it was glued. Only the rest of a roll gives way to close it.
    """
    angles: Angles = {line.child: line.angle_rad for line in layout.pattern.creases}
    pushed = dict.fromkeys(joint.wall for joint in layout.pattern.corner_joints)
    rolls = {layout.pattern.chain(j.flap)[0].child: j for j in layout.pattern.roll_joints}

    def closed(trial: Angles, wall: str, held: frozenset[str]) -> Angles:
        return close_roll(layout, rolls[wall], joint_mm, trial, held) if wall in rolls else trial

    carrying = {layout.folds[joint.tab].line.parent for joint in layout.pattern.corner_joints}
    for wall in rolls:
        if wall not in pushed:
            angles = closed(angles, wall, frozenset({wall} & carrying))
    for wall in pushed:
        target = rim_reach(layout, wall, angles) + push_out(layout, wall, joint_mm, angles, give)
        last = [angles]

        def leaning(angle: float, last: list[Angles] = last, wall: str = wall) -> Angles:
            last[0] = closed(last[0] | {wall: angle}, wall, frozenset([wall]))
            return last[0]

        def miss(angle: float, wall: str = wall, target: float = target) -> float:
            return rim_reach(layout, wall, leaning(angle)) - target

        height = float(np.ptp(layout.outlines[wall] @ layout.folds[wall].outward))
        push = target - rim_reach(layout, wall, angles)
        angles = leaning(_root(miss, RIGHT_ANGLE, RIGHT_ANGLE - push / height, wall))
    return angles


def _root(miss: Callable[[float], float], first: float, second: float, wall: str) -> float:
    """Where `miss` vanishes between flat and folded over, by secants from two guesses."""
    a, b = first, second
    at_a = miss(a)
    for _ in range(ROUNDS):
        if not 0.0 < b < np.pi:
            break
        at_b = miss(b)
        if abs(at_b) < 1e-10 or a == b:
            return b
        a, b, at_a = b, b - at_b * (b - a) / (at_b - at_a), at_b
    raise ModelError(f"the {wall} cannot lean as far as its glued tabs push it: set the tabs back")
