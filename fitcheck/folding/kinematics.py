"""Panels are carried out along the crease tree: each crease turns everything beyond it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.folding.bends import Bend
from fitcheck.folding.lines import Layout, strip_steps
from fitcheck.folding.pieces import Plate
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
    # written out by components: a closing asks for a few points at thousands of angles
    a, b, c = 0.0, 0.0, 1.0
    steps = []
    for name in reversed(chain):
        fold = layout.folds[name]
        turn, (x, y) = fold.turn(layout.crease, angles[name]), fold.outward.tolist()
        # the upward direction as this crease's parent sees it: along the crease's outward, and up
        out, up = a * x + b * y, c
        steps.append((name, turn, x, y, out, up))
        more = (turn.cos - 1.0) * out + turn.sin * up
        a, b, c = a + more * x, b + more * y, turn.cos * up - turn.sin * out
    heights, slopes = np.zeros(len(points)), np.zeros((len(points), len(names)))
    for k, point in enumerate(points.tolist()):
        px, py, pz = point
        for name, turn, x, y, out, up in reversed(steps):
            along = px * x + py * y
            if name in names:
                slopes[k, names.index(name)] = (
                    (turn.cos * up - turn.sin * out) * along
                    - (turn.cos * out + turn.sin * up) * pz
                    + out * turn.level_slope
                    + up * turn.height_slope
                )
            more = (turn.cos - 1.0) * along - turn.sin * pz + turn.level
            px, py = px + more * x, py + more * y
            pz = turn.sin * along + turn.cos * pz + turn.height
        heights[k] = pz
    return heights, slopes


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
