"""Panels are carried out along the crease tree: each crease turns everything beyond it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitcheck.folding.cells import Bent
from fitcheck.folding.clip import Polygons, clip_all, spans_at
from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array, Rows, bend_shift

FLAT_RAD = 1e-9
SAME_MM = 1e-9
FAR_MM = 1.0e9
"""Cuts nothing off."""


def child_poses(layout: Layout, angles: Array) -> Array:
    """What carries each child's place on the sheet to its folded place beside its parent.

    Poses (b, c, 4, 4) for fold angles (b, c); see `bend_shift`.
    """
    x, y = layout.outwards[..., 0], layout.outwards[..., 1]
    along = np.einsum("bci,bci->bc", layout.outwards, layout.origins)
    half, lift = layout.halves(angles), layout.lifts
    sin, cos = np.sin(angles), np.cos(angles)
    level, height = bend_shift(along, half, lift, sin, cos)
    poses = np.zeros((*angles.shape, 4, 4))
    poses[..., 0, 0], poses[..., 1, 1] = 1.0 + (cos - 1.0) * x * x, 1.0 + (cos - 1.0) * y * y
    poses[..., 0, 1] = poses[..., 1, 0] = (cos - 1.0) * x * y
    poses[..., 0, 2], poses[..., 1, 2], poses[..., 2, 2] = -sin * x, -sin * y, cos
    poses[..., 2, 0], poses[..., 2, 1] = sin * x, sin * y
    poses[..., 0, 3], poses[..., 1, 3] = level * x, level * y
    poses[..., 2, 3] = height
    poses[..., 3, 3] = 1.0
    return poses


def panel_poses(layout: Layout, angles: Array) -> Array:
    """Each panel's pose in the root's place, (b, p, 4, 4), for fold angles (b, c)."""
    steps = child_poses(layout, angles)
    poses = np.zeros((layout.boxes, len(layout.counts), 4, 4))
    poses[:] = np.eye(4)
    carrying = slice(layout.tree.carrying)
    pairs = zip(layout.tree.parent[carrying], layout.tree.child[carrying], strict=True)
    for k, (parent, child) in enumerate(pairs):
        poses[:, child] = poses[:, parent] @ steps[:, k]
    return poses


def bend_poses(layout: Layout, angles: Array, panels: Array) -> Array:
    """Each bend's pose (b, c, 4, 4): local x outward, y along the score, the axis at 0.

    Local z goes from the paper to the axis: up where the fold is towards the inside face, else
    down, and y then the other way too. `panels` (b, p, 4, 4) are the panels' poses.
    """
    poses = np.zeros((*angles.shape, 4, 4))
    poses[..., :2, 0] = layout.outwards
    poses[..., :2, 1] = layout.axes * layout.signs[:, None]
    poses[..., :2, 3] = layout.origins - layout.outwards * layout.halves(angles)[..., None]
    poses[..., 2, 3] = layout.lifts
    poses[..., 2, 2], poses[..., 3, 3] = layout.signs, 1.0
    carried: Array = panels[:, layout.tree.parent] @ poses
    return carried


def plate_outlines(layout: Layout, angles: Array) -> Polygons:
    """What stays flat of each cell, (b q, n, 2), when its creases are folded to those angles.

    Of cells that their panel's bends take up nothing is left.
    """
    tree, halves, cells = layout.tree, layout.halves(angles), layout.cells
    left = _whole(cells.points, cells.counts)
    for creases in tree.around[cells.panels].T:
        inward, score = _inward(layout, cells.panels, creases)
        normals, limits = -inward, -(score + halves[:, creases])
        idle = (creases < 0) | (halves[:, creases] <= 0.0)
        left = _clipped(left, normals, limits, idle)
    return left


def swallowed(layout: Layout, outlines: Polygons) -> dict[int, str]:
    """The boxes in which nothing stays flat of some panel, and what to say of it."""
    panels, cells = layout.pattern.panels, layout.cells
    gone = cells.by_panel(outlines.counts.reshape(layout.boxes, -1)) == 0
    return {
        box: f"the {panels[int(np.argmax(gone[box]))].name} is all taken up by its bends: make it "
        "wider"
        for box in np.flatnonzero(gone.any(axis=1)).tolist()
    }


def _whole(points: Array, counts: Rows) -> Polygons:
    return Polygons(points.reshape(-1, *points.shape[2:]), np.tile(counts, len(points)))


def _inward(layout: Layout, panels: Rows, creases: Rows) -> tuple[Array, Array]:
    """Unit directions (b, m, 2) from creases into panels, and the scores' places along them."""
    inward = layout.outwards[:, creases] * layout.tree.inward(panels, creases)[:, None]
    return inward, np.einsum("bmi,bmi->bm", inward, layout.origins[:, creases])


def _clipped(polygons: Polygons, normals: Array, limits: Array, idle: Array) -> Polygons:
    """Polygons cut by half planes (b, m), but for those that are idle (b, m)."""
    normals = np.where(idle[..., None], 0.0, normals).reshape(-1, 2)
    return clip_all(polygons, normals, np.where(idle, FAR_MM, limits).reshape(-1))


def _strip_outlines(layout: Layout, angles: Array, bent: Bent, which: Rows) -> Polygons:
    """The part of a polygon (r,) beside each row's crease that the crease bends, (b r, n, 2).

    Strips share out a corner.
    """
    tree, halves, own = layout.tree, layout.halves(angles), bent.creases
    panels = bent.panels[which]
    inward, score = _inward(layout, panels, own)
    mine = halves[:, own]
    near, far = bent.between_mm.T
    left = _whole(bent.points[:, which], bent.counts[which])
    left = _clipped(left, inward, score + np.minimum(mine, far), np.zeros(mine.shape, dtype=bool))
    if near.any():
        left = _clipped(left, -inward, -(score + near), np.broadcast_to(near == 0.0, mine.shape))
    for creases in tree.around[panels].T:
        towards, at = _inward(layout, panels, creases)
        other = halves[:, creases]
        normals = inward * other[..., None] - towards * mine[..., None]
        idle = (creases < 0) | (creases == own) | (other <= 0.0)
        left = _clipped(left, normals, score * other - at * mine, idle)
    return left


def _near(layout: Layout, halves: Array) -> Bent:
    """Of what bends the rows that come near enough to their creases to have a share."""
    bent = layout.cells.bent
    which = np.where(bent.parents < 0, bent.children, bent.parents)
    inward, score = _inward(layout, bent.panels[which], bent.creases)
    points = bent.points[:, which]
    there = np.arange(points.shape[2]) < bent.counts[which, None]
    off = np.einsum("bmni,bmi->bmn", points, inward) - score[..., None]
    least = np.maximum(np.where(there, off, np.inf).min(axis=2), bent.between_mm[:, 0])
    near = (least < halves[:, bent.creases]).any(axis=0)
    kept = np.flatnonzero(near | ((bent.parents >= 0) & (bent.children >= 0)))
    rows = {key: getattr(bent, key)[kept] for key in ("creases", "parents", "children")}
    return replace(bent, **rows, between_mm=bent.between_mm[kept])


class Strips:
    """The stretches of bends whose two ends run straight, those of all boxes behind each other."""

    def __init__(self, layout: Layout, angles: Array) -> None:
        halves, bent = layout.halves(angles), layout.cells.bent
        if not layout.cells.whole:
            bent = _near(layout, halves)
        own = bent.creases
        flat = np.concatenate(
            [
                _stretches(layout, angles, halves[:, own].reshape(-1), bent, which)
                for which in (bent.parents, bent.children)
            ],
            axis=1,
        )
        unbent = np.abs(angles[:, own].reshape(-1)) <= FLAT_RAD
        flat[np.repeat(unbent, flat.shape[1]).reshape(flat.shape[:2])] = np.nan
        joined, counts = _joined(flat)
        kept = np.arange(joined.shape[1]) < counts[:, None]
        rows = np.flatnonzero(counts).repeat(counts[counts > 0])
        self.boxes, self.creases = rows // len(own), own[rows % len(own)]
        """(m,) whose they are."""
        self.angles, self.ends = joined[kept][:, :2], joined[kept][:, 2:].reshape(-1, 2, 2)
        """(m, 2) from and to, rad; (m, 2, 2) the reach along the axis at both, mm."""


def _stretches(layout: Layout, angles: Array, halves: Array, bent: Bent, which: Rows) -> Array:
    """Stretches of one polygon's strip beside each crease, (b r, k, 6), nan where there is none.

    Each is its two fold angles, then from where to where it reaches along the axis at each.
    """
    own = bent.creases
    outlines = _strip_outlines(layout, angles, bent, np.maximum(which, 0))
    offset = outlines.points - layout.origins[:, own].reshape(-1, 1, 2)
    outward = layout.outwards[:, own].reshape(-1, 2)
    axis = (layout.axes * layout.signs[:, None])[:, own].reshape(-1, 2)
    place = np.stack([np.einsum("mni,mi->mn", offset, one) for one in (outward, axis)], axis=-1)
    levels = np.clip(place[..., 0], -halves[:, None], halves[:, None])
    there = outlines.valid & np.tile(which >= 0, layout.boxes)[:, None]
    levels = _distinct(np.where(there, levels, np.inf))
    least, most = spans_at(Polygons(place, outlines.counts), levels)
    with np.errstate(invalid="ignore", divide="ignore"):
        phi = 0.5 * np.abs(angles[:, own]).reshape(-1, 1) * (1.0 + levels / halves[:, None])
    found = np.stack(
        [phi[:, :-1], phi[:, 1:], least[:, :-1], most[:, :-1], least[:, 1:], most[:, 1:]], axis=-1
    )
    found[~np.isfinite(found).all(axis=2)] = np.nan
    return found


def _distinct(levels: Array) -> Array:
    """Levels (m, n) in order, those that are the same as the last kept left out; inf behind."""
    levels = np.sort(levels, axis=1)
    last = np.full(len(levels), -np.inf)
    for column in levels.T:
        new = column > last + SAME_MM
        last = np.where(new, column, last)
        column[~new] = np.inf
    return np.sort(levels, axis=1)


def _joined(steps: Array) -> tuple[Array, Rows]:
    """Neighbouring straight stretches (m, k, 6) of one width made one, and their number (m,)."""
    joined = np.full_like(steps, np.nan)
    counts = np.zeros(len(steps), dtype=np.intp)
    for step in steps.transpose(1, 0, 2):
        there = ~np.isnan(step[:, 0])
        last = joined[np.arange(len(steps)), counts - 1]
        like = there & (counts > 0) & (np.abs(step[:, 2:] - last[:, 2:]) <= SAME_MM).all(axis=1)
        rows = np.flatnonzero(like)
        joined[rows, counts[rows] - 1, 1] = step[rows, 1]
        joined[rows, counts[rows] - 1, 4:] = step[rows, 4:]
        rows = np.flatnonzero(there & ~like)
        joined[rows, counts[rows]] = step[rows]
        counts[rows] += 1
    return joined, counts
