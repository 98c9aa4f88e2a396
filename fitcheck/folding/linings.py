"""A wall folded down inside its outer wall: it lies on that wall and stands on the floor."""

from __future__ import annotations

import numpy as np

from fitcheck.folding.closure import CLOSED_MM, Closed
from fitcheck.folding.contacts import Conditions, settle
from fitcheck.folding.lines import Layout
from fitcheck.folding.linkage import (
    Chains,
    Fillets,
    chains_of,
    columns_of,
    flap_misses,
    moved,
)
from fitcheck.folding.pose import Array
from fitcheck.pattern.bonds import Bond
from fitcheck.pattern.joints import Joint

NEAR, TIP = 0, 1
FOOT = [2, 3]
"""The places of both edges of a foot among the gaps of a lining that is only laid there."""


def close_lining(
    layout: Layout,
    joint: Joint,
    joint_mm: Array,
    angles: Array,
    above_mm: Array | None = None,
) -> Closed:
    """The angles (b, c) of the creases between an outer wall and its lining, least departed.

    Glued, its foot is held at the joint's thickness from the outer wall; so it leans where the rim
    is wider than that. Only laid there, nothing of it stands in the wall. In either case it does
    not stand in what the outer wall is folded on, nor in the round between the two: a lining too
    high lifts the rim. The angles (b, c) of all creases are given.

    A wall that leans out lifts a foot that is only laid there: it is pressed down again to where it
    is over an upright wall, `above_mm` (b,) of `stands_above`, and the rim's creases give way.
    """
    bond = joint.bond
    chains = chains_of(layout, [bond], joint_mm)
    sign = np.where(chains.rest > chains.caliper, 1.0, np.where(chains.rest > 0.0, 1.0, -1.0))
    free = list(range(chains.targets.shape[1]))
    stand = standing_chain(layout, joint)

    def conditions(own: Array) -> tuple[Array, Array]:
        misses, slopes = flap_misses(chains, own, free)
        gaps, rates = sign[:, None] * misses, sign[:, None, None] * slopes
        if bond.glued:
            gaps, rates = gaps[:, [TIP]], rates[:, [TIP]]
        if stand is None:
            return gaps, rates
        wall = angles[:, [stand[1]]]
        foot, turning = foot_gaps(stand[0], np.concatenate([wall, own], axis=1))
        return (
            np.concatenate([gaps, foot], axis=1),
            np.concatenate([rates, turning[:, :, 1:]], axis=1),
        )

    found = settle(chains.targets, chains.signs, conditions, [0] if bond.glued else [])
    if bond.glued or stand is None or above_mm is None:
        return found
    return _pressed(found, chains, conditions, above_mm)


def _pressed(found: Closed, chains: Chains, conditions: Conditions, above_mm: Array) -> Closed:
    """Linings whose feet hang higher than that pressed down to it, on the edge that takes least."""
    angles, ok = found.angles.copy(), found.ok.copy()
    hangs = ok & (conditions(angles)[0][:, FOOT].min(axis=1) > above_mm + CLOSED_MM)

    def lower(own: Array) -> tuple[Array, Array]:
        gaps, slopes = conditions(own)
        gaps[:, FOOT] -= above_mm[:, None]
        return gaps, slopes

    if not hangs.any():
        return found
    least = np.full(len(angles), np.inf)
    for edge in FOOT:
        down = settle(chains.targets, chains.signs, lower, [edge])
        departure = ((down.angles - chains.targets) ** 2).sum(axis=1)
        rows = hangs & down.ok & (departure < least)
        angles[rows], least[rows] = down.angles[rows], departure[rows]
    return Closed(angles, ok)


def stands_above(layout: Layout, joint: Joint, angles: Array) -> Array | None:
    """How far a lining's foot is above what its wall is folded on, (b,) mm; None without such.

    The angles (b, c) are those of all creases.
    """
    stand = standing_chain(layout, joint)
    if stand is None:
        return None
    own = angles[:, [stand[1], *columns_of(layout, joint.bond)]]
    gaps, _ = foot_gaps(stand[0], own)
    found: Array = np.maximum(0.0, gaps.min(axis=1))
    return found


def standing_chain(layout: Layout, joint: Joint) -> tuple[Chains, int] | None:
    """The chain from what an outer wall is folded on to its lining, and the wall's crease.

    None where the wall is the root or its crease runs otherwise.
    """
    pattern, bond = layout.pattern, joint.bond
    if bond.onto == pattern.panels[0].name:
        return None
    foot = pattern.crease_to(bond.onto)
    column = layout.tree.crease[foot.child]
    along = layout.axes[0, columns_of(layout, bond)[0]]
    if abs(abs(layout.axes[0, column] @ along) - 1.0) > 1e-9:
        return None
    standing = Bond(bond.panel, foot.parent, glued=False)
    none = np.zeros(layout.boxes)
    return chains_of(layout, [standing], none), column


def foot_gaps(chains: Chains, angles: Array) -> tuple[Array, Array]:
    """How far both edges of a lining's foot are above what they stand on, and the slopes of that.

    (r, 2) mm and (r, 2, c). That is the floor's inside face or, nearer the outer wall, the inside
    round of the crease between them.
    """
    x = np.repeat(chains.tip[:, None], 2, axis=1)
    z = np.zeros_like(x)
    z[:, 1] = chains.caliper
    at = moved(chains, angles, x, z, range(angles.shape[1]))
    beside = Fillets.of(chains, angles, at)
    rounded = (beside.level > 0.0) & (beside.height < 0.0)
    gaps, slopes = beside.below_gaps()
    round_gaps, round_slopes = beside.round_gaps()
    return (
        np.where(rounded, round_gaps, gaps),
        np.where(rounded[..., None], round_slopes, slopes),
    )
