"""Panels are carried out along the crease tree: each crease turns everything beyond it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from fitcheck.folding.lines import Layout, strip_steps
from fitcheck.folding.pieces import Bend, Plate
from fitcheck.folding.pose import Array

Angles = dict[str, float]
"""Fold angle in radians by the name of the panel that the crease carries."""


def panel_pose(layout: Layout, panel: str, angles: Angles, since: str | None = None) -> Array:
    """A panel's pose (4, 4) in the root's place, or in that of another panel of its chain."""
    name, root = panel, since or layout.pattern.panels[0].name
    if name == root:
        return np.eye(4)
    pose = layout.child_pose(name, angles[name])
    while (name := layout.folds[name].line.parent) != root:
        pose = layout.child_pose(name, angles[name]) @ pose
    return pose


def heights_of(
    layout: Layout, panel: str, points: Array, angles: Angles, since: str, names: Sequence[str]
) -> tuple[Array, Array]:
    """Heights (n,) of points (n, 3) of a panel above another one of its chain, and their slopes.

    Points are given in the panel's own place on the sheet; slopes (n, k) are mm for each radian
    of the creases that carry the panels in `names`, the points held where they are.
    """
    chain = [panel]
    while (parent := layout.folds[chain[-1]].line.parent) != since:
        chain.append(parent)
    chain.reverse()
    poses = [layout.child_pose(name, angles[name]) for name in chain]
    rows = list(itertools.accumulate(poses, np.matmul, initial=np.array([0.0, 0.0, 1.0, 0.0])))
    slopes = np.zeros((len(points), len(names)))
    carried = np.column_stack([points, np.ones(len(points))]).T
    for name, pose, row in zip(chain[::-1], poses[::-1], rows[-2::-1], strict=True):
        if name in names:
            slope = layout.folds[name].child_slope(layout.crease, angles[name])
            slopes[:, names.index(name)] = row @ slope @ carried
        carried = pose @ carried
    return carried[2], slopes


def plate_of(layout: Layout, panel: str, angles: Angles) -> Plate:
    """A panel's plate in place."""
    return Plate(
        name=panel,
        outline=layout.plate_outline(panel, angles),
        pose=panel_pose(layout, panel, angles),
        thickness_mm=layout.crease.caliper_mm,
    )


def bends_of(layout: Layout, child: str, angles: Angles) -> list[Bend]:
    """The bend stretches of the crease that carries a panel, in place."""
    fold = layout.folds[child]
    parent = panel_pose(layout, fold.line.parent, angles)
    pose = parent @ fold.bend_pose(layout.crease, angles[child])
    return [
        Bend(
            name=fold.name,
            panels=frozenset([fold.line.parent, fold.line.child]),
            radius_mm=layout.crease.radius_mm,
            thickness_mm=layout.crease.caliper_mm,
            start_rad=step.start_rad,
            stop_rad=step.stop_rad,
            ends_start=step.ends_start,
            ends_stop=step.ends_stop,
            pose=pose,
        )
        for step in strip_steps(layout, fold, angles)
    ]
