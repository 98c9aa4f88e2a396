"""A tube closes as its creases pull it, unless its flap's tip meets the first wall."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.folding.closure import Closed
from fitcheck.folding.contacts import settle
from fitcheck.folding.lines import Layout
from fitcheck.folding.linkage import (
    FLAP,
    WALL,
    Chains,
    Fillets,
    carried,
    chains_of,
    columns_of,
    flap_misses,
    moved,
)
from fitcheck.folding.pose import Array, Flags
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.joints import Joint
from fitcheck.pattern.pattern import Role

AROUND = (Role.FLOOR, Role.WALL, Role.TOP)
"""What stands round the room of a tube; its flap lies on one of them."""

ALIKE = np.array([2.0, 1.0, 1.0, 0.0])
"""How the second and the fourth wall of a tube lean, added up, by its creases; mm a radian where a
condition is to be a length."""


def close_tube(
    layout: Layout, joint: Joint, joint_mm: Array, angles: Array, held: Sequence[int]
) -> Closed:
    """The angles (b, c) of a tube's creases: least departed, the flap lying flat at the glue.

    The creases in the places `held` keep their angles of all creases (b, c). The flap finds its
    place along what it is glued to by itself, as its creases pull it before the glue is dry; inside
    the tube its tip does not stand in the first wall or in the round below it. A tube is not closed
    where most of the flap comes to lie beside what it is glued to.

    A section of four walls racks freely. Lids at its ends and what goes in square it: the second
    and the fourth wall, between which lids go down, then lean by as much to opposite sides.
    """
    chains = chains_of(layout, [joint.bond], joint_mm)
    targets = chains.targets.copy()
    targets[:, held] = angles[:, columns_of(layout, joint.bond)[held]]
    free = list(range(chains.targets.shape[1]))
    racks = bool(layout.pattern.tucks) and len(free) == len(ALIKE)
    inside = (joint.bond.side is Face.INSIDE) == (joint.path[WALL].line.sign > 0.0)

    def conditions(own: Array) -> tuple[Array, Array]:
        gaps, slopes = flap_misses(chains, own, free)
        if inside:
            tips, rates = _tip_gaps(chains, own)
            gaps = np.concatenate([gaps, tips], axis=1)
            slopes = np.concatenate([slopes, rates], axis=1)
        if racks:
            gaps = np.concatenate([((own - targets) @ ALIKE)[:, None], gaps], axis=1)
            alike = np.broadcast_to(ALIKE, (len(own), 1, len(ALIKE)))
            slopes = np.concatenate([alike, slopes], axis=1)
        slopes[:, :, held] = 0.0
        return gaps, slopes

    found = settle(targets, chains.signs, conditions, list(range(2 + racks)))
    return Closed(found.angles, found.ok & _on_it(layout, joint, chains, found.angles))


def squared(layout: Layout, poses: Array) -> Array:
    """The poses (b, p, 4, 4) of a tube, turned about its axis as what squares it does.

    Opposite walls that are not of one length lean to each other, and hands that press a ring into
    a base, or a drawer into a sleeve, turn it until both lean alike: in one wall's own place the
    walls beside it would stand askew by half of what those two lean, over all of their length.
    Walls count by the squares of their lengths.
    """
    pattern = layout.pattern
    walls = [k for k, panel in enumerate(pattern.panels) if panel.role in AROUND]
    along = np.abs(layout.axes[:, layout.tree.crease[pattern.joints[0].path[0].line.child]])
    across = along[:, ::-1]
    normals = poses[..., :3, 2][:, walls]
    faces = np.arctan2(normals[..., 2], np.einsum("bwi,bi->bw", normals[..., :2], across))
    off = faces - np.round(faces / (0.5 * np.pi)) * (0.5 * np.pi)
    reach = np.einsum("bwni,bi->bwn", layout.points[:, walls], across)
    weights = np.ptp(reach, axis=2) ** 2
    turn = (weights * off).sum(axis=1) / weights.sum(axis=1)
    cos, sin = np.cos(turn), np.sin(turn)
    back = np.zeros((len(poses), 1, 4, 4))
    back[:, 0, :2, :2] = along[:, :, None] * along[:, None] + (
        cos[:, None, None] * across[:, :, None] * across[:, None]
    )
    back[:, 0, :2, 2], back[:, 0, 2, :2] = sin[:, None] * across, -sin[:, None] * across
    back[:, 0, 2, 2], back[:, 0, 3, 3] = cos, 1.0
    found: Array = back @ poses
    return found


def _tip_gaps(chains: Chains, angles: Array) -> tuple[Array, Array]:
    """How far both edges of flaps' tips are from the first walls, (r, 2) mm, and the slopes."""
    x = np.repeat(chains.tip[:, None], 2, axis=1)
    z = np.zeros_like(x)
    z[:, 1] = chains.caliper
    beside = Fillets.of(chains, angles, moved(chains, angles, x, z, range(angles.shape[1])))
    sin, cos = np.sin(angles[:, [WALL]]), np.cos(angles[:, [WALL]])
    along = cos * beside.level + sin * beside.height
    gaps, slopes = beside.wall_gaps(angles[:, WALL])
    for here, (other, rates) in (
        ((along < 0.0) & (beside.level > 0.0), beside.round_gaps()),
        ((along < 0.0) & (beside.level <= 0.0), beside.below_gaps()),
    ):
        gaps = np.where(here, other, gaps)
        slopes = np.where(here[..., None], rates, slopes)
    return gaps, slopes


def _on_it(layout: Layout, joint: Joint, chains: Chains, angles: Array) -> Flags:
    """Whether the middles of flaps lie on what they are glued to, (b,)."""
    first = joint.path[0]
    outward = layout.outward(first.line.child) * (1.0 if first.outwards else -1.0)
    below = np.einsum("bni,bi->bn", layout.outline(joint.bond.onto), outward)
    middle = 0.5 * (chains.scores[:, FLAP] + chains.tip)
    at, _ = carried(chains, angles, middle[:, None], chains.face[:, None])
    found: Flags = (below.min(axis=1) < at[:, 0]) & (at[:, 0] < chains.scores[:, WALL])
    return found
