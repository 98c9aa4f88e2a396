"""Gluing settles the fold angles: tubes, linings and rolls closed, corners pushed out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from fitcheck.folding.closure import unclosed
from fitcheck.folding.corners import WallGroup, pushes_of
from fitcheck.folding.kinematics import plate_outlines, swallowed
from fitcheck.folding.lines import Layout
from fitcheck.folding.linings import close_lining, stands_above
from fitcheck.folding.linkage import chain_of, columns_of
from fitcheck.folding.pose import Array
from fitcheck.folding.tubes import close_tube
from fitcheck.frozen_map import FrozenMap
from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.joints import Joint


def folded_angles(layout: Layout, joint_mm: Array, give: Array) -> tuple[Array, dict[int, str]]:
    """The fold angles (b, c) of glued parts: corners pushed out, rolled frames closed.

    A glued corner holds both its walls: the one over the tabs leans as far as they push it, the
    one that carries them stays as it was glued. Only the rest of a roll gives way to close it.
    Boxes that cannot be folded are given with the reason.
    """
    pattern = layout.pattern
    angles = np.tile(layout.targets_rad, (layout.boxes, 1))
    problems: dict[int, str] = {}
    rolls = {chain_of(pattern, joint)[0]: joint for joint in pattern.roll_joints}
    pushed = list(dict.fromkeys(joint.onto for joint in pattern.corner_joints))
    carrying = {pattern.crease_to(joint.panel).parent for joint in pattern.corner_joints}
    standing = frozenset([*pushed, *carrying])
    others = [x for x in pattern.joints if x.kind in (JointKind.TUBE, JointKind.LINING)]
    _close(layout, others, joint_mm, standing, angles, problems)
    feet = {
        joint: stands_above(layout, joint, angles)
        for joint in others
        if joint.kind is JointKind.LINING
    }
    free = [wall for wall in rolls if wall not in pushed]
    for walls, held in (
        ([wall for wall in free if wall in carrying], [0]),
        ([wall for wall in free if wall not in carrying], []),
    ):
        if walls:
            group = WallGroup(layout, walls, [rolls[wall] for wall in walls], joint_mm, angles)
            found = group.closed(group.read(angles), held)
            group.write(found, angles, problems)
    if pushed:
        outlines = plate_outlines(layout, angles)
        if gone := swallowed(layout, outlines):
            return angles, problems | gone
        pushes = pushes_of(layout, pushed, joint_mm, give, angles, outlines)
        for walls in (
            [wall for wall in pushed if wall in rolls],
            [wall for wall in pushed if wall not in rolls],
        ):
            if walls:
                own = [rolls[w] for w in walls if w in rolls]
                group = WallGroup(layout, walls, own, joint_mm, angles)
                by = pushes[:, [pushed.index(wall) for wall in walls]].reshape(-1)
                found = group.leaning(group.read(angles), by)
                group.write(found, angles, problems)
        moved = [x for x in others if not standing.isdisjoint((x.bond.onto, *_walls_of(x)))]
        _close(layout, moved, joint_mm, standing, angles, problems, feet)
    return angles, problems


def _walls_of(joint: Joint) -> tuple[str, ...]:
    """The panels that the creases of a chain carry."""
    return tuple(crossing.line.child for crossing in joint.path)


def _close(
    layout: Layout,
    joints: Iterable[Joint],
    joint_mm: Array,
    standing: frozenset[str],
    angles: Array,
    problems: dict[int, str],
    feet: Mapping[Joint, Array | None] = FrozenMap(),
) -> None:
    """Close tubes and linings by themselves, in the angles (b, c), as their walls stand there.

    Linings that are only laid there are pressed down to what `feet` (b,) mm says of them.
    """
    for joint in joints:
        if joint.kind is JointKind.LINING:
            found = close_lining(layout, joint, joint_mm, angles, feet.get(joint))
        else:
            held = [k for k, wall in enumerate(_walls_of(joint)) if wall in standing]
            found = close_tube(layout, joint, joint_mm, angles, held)
        angles[:, columns_of(layout, joint.bond)] = found.angles
        for box in np.flatnonzero(~found.ok).tolist():
            problems.setdefault(box, unclosed(joint))
