"""A wall folded down inside its outer wall: it lies on that wall and stands on the floor."""

from __future__ import annotations

import numpy as np

from fitcheck.folding.closure import Closed
from fitcheck.folding.contacts import settle
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


def close_lining(layout: Layout, joint: Joint, joint_mm: Array, angles: Array) -> Closed:
    """The angles (b, c) of the creases between an outer wall and its lining, least departed.

    Glued, its foot is held at the joint's thickness from the outer wall; so it leans where the rim
    is wider than that. Only laid there, nothing of it stands in the wall. In either case it does
    not stand in what the outer wall is folded on, nor in the round between the two: a lining too
    high lifts the rim. The angles (b, c) of all creases are given.
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

    return settle(chains.targets, chains.signs, conditions, [0] if bond.glued else [])


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
