"""A rolled frame closes as a maker closes it: glued faces met, the roll's foot pressed home."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.kinematics import Angles, heights_of, panel_pose
from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import RIGHT_ANGLE, RollJoint

CLOSED_MM = 1e-10
STEP_RAD = 1e-5
SETTLED_RAD = 1e-8
FIRST_RAD = 0.02
ROUNDS = 60
LEFT_RAD = 1e-12
"""A departure has settled when what is left to come of it is less."""
SLOWEST = 0.99
LEAST_ROUNDS = 200


def close_roll(
    layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles, held: frozenset[str]
) -> Angles:
    """Angles with which a flap lies flat on the panel it is glued to, a joint's thickness away.

    The creases in `held` keep their angles; the others depart from the pattern's angles by the
    least total square. It is sought from the angles given, and is the same from wherever. Then the
    foot is pressed home, towards the outer wall, until the inner wall is upright or the flap's tip
    meets the wall, whichever comes first: contacts are inequalities, and a flap too long for an
    upright wall keeps its foot as far in as it needs. Raises ModelError when the lengths cannot
    close.
    """
    free = _tip_free(layout, joint, joint_mm, angles, held)
    if free[joint.flap] > RIGHT_ANGLE:
        free = close_upright(layout, joint, joint_mm, free, held)
    gap = tip_gap(layout, joint, free)
    if gap >= -CLOSED_MM:
        return free

    foot = layout.pattern.crease_to(joint.flap).parent
    height = float(np.ptp(layout.outlines[foot] @ layout.folds[joint.flap].outward))
    found = free
    last, angle = free[joint.flap], free[joint.flap] - gap / height
    for _ in range(ROUNDS):
        found = _closed_at(layout, joint, joint_mm, found, held, angle)
        before, gap = gap, tip_gap(layout, joint, found)
        if abs(gap) < CLOSED_MM:
            return found
        last, angle = angle, angle - gap * (angle - last) / (gap - before)
    raise ModelError(_unclosed(joint.flap))


def close_upright(
    layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles, held: frozenset[str]
) -> Angles:
    """The same roll with its inner wall upright, whatever the flap's tip stands in."""
    return _closed_at(layout, joint, joint_mm, angles, held, RIGHT_ANGLE)


def wall_of(layout: Layout, joint: RollJoint) -> str:
    """The outer wall that a rolled side begins with."""
    return layout.pattern.chain(joint.flap)[0].child


def tip_gap(layout: Layout, joint: RollJoint, angles: Angles) -> float:
    """How far a lying flap's tip is from the outer wall's inside face or its foot's round, mm.

    Negative where the tip would stand in the wall. Level, at the nearer of the tip's two edges.
    """
    wall = layout.folds[wall_of(layout, joint)]
    flap = layout.folds[joint.flap]
    outline = layout.outlines[joint.flap]
    far = outline[int(np.argmax(outline @ flap.outward))]
    pose = panel_pose(layout, joint.flap, angles)
    gaps = []
    for thickness in (0.0, layout.crease.caliper_mm):
        tip = pose @ np.append(far, [thickness, 1.0])
        reach = float((tip[:2] - wall.origin) @ wall.outward)
        gaps.append(_inside_face(layout, angles[wall.line.child], float(tip[2])) - reach)
    return min(gaps)


def _inside_face(layout: Layout, angle: float, height: float) -> float:
    """How far a wall's inside face stands beyond its score at a height over the table, mm."""
    crease = layout.crease
    radius, axis = crease.radius_mm, crease.radius_mm + crease.caliper_mm
    start = -0.5 * crease.flat_length(angle)
    sin, cos = math.sin(angle), math.cos(angle)
    end = axis - radius * cos
    if height >= end:
        return start + radius * sin + (height - end) * cos / sin
    below = min(max(axis - height, 0.0), radius)
    return start + math.sqrt(radius**2 - below**2)


def _closed_at(
    layout: Layout,
    joint: RollJoint,
    joint_mm: float,
    angles: Angles,
    held: frozenset[str],
    foot_rad: float,
) -> Angles:
    """The closed roll with a given angle at the flap's crease."""
    asked = angles | {joint.flap: foot_rad}
    return _closed(layout, joint, joint_mm, asked, held | {joint.flap})


def _tip_free(
    layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles, held: frozenset[str]
) -> Angles:
    """The closed roll of least departure, wherever its flap's tip comes to stand.

    A roll that tilts far is sought along the foot's angle, from upright, to where its total square
    no longer falls.
    """
    try:
        return _closed(layout, joint, joint_mm, angles, held)
    except ModelError:
        lines = layout.pattern.chain(joint.flap)

        def fall(foot: float) -> float:
            ends = [
                _closed_at(layout, joint, joint_mm, angles, held, foot + step)
                for step in (-STEP_RAD, STEP_RAD)
            ]
            low, high = (sum((a[x.child] - x.angle_rad) ** 2 for x in lines) for a in ends)
            return (high - low) / (2.0 * STEP_RAD)

        last, foot = RIGHT_ANGLE, RIGHT_ANGLE - FIRST_RAD
        before = fall(last)
        for _ in range(ROUNDS):
            slope = fall(foot)
            if abs(foot - last) < SETTLED_RAD or slope == before:
                return _closed_at(layout, joint, joint_mm, angles, held, foot)
            last, before, foot = foot, slope, foot - slope * (foot - last) / (slope - before)
        raise


def _closed(
    layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles, held: frozenset[str]
) -> Angles:
    """The closed roll whose other creases depart least, its flap's tip free.

    Sought from the angles given, and from the pattern's own where that leads nowhere.
    """
    chain = [line.child for line in layout.pattern.chain(joint.flap)]
    names = [name for name in chain if name not in held]
    targets = np.array([layout.folds[name].line.angle_rad for name in names])

    def miss(departure: Array) -> tuple[Array, Array]:
        trial = angles | dict(zip(names, (targets + departure).tolist(), strict=True))
        if not all(0.0 < trial[name] < np.pi for name in chain):
            raise ModelError(_unclosed(joint.flap))
        return _flap_miss(layout, joint, joint_mm, trial, names)

    start = np.array([angles[name] for name in names]) - targets
    try:
        departure = least_departure(miss, start, joint.flap)
    except ModelError:
        if not start.any():
            raise
        departure = least_departure(miss, np.zeros(len(names)), joint.flap)
    return angles | dict(zip(names, (targets + departure).tolist(), strict=True))


def _flap_miss(
    layout: Layout, joint: RollJoint, joint_mm: float, angles: Angles, names: list[str]
) -> tuple[Array, Array]:
    """How far both ends of a flap are from lying flat, (2,) mm, and the slopes (2, k) of that.

    The slopes are mm for each radian of the creases that carry `names`. The flap's near end is half
    a bend beyond its score, so it moves along the flap as that crease turns.
    """
    fold, crease = layout.folds[joint.flap], layout.crease
    tip = layout.outlines[joint.flap] @ fold.outward - fold.origin @ fold.outward
    reach = np.array([0.5 * crease.flat_length(angles[joint.flap]), float(tip.max())])
    points = np.zeros((3, 3))
    points[:2, :2] = fold.origin + reach[:, None] * fold.outward
    points[2, :2] = points[0, :2] + fold.outward
    heights, slopes = heights_of(layout, joint.flap, points, angles, joint.onto, names)
    if joint.flap in names:
        rise = heights[2] - heights[0]
        slopes[0, names.index(joint.flap)] += 0.5 * crease.flat_length(1.0) * rise
    return heights[:2] - (crease.caliper_mm + joint_mm), slopes[:2]


def least_departure(miss: Callable[[Array], tuple[Array, Array]], start: Array, flap: str) -> Array:
    """The smallest departure (k,) for which `miss` vanishes: its values (m,) and slopes (m, k).

    Repeats the least-norm solution of the linearised condition, measured from zero departure, so
    that where it settles the departure lies in the span of the condition's gradients: the
    first-order condition of the least total square. Raises ModelError when it does not settle.
    """
    departure = start
    value, slope = miss(departure)
    if not start.any() and float(np.max(np.abs(value))) < CLOSED_MM:
        return departure
    before = 0.0
    for _ in range(LEAST_ROUNDS):
        try:
            pull = np.linalg.solve(slope @ slope.T, slope @ departure - value)
        except np.linalg.LinAlgError:
            break
        following = slope.T @ pull
        change = float(np.max(np.abs(following - departure)))
        departure = following
        value, slope = miss(departure)
        # each round shrinks the change by about the same share, so this much is still to come
        rate = min(change / before, SLOWEST) if before else SLOWEST
        if change * rate / (1.0 - rate) < LEFT_RAD and float(np.max(np.abs(value))) < CLOSED_MM:
            return departure
        before = change
    raise ModelError(_unclosed(flap))


def _unclosed(flap: str) -> str:
    return (
        f"the roll that ends in the {flap} cannot be closed: its panels are too short or too long "
        "to meet the floor"
    )
