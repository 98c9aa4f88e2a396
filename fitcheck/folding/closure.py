"""A rolled frame closes where its fold angles depart least from what was asked, glued faces met."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.kinematics import Angles, panel_pose
from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import RollJoint

CLOSED_MM = 1e-10
STEP_RAD = 1e-5
SETTLED_RAD = 1e-8
ROUNDS = 60


def close_roll(
    layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles, held: frozenset[str]
) -> Angles:
    """Angles with which a flap lies flat on the panel it is glued to, a joint's thickness away.

    The creases in `held` keep their angles; the others depart from the pattern's angles by the
    least total square. Raises ModelError when the lengths cannot close.
    """
    what = f"the roll that ends in the {joint.flap}"
    chain = [line for line in layout.pattern.chain(joint.flap) if line.child not in held]
    names = [line.child for line in chain]
    targets = np.array([line.angle_rad for line in chain])

    def miss(departure: Array) -> Array:
        trial = angles | dict(zip(names, (targets + departure).tolist(), strict=True))
        if not all(0.0 < trial[name] < np.pi for name in names):
            raise ModelError(_unclosed(what))
        return _flap_miss(layout, joint, joint_mm, trial)

    departure = least_departure(miss, len(names), what)
    return angles | dict(zip(names, (targets + departure).tolist(), strict=True))


def _flap_miss(layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles) -> Array:
    """How far the flap is from lying flat: its tilt, scaled by its length, and its height, mm."""
    flap = panel_pose(layout, joint.flap, angles, since=joint.onto)
    fold = layout.folds[joint.flap]
    tip = layout.outlines[joint.flap] @ fold.outward - fold.origin @ fold.outward
    half = 0.5 * layout.crease.flat_length(angles[joint.flap])
    near = np.append(fold.origin + fold.outward * half, [0.0, 1.0])
    far = np.append(fold.origin + fold.outward * float(tip.max()), [0.0, 1.0])
    level = layout.crease.caliper_mm + joint_mm
    heights: Array = np.array([(flap @ near)[2] - level, (flap @ far)[2] - level])
    return heights


def least_departure(miss: Callable[[Array], Array], size: int, what: str) -> Array:
    """The smallest departure (size,) for which `miss` vanishes.

    Repeats the least-norm solution of the linearised condition, measured from zero departure, so
    that where it settles the departure lies in the span of the condition's gradients: the
    first-order condition of the least total square. Raises ModelError when it does not settle.
    """
    departure = np.zeros(size)
    value = miss(departure)
    if float(np.max(np.abs(value))) < CLOSED_MM:
        return departure
    for _ in range(ROUNDS):
        slope = np.column_stack(
            [
                (miss(departure + step) - miss(departure - step)) / (2.0 * STEP_RAD)
                for step in STEP_RAD * np.eye(size)
            ]
        )
        following = np.linalg.pinv(slope) @ (slope @ departure - value)
        change = float(np.max(np.abs(following - departure)))
        departure, value = following, miss(following)
        if change < CLOSED_MM and float(np.max(np.abs(value))) < 1e-9:
            return departure
    raise ModelError(_unclosed(what))


def _unclosed(what: str) -> str:
    return f"{what} cannot be closed: its panels are too short or too long to meet the floor"
